"""How well the assistant is understood in noise, and how fast it begins and falls silent. Prints Markdown tables.

    python tests/bench/speaking.py [--numbers N] [--vosk MODEL-FOLDER] [--voices ID …]

Numbers are synthesised in three wordings, noise is laid over them, and a recogniser writes them down again with a
grammar of just that wording; each grammar allows the values 10 to 999. A recogniser is no ear: the tables compare
wordings, they do not say how many numbers a technician would get right.
"""

from __future__ import annotations

import argparse
import json
import os
import statistics
import threading
import time
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import partial

import numpy as np
import pocketsphinx
from num2words import num2words

from sparehand.demo.noise import NoiseKind, at_level, shop_noise
from sparehand.procedures.wording import digits_spoken
from sparehand.voice.sound.noise_floor import with_noise_floor
from sparehand.voice.sound.output import BLOCK_SECONDS, Fill
from sparehand.voice.sound.player import PlaybackQueue
from sparehand.voice.sound.samples import SAMPLE_RATE, Samples
from sparehand.voice.speaking.device_speaker import DeviceSpeaker
from sparehand.voice.speaking.speech import Speech
from sparehand.voice.speaking.synthesis import Synthesiser

VOICES = ("gmw/en-us", "gmw/en-us+f3", "gmw/en")
NOISES: tuple[NoiseKind, ...] = ("pink", "impact wrench", "compressor hum", "shop")
LEVELS_DB = (20.0, 10.0)
UNIT = "newton metres"
LEAD_SECONDS = 0.3
AUDIBLE = 0.003
"""The amplitude from which a block counts as sound, 50 dB below full scale."""

_DIGITS = "zero one two three four five six seven eight nine".split()  # noqa: SIM905 - a list of words reads best so
_TEENS = [num2words(value) for value in range(10, 20)]
_TENS = [num2words(value) for value in range(20, 100, 10)]
_UNIT_HEARD = "newton meters"


def naturally(value: int) -> str:
    """A number as people say it: one hundred ten."""
    return str(num2words(value)).replace(" and ", " ").replace("-", " ")


@dataclass(frozen=True)
class Wording:
    """A way to say a number: in words, as the voice is handed it, and as a grammar of everything said that way."""

    name: str
    say: Callable[[int], str]
    between_words: str
    number_grammar: str
    words: tuple[str, ...]

    def sentence(self, value: int) -> str:
        """The number with its unit."""
        return f"{self.say(value).replace(' ', self.between_words)} {UNIT}"


def _any(words: list[str]) -> str:
    return f"({'|'.join(words)})"


def _by_digits(value: int) -> str:
    return digits_spoken(str(value))


_DIGIT_GRAMMAR = f"{_any(_DIGITS[1:])} {_any(_DIGITS)} [{_any(_DIGITS)}]"
_BELOW_HUNDRED = f"({_any(_TEENS)} | {_any(_TENS)} [{_any(_DIGITS[1:])}])"
_NATURAL_GRAMMAR = f"{_BELOW_HUNDRED} | {_any(_DIGITS[1:])} hundred [{_BELOW_HUNDRED} | {_any(_DIGITS[1:])}]"

WORDINGS = (
    # A comma is what the assistant sets between digits. Two blanks keep it from doing so, and sound like one.
    Wording("digits with gaps", _by_digits, " ", _DIGIT_GRAMMAR, tuple(_DIGITS)),
    Wording("digits without gaps", _by_digits, "  ", _DIGIT_GRAMMAR, tuple(_DIGITS)),
    Wording("natural number", naturally, " ", _NATURAL_GRAMMAR, (*_DIGITS[1:], *_TEENS, *_TENS, "hundred")),
)

Write = Callable[[Samples], str]
"""Gives the words heard in a sound, without the unit."""


def _pcm(sound: Samples) -> bytes:
    return (sound * 32_767).astype(np.int16).tobytes()


def pocketsphinx_writer(wording: Wording) -> Write:
    """The recogniser that comes along. Its usual price of silence makes it hear digits in gaps, so it is lowered.

    The faint hiss that the engine lays under all it hears is laid here too: without it, 53 % of the clean digits with
    gaps were right and 86 % with it, for its model has never heard gaps as quiet as a synthetic voice leaves.
    """
    decoder = pocketsphinx.Decoder(lm=None, loglevel="FATAL", silprob=0.5, wip=0.2)
    decoder.add_jsgf_string("g", f"#JSGF V1.0;\ngrammar g;\npublic <g> = ({wording.number_grammar}) {_UNIT_HEARD};\n")
    decoder.activate_search("g")

    def write(sound: Samples) -> str:
        decoder.start_utt()
        decoder.process_raw(_pcm(np.clip(with_noise_floor(sound), -1.0, 1.0)), full_utt=True)
        decoder.end_utt()
        heard = decoder.hyp()
        return str(heard.hypstr).removesuffix(_UNIT_HEARD).strip() if heard else ""

    return write


def vosk_writer(model: object, wording: Wording) -> Write:
    """Vosk with a list of the wording's words."""
    import vosk

    grammar = json.dumps([" ".join((*wording.words, _UNIT_HEARD))])

    def write(sound: Samples) -> str:
        recogniser = vosk.KaldiRecognizer(model, SAMPLE_RATE, grammar)
        recogniser.AcceptWaveform(_pcm(sound))
        return str(json.loads(recogniser.FinalResult())["text"]).removesuffix(_UNIT_HEARD).strip()

    return write


def conditions() -> Iterator[tuple[str, NoiseKind | None, float]]:
    """Clean, then each level with each noise."""
    yield "clean", None, 0.0
    for level in LEVELS_DB:
        for noise in NOISES:
            yield f"{noise} {level:.0f} dB", noise, level


def in_noise(speech: Samples, noise: NoiseKind | None, level_db: float, seed: int) -> Samples:
    """Speech with silence around it, under noise."""
    silence = np.zeros(round(LEAD_SECONDS * SAMPLE_RATE), np.float32)
    sound = np.concatenate((silence, 0.4 * speech, silence))
    # Samples of exactly zero, which no microphone gives, upset a recogniser's features.
    sound = sound + 1e-4 * np.random.default_rng(seed).standard_normal(len(sound))
    if noise is not None:
        sound = sound + at_level(sound, shop_noise(noise, len(sound) / SAMPLE_RATE, seed), level_db)
    return np.asarray(np.clip(sound, -1.0, 1.0), np.float32)


def share_right(wording: Wording, write: Write, values: list[int], voices: Sequence[str]) -> dict[str, float]:
    """Per cent of the numbers written down rightly, by condition."""
    right: dict[str, list[bool]] = {name: [] for name, _, _ in conditions()}
    for voice in voices:
        synthesiser = Synthesiser(voice, timeout_seconds=30.0)
        for seed, value in enumerate(values):
            spoken = synthesiser.synthesise(wording.sentence(value))
            assert isinstance(spoken, Speech), spoken
            for name, noise, level in conditions():
                heard = write(in_noise(spoken.samples, noise, level, seed))
                right[name].append(heard == wording.say(value))
        synthesiser.close()
    return {name: 100 * statistics.mean(results) for name, results in right.items()}


def print_understood(
    recogniser: str, writer: Callable[[Wording], Write], values: list[int], voices: Sequence[str]
) -> None:
    """One table of all wordings and conditions."""
    results = {wording.name: share_right(wording, writer(wording), values, voices) for wording in WORDINGS}
    print(f"\n{recogniser}: right, %, of {len(values)} numbers by {len(voices)} voices\n")
    print("| condition | " + " | ".join(results) + " |\n| --- |" + " ---: |" * len(results))
    for name, _, _ in conditions():
        print(f"| {name} | " + " | ".join(f"{result[name]:.0f}" for result in results.values()) + " |")


class PacedOutput:
    """A device that asks for a block as often as a real one would, and notes when it first got sound."""

    rate = 48_000
    latency_seconds = 0.0

    def __init__(self) -> None:
        self.active = False
        self.first_sound_at: float | None = None

    def start(self, fill: Fill) -> None:
        self.active = True
        threading.Thread(target=self._ask, args=(fill,), daemon=True).start()

    def close(self) -> None:
        self.active = False

    def _ask(self, fill: Fill) -> None:
        while self.active:
            if abs(fill(round(BLOCK_SECONDS * self.rate))).max() > AUDIBLE and self.first_sound_at is None:
                self.first_sound_at = time.perf_counter()
            time.sleep(BLOCK_SECONDS)


SHORT = "Step {number}. Lift the arm and hold it."
LONG = "Confirmed, all {number}. Done. After this: Press the piston back slowly until it is level, and watch the fluid."


def seconds_until_sound(times: int, *, prepared: bool, text: str = SHORT) -> list[float]:
    """From `say` to the block that holds the first sound to be heard, on a device that asks every 20 ms."""
    output = PacedOutput()
    synthesiser = Synthesiser(timeout_seconds=30.0)
    speaker = DeviceSpeaker(synthesiser, open_output=lambda _device: output)
    speaker.signal("heard")
    speaker.wait_until_queued()
    took: list[float] = []
    for number in range(times):
        said = text.format(number=naturally(number))
        if prepared:
            speaker.prepare([said])
            speaker.wait_until_queued()
        while speaker.speaking:
            time.sleep(BLOCK_SECONDS)
        output.first_sound_at = None
        began = time.perf_counter()
        speaker.say(said)
        while output.first_sound_at is None:
            time.sleep(0.001)
        took.append(output.first_sound_at - began)
        speaker.stop()
    speaker.close()
    return took


def worst_stop_seconds(rate: int = 48_000) -> float:
    """From a stop to the last sample that is not silence, the block under way included: the worst of many places."""
    block, random = round(BLOCK_SECONDS * rate), np.random.default_rng(1)
    worst = 0
    for _ in range(500):
        queue = PlaybackQueue(rate)
        queue.add(np.ones(rate, np.float32))
        queue.fill(int(random.integers(1, rate // 2)))
        queue.fill(block)
        queue.clear()
        after = np.concatenate([queue.fill(block) for _ in range(5)])
        worst = max(worst, block + int(np.flatnonzero(after)[-1]) + 1)
    return worst / rate


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--numbers", type=int, default=30, help="how many numbers each voice says")
    parser.add_argument("--vosk", help="folder of Vosk's English model, to have it write too")
    parser.add_argument("--voices", nargs="+", default=VOICES, help="ids of voices")
    asked = parser.parse_args()
    values = [int(value) for value in np.random.default_rng(3).integers(10, 260, asked.numbers)]
    print_understood("pocketsphinx", pocketsphinx_writer, values, asked.voices)
    if asked.vosk:
        import vosk

        vosk.SetLogLevel(-1)
        print_understood("Vosk", partial(vosk_writer, vosk.Model(asked.vosk)), values, asked.voices)
    print(f"\nload average {os.getloadavg()[0]:.1f}\n\n| what | median | 95 % |\n| --- | ---: | ---: |")
    for name, prepared, text in (
        ("answer to sound, prepared", True, SHORT),
        ("answer to sound, not prepared", False, SHORT),
        ("long answer to sound, not prepared", False, LONG),
    ):
        took = seconds_until_sound(40, prepared=prepared, text=text)
        print(f"| {name}, ms | {1000 * statistics.median(took):.0f} | {1000 * np.percentile(took, 95):.0f} |")
    print(f"| stop to silence, ms, worst of 500 | {1000 * worst_stop_seconds():.0f} | |")


if __name__ == "__main__":
    main()
