"""Voice prints: features as Kaldi makes them, files as Kaldi writes them, and two voices told apart."""

from __future__ import annotations

import struct
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest

from sparehand.ground.errors import InputError
from sparehand.voice.recognising.kaldi_files import KaldiReader
from sparehand.voice.recognising.voice_print import VoicePrint, VoicePrints, cepstra_of
from sparehand.voice.sound.samples import SAMPLE_RATE, Samples
from sparehand.voice.speaking.speech import Speech
from sparehand.voice.speaking.synthesis import Synthesiser
from voice.recognising.test_vosk_engine import model


def test_cepstra_are_those_that_kaldi_makes() -> None:
    """Against kaldi-native-fbank 1.23.0 (a library of its own), 40 cepstra of 40 bands, 20 to 7600 Hz, no dither."""
    seconds = np.arange(SAMPLE_RATE) / SAMPLE_RATE
    sweep = 0.3 * np.sin(2 * np.pi * (200 * seconds + 400 * seconds**2)) + 0.1 * np.sin(2 * np.pi * 1500 * seconds)
    cepstra, _ = cepstra_of(sweep.astype(np.float32))
    assert cepstra.shape == (98, 40)
    assert cepstra[0, :6] == pytest.approx([54.18, 97.51, -41.72, 36.86, 121.80, 74.04], abs=0.06)
    assert cepstra[50, :6] == pytest.approx([58.66, 93.87, -80.29, -66.24, -16.26, -26.95], abs=0.06)
    assert cepstra[97, 39] == pytest.approx(-1.05, abs=0.06)


def _file(tmp_path: Path, content: bytes) -> KaldiReader:
    path = tmp_path / "matrix"
    path.write_bytes(b"\0B" + content)
    return KaldiReader(path)


def _count(value: int) -> bytes:
    return b"\4" + struct.pack("<i", value)


def test_matrices_vectors_packed_ones_and_numbers_are_read_in_order(tmp_path: Path) -> None:
    vector = b"FV " + _count(2) + np.array([1, 2], "<f4").tobytes()
    matrix = b"DM " + _count(2) + _count(3) + np.arange(6, dtype="<f8").tobytes()
    packed = b"DP " + _count(2) + np.array([4, 5, 6], "<f8").tobytes()
    reader = _file(tmp_path, b"<M> " + vector + matrix + packed + b"\x08" + struct.pack("<d", 20.5))
    reader.expect("<M>")
    assert reader.array().tolist() == [1, 2]
    assert reader.array().tolist() == [[0, 1, 2], [3, 4, 5]]
    assert reader.array().tolist() == [[4, 5], [5, 6]]
    assert reader.real() == 20.5


@pytest.mark.parametrize(
    "content", [b"", b"XM ", b"FM " + _count(2), b"FV " + _count(9), b"FV " + _count(-1) + b"1234", b"<M>"]
)
def test_a_broken_file_is_one_line_with_its_path(tmp_path: Path, content: bytes) -> None:
    with pytest.raises(InputError, match=r"matrix: .*; install the model again"):
        _file(tmp_path, content).array()


def test_what_is_no_file_of_kaldi_is_one_line(tmp_path: Path) -> None:
    (tmp_path / "matrix").write_bytes(b"text")
    with pytest.raises(InputError, match="no binary file of Kaldi"):
        KaldiReader(tmp_path / "matrix")


def test_two_voices_are_less_alike_than_one_with_itself() -> None:
    prints = VoicePrints(model())
    one, other = (_said(prints, voice) for voice in ("gmw/en-us+m3", "gmw/en-us+f5"))
    own = min(first.likeness(second) for voice in (one, other) for first, second in pairwise(voice))
    across = max(first.likeness(second) for first, second in zip(one, other, strict=True))
    assert own > across
    assert sum(one[1:], one[0]).likeness(sum(other[1:], other[0])) < across
    assert prints.of(np.zeros(800, np.float32)) is None


def _said(prints: VoicePrints, voice: str) -> list[VoicePrint]:
    synthesiser = Synthesiser(voice, 150, timeout_seconds=60.0)
    speeches = [synthesiser.synthesise(text) for text in ("which parts do I need", "hold for the lift please")]
    synthesiser.close()
    sounds: list[Samples] = [speech.samples for speech in speeches if isinstance(speech, Speech)]
    found = [made for sound in sounds if (made := prints.of(sound)) is not None]
    assert len(found) == len(speeches)
    return found
