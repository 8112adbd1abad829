"""Which recogniser listens, and what it can be trusted with."""

from __future__ import annotations

from pathlib import Path

from sparehand.ground.errors import FailureError
from sparehand.voice.recognising.recogniser import EngineName, Recogniser
from sparehand.voice.recognising.rejection import Listening


def open_recogniser(engine: EngineName | None, models_folder: Path) -> Recogniser:
    """The recogniser asked for; without wish, vosk where its English model is installed and pocketsphinx elsewhere.

    Raises FailureError where vosk is asked for and its model is missing.
    """
    if engine == "pocketsphinx":
        return _pocketsphinx()
    from sparehand.voice.models.model_store import installed_model

    model = installed_model("english", models_folder)
    if model is not None:
        from sparehand.voice.recognising.vosk_engine import VoskRecogniser

        return VoskRecogniser(model)
    if engine == "vosk":
        raise FailureError("vosk has no English model here; get it with `sparehand models get english`")
    return _pocketsphinx()


def default_listening(engine: EngineName) -> Listening:
    """How to listen where the settings do not say: openly only with the engine that can be trusted with it."""
    return "always" if engine == "vosk" else "call"


def _pocketsphinx() -> Recogniser:
    from sparehand.voice.recognising.pocketsphinx_engine import PocketsphinxRecogniser

    return PocketsphinxRecogniser()
