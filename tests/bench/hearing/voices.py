"""Synthetic talkers from Debian packages: some to tune with, others only to report with."""

from __future__ import annotations

import os
import random
import shutil
import subprocess
from argparse import ArgumentParser, Namespace
from dataclasses import dataclass
from hashlib import sha256
from pathlib import Path
from typing import Literal

import numpy as np
import soundfile
import soxr

from sparehand.demo.noise import active_level
from sparehand.voice.sound.samples import SAMPLE_RATE, Samples

Program = Literal["espeak-ng", "flite", "text2wave"]
SPEECH_LEVEL = 0.06
"""Active level of every utterance, which leaves room for noise without clipping."""

CACHE = Path(os.environ.get("SPAREHAND_BENCH_CACHE", Path.home() / ".cache" / "sparehand-bench"))


@dataclass(frozen=True)
class Talker:
    """A program and one of its voices."""

    program: Program
    voice: str
    pace: float | None = None
    """How fast, 1 as the voice was made; by default a pace for each utterance, near to 1."""

    def says(self, text: str, *, pace: float | None = None) -> Samples:
        """The utterance at SAMPLE_RATE and SPEECH_LEVEL, silence at its ends cut off."""
        pace = pace or self.pace
        key = sha256(f"{self.program}|{self.voice}|{text}|{pace}".encode()).hexdigest()[:24]
        path = CACHE / "speech" / f"{key}.flac"
        if not path.exists():
            path.parent.mkdir(parents=True, exist_ok=True)
            sound = trimmed(
                self._synthesise(text, pace or random.Random(key).uniform(0.88, 1.12), path.with_suffix(".wav"))
            )
            partial = path.with_suffix(".part")
            soundfile.write(partial, sound * (SPEECH_LEVEL / active_level(sound)), SAMPLE_RATE, format="FLAC")
            partial.rename(path)
        samples, _ = soundfile.read(path, dtype="float32")
        return np.asarray(samples, np.float32)

    def _synthesise(self, text: str, pace: float, wav: Path) -> Samples:
        match self.program:
            case "espeak-ng":
                command = ["espeak-ng", "-v", self.voice, "-s", str(round(150 * pace)), "-w", str(wav), text]
            case "flite":
                stretch = f"duration_stretch={1 / pace:.3f}"
                command = ["flite", "-voice", self.voice, "--setf", stretch, "-t", text, "-o", str(wav)]
            case "text2wave":
                setting = f"(begin (voice_{self.voice}) (Parameter.set 'Duration_Stretch {1 / pace:.3f}))"
                command = ["text2wave", "-eval", setting, "-o", str(wav), "-"]
        piped = text if self.program == "text2wave" else None
        subprocess.run(command, input=piped, text=True, check=True, capture_output=True)
        sound, rate = soundfile.read(wav, dtype="float32")
        wav.unlink()
        return np.asarray(soxr.resample(sound, rate, SAMPLE_RATE), np.float32)


TUNING = (
    Talker("espeak-ng", "en-us+m3"),
    Talker("espeak-ng", "en-gb+f2"),
    Talker("espeak-ng", "en-us+f5"),
    Talker("flite", "kal16"),
    Talker("text2wave", "ked_diphone"),
)
"""Used while rules and costs are chosen."""

REPORTING = (
    Talker("espeak-ng", "en-us+f3"),
    Talker("flite", "rms"),
    Talker("flite", "slt"),
    Talker("espeak-ng", "en-gb-x-rp+m7"),
    Talker("flite", "awb"),
    Talker("espeak-ng", "en-gb-scotland+m2"),
)
"""Used for the figures that are reported, and for nothing else. Three are made from recordings of people."""

HELD_OUT = (
    Talker("text2wave", "cmu_us_slt_arctic_hts"),
    Talker("espeak-ng", "en-gb-x-gbcwmd+f1", 0.85),
    Talker("flite", "rms", 1.25),
    Talker("espeak-ng", "en-us-nyc+m6", 1.25),
    Talker("flite", "awb", 0.85),
)
"""Looked at once, when nothing was changed any more: a statistical voice of festival, two more accents, two rates."""


def add_voices(parser: ArgumentParser) -> None:
    """The options that say who speaks."""
    parser.add_argument("--tuning", action="store_true", help="the voices for tuning, not for the figures")
    parser.add_argument("--held-out", action="store_true", help="the voices that are looked at once, at the end")


def voices_of(parser: ArgumentParser, chosen: Namespace) -> tuple[Talker, ...]:
    """Who speaks; ends the program where this machine lacks a program that they need."""
    if missing := missing_programs():
        parser.error(f"this machine lacks {', '.join(missing)}")
    return TUNING if chosen.tuning else HELD_OUT if chosen.held_out else REPORTING


def missing_programs() -> tuple[str, ...]:
    """The programs that this machine lacks: espeak-ng, flite, festival with festvox-kdlpc16k and festvox-us-slt-hts."""
    programs = {talker.program for talker in (*TUNING, *REPORTING, *HELD_OUT)}
    return tuple(sorted(program for program in programs if shutil.which(program) is None))


def trimmed(sound: Samples) -> Samples:
    """Without the silence at its ends."""
    loud = np.flatnonzero(np.abs(sound) > 0.01 * np.abs(sound).max())
    return sound[loud[0] : loud[-1] + 1]
