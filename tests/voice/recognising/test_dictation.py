"""Free words written down by the general recogniser, where its model is installed."""

from __future__ import annotations

import os
from pathlib import Path

import numpy as np
import pytest

import needs
from sparehand.ground.errors import InputError
from sparehand.ground.places import data_folder
from sparehand.voice.models.model_store import installed_model
from sparehand.voice.recognising.dictation import Dictation
from sparehand.voice.sound.samples import SAMPLE_RATE
from sparehand.voice.speaking.speech import Speech
from sparehand.voice.speaking.synthesis import Synthesiser


def test_what_was_said_freely_is_written_down_for_the_most_part() -> None:
    named = os.environ.get("SPAREHAND_TEST_MODELS")
    models = Path(named) if named else data_folder() / "models"
    folder = installed_model("english", models)
    needs.skip_unless(folder is not None, f"no English Vosk model in {models}")
    assert folder is not None
    voice = Synthesiser("gmw/en-us+m3", 150, timeout_seconds=60.0)
    spoken = voice.synthesise("remove the lower bolt and take the arm out")
    voice.close()
    assert isinstance(spoken, Speech)
    quiet = np.zeros(SAMPLE_RATE // 2, np.float32)
    words = Dictation(folder).words(np.concatenate([quiet, spoken.samples * 0.5, quiet])).split()
    wanted = ["remove", "the", "lower", "bolt", "and", "take", "the", "arm", "out"]
    assert sum(word in words for word in wanted) >= 5, words


def test_a_folder_that_holds_no_model_is_refused_in_one_line(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="install it again") as refusal:
        Dictation(tmp_path)
    assert "\n" not in str(refusal.value)
