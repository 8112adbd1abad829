"""The assistant's voice into a file."""

from __future__ import annotations

from pathlib import Path

from sparehand.ground.errors import FailureError, InputError
from sparehand.settings import Settings
from sparehand.voice.speaking.speech import NoSpeech
from sparehand.voice.speaking.synthesis import Synthesiser


def speak_to_file(text: str, path: Path, settings: Settings) -> float:
    """Write `text` in the assistant's voice as a WAV and give its length in seconds.

    Raises InputError where there is nothing to say, FailureError where there is no voice or the file cannot be written.
    """
    import soundfile

    if not text.strip():
        raise InputError("there is nothing to say; give the text in quotes")
    synthesiser = Synthesiser.of(settings, timeout_seconds=30.0)
    try:
        spoken = synthesiser.synthesise(text)
    finally:
        synthesiser.close()
    if isinstance(spoken, NoSpeech):
        raise FailureError(f"speech does not work: {spoken.reason}; `sparehand selfcheck` says what to do")
    try:
        soundfile.write(path, spoken.native, spoken.rate, subtype="PCM_16", format="WAV")
    except (OSError, soundfile.SoundFileError) as error:
        raise FailureError(f"{path}: cannot be written; choose another file with --to") from error
    return spoken.seconds
