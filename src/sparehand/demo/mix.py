"""The conversation as one sound file: what the microphone heard with what the assistant said."""

from __future__ import annotations

from pathlib import Path
from types import TracebackType

import numpy as np

from sparehand.ground.errors import FailureError
from sparehand.voice.sound.samples import SAMPLE_RATE, Samples, SoundBlock
from sparehand.voice.speaking.recording_speaker import RecordingSpeaker

MICROPHONE_SHARE = 0.5
"""The microphone's part of full scale; the assistant has the rest, so that their sum cannot clip."""


class ConversationFile:
    """Writes a WAV (16 kHz, mono, 16 bit) block by block; time that was skipped between blocks takes no room."""

    def __init__(self, path: Path, speaker: RecordingSpeaker) -> None:
        """Raises FailureError where the file cannot be written."""
        import soundfile

        self._speaker = speaker
        self._end_seconds = 0.0
        try:
            self._file = soundfile.SoundFile(path, "w", SAMPLE_RATE, 1, "PCM_16", format="WAV")
        except (OSError, soundfile.SoundFileError) as error:
            raise FailureError(f"{path}: the conversation cannot be written there ({error}); choose another") from error

    def add(self, block: SoundBlock) -> None:
        """Write a block together with the assistant's sound of the same stream time. Call it in stream order."""
        self._write(block.samples, self._speaker.sound_between(block.start_seconds, block.end_seconds))
        self._end_seconds = block.end_seconds

    def close(self) -> None:
        """Let the last answer end, and close the file."""
        rest = self._speaker.sound_between(self._end_seconds, max(self._end_seconds, self._speaker.ends_at))
        self._write(np.zeros_like(rest), rest)
        self._file.close()

    def __enter__(self) -> ConversationFile:
        return self

    def __exit__(self, kind: type[BaseException] | None, error: BaseException | None, at: TracebackType | None) -> None:
        self.close()

    def _write(self, microphone: Samples, assistant: Samples) -> None:
        length = min(len(microphone), len(assistant))
        heard = np.clip(microphone[:length], -1.0, 1.0)
        self._file.write(MICROPHONE_SHARE * heard + (1 - MICROPHONE_SHARE) * assistant[:length])
