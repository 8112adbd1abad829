"""Whose voice it is, as numbers: the i-vector that the speech model adapts by, made of an utterance.

Dehak, Kenny, Dehak, Dumouchel and Ouellet, "Front-end factor analysis for speaker verification", IEEE Transactions on
Audio, Speech and Language Processing 19 (2011): the posterior mean of w in M = m + T w, with the statistics of a
Gaussian mixture. The features are mel-frequency cepstra as Kaldi makes them for the model.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from sparehand.voice.recognising.kaldi_files import KaldiReader, Matrix
from sparehand.voice.sound.samples import SAMPLE_RATE, Samples

LEAST_FRAMES = 15
"""In a shorter piece of speech nobody can be told."""
LOUD_WITHIN_DB = 10.0
"""Softer frames hold more of the room than of the voice. Of 8, 10, 12, 15 and 20 dB this parted tuning voices best."""
WEIGHT_OF_A_FRAME = 0.1
"""Neighbouring frames tell the same, so that ten count as one; Kaldi's own recipe for the model has the same."""
LEAST_POSTERIOR = 0.025
_FRAME, _HOP, _SPECTRUM = 400, 160, 512
_CEPSTRA, _LOWEST_HZ, _HIGHEST_HZ, _LIFTER = 40, 20.0, 7600.0, 22.0
_CONTEXT = 3
_PRIOR_FRAMES = 200
_EPSILON = float(np.finfo(np.float32).eps)


@dataclass(frozen=True)
class VoicePrint:
    """What a piece of speech tells of its talker: a linear term (n,) and a precision (n, n), which add up."""

    linear: NDArray[np.float64]
    precision: NDArray[np.float64]

    def __add__(self, other: VoicePrint) -> VoicePrint:
        return VoicePrint(self.linear + other.linear, self.precision + other.precision)

    def likeness(self, other: VoicePrint) -> float:
        """The cosine of both i-vectors from the average voice: 1 for the same, around 0 for strangers."""
        one, two = self._vector(), other._vector()
        return float(one @ two / max(float(np.linalg.norm(one) * np.linalg.norm(two)), 1e-9))

    def _vector(self) -> NDArray[np.float64]:
        return np.asarray(np.linalg.solve(self.precision + np.eye(len(self.linear)), self.linear))


class VoicePrints:
    """Makes voice prints with the extractor of a model's folder. Raises InputError where it lacks one."""

    def __init__(self, model_folder: Path) -> None:
        folder = model_folder / "ivector"
        mixture = KaldiReader(folder / "final.dubm")
        mixture.expect("<DiagGMM>", "<GCONSTS>")
        self._constants = mixture.array()
        mixture.expect("<WEIGHTS>")
        mixture.array()
        mixture.expect("<MEANS_INVVARS>")
        self._means_by_variance = mixture.array()
        mixture.expect("<INV_VARS>")
        self._inverse_variances = mixture.array()
        self._linear, self._precision, self._offset = _extractor(KaldiReader(folder / "final.ie"))
        self._projection = KaldiReader(folder / "final.mat").array()
        self._mean = _mean_cepstra(folder / "global_cmvn.stats")

    def of(self, samples: Samples) -> VoicePrint | None:
        """The print of an utterance at SAMPLE_RATE, or None where it is too short."""
        cepstra, level_db = cepstra_of(samples)
        if len(cepstra) < LEAST_FRAMES:
            return None
        loud = level_db > np.percentile(level_db, 95) - LOUD_WITHIN_DB
        mean = (cepstra[loud].sum(axis=0) + _PRIOR_FRAMES * self._mean) / (loud.sum() + _PRIOR_FRAMES)
        posteriors = self._posteriors(self._projected(cepstra - mean)[loud])
        features = self._projected(cepstra)[loud]
        counts = WEIGHT_OF_A_FRAME * posteriors.sum(axis=0)
        sums = WEIGHT_OF_A_FRAME * (posteriors.T @ features).ravel()
        precision = (counts @ self._precision).reshape(len(self._offset), -1)
        return VoicePrint(
            np.asarray(sums @ self._linear - precision @ self._offset, np.float64), precision.astype(float)
        )

    def _projected(self, cepstra: Matrix) -> Matrix:
        """Each frame with its neighbours, by the model's linear discriminants."""
        padded = np.pad(cepstra, ((_CONTEXT, _CONTEXT), (0, 0)), "edge")
        spliced = np.hstack([padded[first : first + len(cepstra)] for first in range(2 * _CONTEXT + 1)])
        return np.asarray(spliced @ self._projection[:, :-1].T + self._projection[:, -1], np.float32)

    def _posteriors(self, features: Matrix) -> Matrix:
        scores = (
            self._constants
            + features @ self._means_by_variance.T
            - 0.5 * np.square(features) @ self._inverse_variances.T
        )
        shares = np.exp(scores - scores.max(axis=1, keepdims=True))
        shares /= shares.sum(axis=1, keepdims=True)
        shares[shares < LEAST_POSTERIOR] = 0.0
        return np.asarray(shares / np.maximum(shares.sum(axis=1, keepdims=True), _EPSILON), np.float32)


def _extractor(reader: KaldiReader) -> tuple[Matrix, Matrix, Matrix]:
    """What turns sums into a linear term, counts into a precision, and where the average voice lies."""
    reader.expect("<IvectorExtractor>", "<w>")
    reader.array()
    reader.expect("<w_vec>")
    reader.array()
    reader.expect("<M>")
    loadings = np.stack([reader.array() for _ in range(reader.count())])
    reader.expect("<SigmaInv>")
    linear = np.stack([reader.array() @ loading for loading in loadings])
    precision = np.einsum("gfi,gfj->gij", loadings, linear)
    reader.expect("<IvectorOffset>")
    size = loadings.shape[2]
    offset = np.zeros(size, np.float32)
    offset[0] = reader.real()
    return linear.reshape(-1, size), precision.reshape(len(loadings), -1), offset


def _mean_cepstra(path: Path) -> Matrix:
    """The mean of each cepstrum over the speech that the model was trained on; the file is text or binary."""
    content = path.read_bytes()
    if content[:2] == b"\0B":
        sums = KaldiReader(path).array()
    else:
        numbers = content.decode("ascii").translate({ord("["): " ", ord("]"): " "}).split()
        sums = np.array(numbers, np.float32).reshape(2, -1)
    return np.asarray(sums[0, :-1] / sums[0, -1], np.float32)


def cepstra_of(samples: Samples) -> tuple[Matrix, NDArray[np.float64]]:
    """The cepstra of each frame, shape (n, 40), and its level in decibels; frames of 25 ms, 10 ms apart."""
    if len(samples) < _FRAME:
        return np.zeros((0, _CEPSTRA), np.float32), np.zeros(0)
    frames = np.lib.stride_tricks.sliding_window_view(samples.astype(np.float64) * 32768, _FRAME)[::_HOP]
    level_db = 10 * np.log10(np.mean(np.square(frames), axis=1) + 1e-3)
    frames = frames - frames.mean(axis=1, keepdims=True)
    frames = frames - 0.97 * np.hstack([frames[:, :1], frames[:, :-1]])
    window, filters, cosines = _tables()
    power = np.square(np.abs(np.fft.rfft(frames * window, _SPECTRUM)))
    return np.asarray(np.log(np.maximum(power @ filters.T, _EPSILON)) @ cosines, np.float32), level_db


@cache
def _tables() -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
    """The window, the triangular filters on the mel scale, and the cosine transform with its lifter."""
    window = (0.5 - 0.5 * np.cos(2 * np.pi * np.arange(_FRAME) / (_FRAME - 1))) ** 0.85
    edges = np.linspace(_mel(_LOWEST_HZ), _mel(_HIGHEST_HZ), _CEPSTRA + 2)
    step = edges[1] - edges[0]
    bins = _mel(np.arange(_SPECTRUM // 2 + 1) * SAMPLE_RATE / _SPECTRUM)
    filters = np.clip(1 - np.abs(bins - edges[1:-1, None]) / step, 0.0, None)
    order = np.arange(_CEPSTRA)
    cosines = np.sqrt(2 / _CEPSTRA) * np.cos(np.pi / _CEPSTRA * (order[:, None] + 0.5) * order)
    cosines[:, 0] = np.sqrt(1 / _CEPSTRA)
    return window, filters, cosines * (1 + 0.5 * _LIFTER * np.sin(np.pi * order / _LIFTER))


def _mel(hertz: NDArray[np.float64] | float) -> NDArray[np.float64]:
    return np.asarray(1127 * np.log(1 + np.asarray(hertz) / 700))
