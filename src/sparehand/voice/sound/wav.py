"""Sound as the content of a WAV file, and back."""

from __future__ import annotations

import io

import numpy as np
import soundfile

from sparehand.voice.sound.samples import SAMPLE_RATE, Samples


def as_wav(samples: Samples) -> bytes:
    """16-bit mono at SAMPLE_RATE, as a file holds it."""
    written = io.BytesIO()
    soundfile.write(written, np.clip(samples, -1, 1), SAMPLE_RATE, format="WAV", subtype="PCM_16")
    return written.getvalue()


def from_wav(content: bytes) -> Samples | None:
    """The samples of what `as_wav` wrote; None for anything else."""
    try:
        samples, rate = soundfile.read(io.BytesIO(content), dtype="float32")
    except (soundfile.SoundFileError, OSError):
        return None
    return np.asarray(samples, np.float32) if rate == SAMPLE_RATE and samples.ndim == 1 else None
