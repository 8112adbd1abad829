"""Real capture and real playback: a job done by what is played into a microphone, its answer heard back."""

from __future__ import annotations

import json
import os
import re
import signal
import subprocess
import sys
from collections.abc import Iterable
from difflib import SequenceMatcher
from pathlib import Path

import numpy as np
import pytest
import soundfile

import needs
from sound_server import FIRST_SERVED, missing, sound_server
from sparehand.cli.command_line import main
from sparehand.demo.technician_voice import TechnicianVoice
from sparehand.ground.places import MODELS_FOLDER
from sparehand.voice.models.model_store import installed_model
from sparehand.voice.sound.samples import SAMPLE_RATE, Samples

LINES = (
    ("do torque arm", 3.0),
    ("left side", 3.0),
    ("start the job", 6.0),
    ("yes confirm", 9.0),
    ("warning understood", 7.0),
    ("yes confirm", 5.0),
    ("next", 11.0),
    ("what size", 3.0),
    ("park the job", 6.0),
    ("yes confirm", 4.0),
)
"""What the technician says, and how many seconds they then leave the bench to answer.

A yes is said wherever a phrase may be asked back; where it was not, nobody waits for the yes. It counts once the bench
has ended its question.
"""


@pytest.fixture(scope="module")
def model_folder() -> Path:
    """The folder of an installed English model."""
    folder = Path(os.environ.get("SPAREHAND_TEST_MODELS", ""))
    model = installed_model("english", folder)
    needs.skip_unless(model is not None, f"no English Vosk model in {folder or 'SPAREHAND_TEST_MODELS'}")
    return folder


@pytest.fixture
def spoken(tmp_path: Path) -> Path:
    """A recording of the lines, with their pauses."""
    voice = TechnicianVoice()
    parts: list[Samples] = [np.zeros(5 * SAMPLE_RATE, np.float32)]
    for line, seconds in LINES:
        parts += [voice.utterance(line), np.zeros(round(seconds * SAMPLE_RATE), np.float32)]
    voice.close()
    file = tmp_path / "technician.wav"
    soundfile.write(file, np.concatenate(parts), SAMPLE_RATE)
    return file


def test_a_job_is_done_by_microphone_and_its_answers_can_be_understood(
    tmp_path: Path, model_folder: Path, spoken: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    needs.skip_unless(not missing(), f"no sound server: {missing()}")
    data = tmp_path / "data"
    data.mkdir()
    (data / MODELS_FOLDER).symlink_to(model_folder.resolve())
    answers = tmp_path / "answers.wav"
    runtime = tmp_path / "pulse"
    runtime.mkdir(mode=0o700)
    command = [*FIRST_SERVED, sys.executable, "-m", "sparehand", "work", "engine-mounts", "--data", str(data)]
    with (
        sound_server(runtime) as server,
        server.recording(answers),
        subprocess.Popen(
            [*command, "--technician", "Ada Brook", "--listen", "always"],
            env=server.environment | {"COLUMNS": "200"},
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            text=True,
        ) as bench,
    ):
        assert bench.stdout is not None
        first = bench.stdout.readline() + bench.stdout.readline()
        try:
            server.play(spoken)
            bench.send_signal(signal.SIGINT)
            text = first + bench.communicate(timeout=60)[0]
        finally:
            bench.kill()
    heard = re.findall("heard +“(.*?)”", text)
    assert _without_yes(heard) == _without_yes(line for line, _ in LINES), text
    with pytest.raises(SystemExit):
        main(["hours", "--json", "--data", str(data)])
    (job,) = [json.loads(line) for line in capsys.readouterr().out.splitlines()]
    assert job["open"] is True
    said = _words(" ".join(re.findall(r"(?:assistant|refused) (.*)", text)))
    assert _share_found(said, recognised_back(model_folder, answers, said)) > 0.6


def _without_yes(lines: Iterable[str]) -> list[str]:
    return [line for line in lines if line != "yes confirm"]


def _words(text: str) -> list[str]:
    return re.findall("[a-z]+", text.lower())


def _share_found(said: list[str], recognised: list[str]) -> float:
    """The share of what was said that was recognised, in its order."""
    blocks = SequenceMatcher(None, said, recognised, autojunk=False).get_matching_blocks()
    return sum(block.size for block in blocks) / len(said)


def recognised_back(model_folder: Path, file: Path, said: list[str]) -> list[str]:
    """What a recogniser that knows the words, not their order, makes of a recording."""
    import vosk

    vosk.SetLogLevel(-1)
    model = vosk.Model(str(installed_model("english", model_folder)))
    recogniser = vosk.KaldiRecognizer(model, SAMPLE_RATE, json.dumps([*sorted(set(said)), "[unk]"]))
    samples, rate = soundfile.read(file, dtype="int16")
    assert rate == SAMPLE_RATE
    assert np.abs(samples).max() > 1000, "the assistant said nothing"
    words: list[str] = []
    for start in range(0, len(samples), 4000):
        if recogniser.AcceptWaveform(samples[start : start + 4000].tobytes()):
            words += json.loads(recogniser.Result())["text"].split()
    return words + str(json.loads(recogniser.FinalResult())["text"]).split()
