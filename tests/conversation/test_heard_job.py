"""A recording of any rate and channel count is heard as if live, on its own clock, and its end leaves the job open."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

import numpy as np
import pytest
import soundfile
import soxr

from sparehand.cli.command_line import main
from sparehand.demo.technician_voice import TechnicianVoice
from sparehand.voice.sound.samples import SAMPLE_RATE, Samples

RATE = 44_100


@pytest.fixture(scope="module")
def voice() -> Iterator[TechnicianVoice]:
    voice = TechnicianVoice()
    yield voice
    voice.close()


def recording(voice: TechnicianVoice, lines: list[str], path: Path) -> Path:
    """The lines with the call word before each, two seconds apart, as a stereo file of another rate."""
    pause = np.zeros(2 * SAMPLE_RATE, np.float32)
    parts: list[Samples] = [pause]
    for line in lines:
        parts += [voice.called("spare hand", line), pause]
    hiss = np.random.default_rng(3).normal(0, 1e-4, sum(map(len, parts)))
    mono = soxr.resample(np.concatenate(parts) + hiss, SAMPLE_RATE, RATE)
    soundfile.write(path, np.stack([mono, mono], axis=1), RATE)
    return path


def test_a_recorded_job_is_opened_worked_and_left_open(
    voice: TechnicianVoice, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    lines = ["do torque arm", "left side", "start the job", "warning understood", "next", "what comes next"]
    file = recording(voice, lines, tmp_path / "bay.wav")
    with pytest.raises(SystemExit):
        main(["work", "engine-mounts", "--ears", str(file), "--engine", "pocketsphinx", "--data", str(tmp_path)])
    shown = " ".join(capsys.readouterr().out.split())
    assert "pocketsphinx" in shown
    assert "Renew the bush of the lower torque arm, left." in shown
    assert "set chocks before and behind both rear wheels" in shown
    assert "stays open" in shown
    with pytest.raises(SystemExit):
        main(["hours", "--json", "--data", str(tmp_path)])
    (job,) = [json.loads(line) for line in capsys.readouterr().out.splitlines()]
    assert job["open"] is True
    with pytest.raises(SystemExit):
        main(["hours", job["id"], "--json", "--data", str(tmp_path)])
    sheet = json.loads(capsys.readouterr().out)
    seconds = soundfile.info(file).duration
    assert 0 < sheet["elapsed_seconds"] <= seconds
    assert sheet["gap_seconds"] == 0


def test_a_recording_without_speech_is_one_clear_line(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    silent = tmp_path / "silent.wav"
    soundfile.write(silent, np.zeros(3 * SAMPLE_RATE), SAMPLE_RATE)
    for command in (["hear", str(silent)], ["work", "engine-mounts", "--ears", str(silent)]):
        with pytest.raises(SystemExit) as stop:
            main([*command, "--engine", "pocketsphinx", "--data", str(tmp_path)])
        assert stop.value.code == 2
        assert "no speech" in capsys.readouterr().err
