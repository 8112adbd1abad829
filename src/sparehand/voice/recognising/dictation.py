"""Free words written down: what a general recogniser makes of a recording. The sound stays what counts."""

from __future__ import annotations

import json
from pathlib import Path

import vosk

from sparehand.ground.errors import InputError
from sparehand.voice.sound.samples import SAMPLE_RATE, Samples, pcm_of


class Dictation:
    """Vosk with its model's own language model. Slow to begin and no part of listening: for after the work."""

    def __init__(self, model_folder: Path) -> None:
        """Raises InputError for a model that is not whole."""
        vosk.SetLogLevel(-1)
        try:
            self._model = vosk.Model(str(model_folder))
        except Exception as error:  # Vosk raises nothing more exact
            raise InputError(f"{model_folder}: Vosk cannot load it; remove the folder and install it again") from error

    def words(self, samples: Samples) -> str:
        """The words of a recording, in small letters; nothing where none were made out."""
        recogniser = vosk.KaldiRecognizer(self._model, SAMPLE_RATE)
        heard = []
        for start in range(0, len(samples), SAMPLE_RATE):
            if recogniser.AcceptWaveform(pcm_of(samples[start : start + SAMPLE_RATE])):
                heard.append(json.loads(recogniser.Result()).get("text", ""))
        heard.append(json.loads(recogniser.FinalResult()).get("text", ""))
        return " ".join(filter(None, heard))
