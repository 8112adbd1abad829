"""Recordings of people from Debian's packages: digits put together anew, sentences, and what they cry out.

pocketsphinx-testdata: two men say digits, one a string, the other playing cards; a third person reads from a novel.
asterisk-core-sounds-en-g722: a woman's digits, and the prompts of a telephone exchange by her. hedgewars-data: what
nine actors cry out in a game. Digits follow each other with the short gaps of people who read an instrument.
"""

from __future__ import annotations

import subprocess
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cache
from itertools import permutations
from pathlib import Path

import numpy as np
import soundfile
import soxr

from bench.hearing.voices import SPEECH_LEVEL, trimmed
from sparehand.demo.noise import active_level
from sparehand.voice.sound.samples import SAMPLE_RATE, Samples

FOLDER = Path("/usr/share/pocketsphinx/test/data")
PROMPTS = Path("/usr/share/asterisk/sounds/en_US_f_Allison")
CRIES = Path("/usr/share/games/hedgewars/Data/Sounds/voices")
ACTORS = ("British", "Classic", "Default", "HillBilly", "Mobster", "Pirate", "Russian", "Singer", "Surfer")
GAPS_SECONDS = (0.05, 0.2)
SENTENCES = (
    *(f"librivox/sense_and_sensibility_01_austen_64kb-0{number}.wav" for number in (870, 880, 890, 920, 930)),
    *("something.raw", "goforward.raw", "numbers.raw"),
    *(f"cards/00{number}.wav" for number in range(1, 6)),
)
"""Talk by people: read sentences, cards, and numbers that are no reading."""
PROMPT_DIGITS = ("zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine")
TO_THE_END = 10**4
_NO_PROMPTS = ("beep", "2tone", "silence", "digits")


@dataclass(frozen=True)
class Token:
    """One digit in a recording, in hundredths of a second, as a forced alignment found it, or all of a recording."""

    word: str
    file: str
    start: int = 0
    end: int = TO_THE_END


@dataclass(frozen=True)
class Person:
    """Somebody whose digits were recorded."""

    voice: str
    tokens: tuple[Token, ...]

    def says(self, text: str) -> Samples:
        """The digits of `text`, each in the next of this person's ways to say it."""
        random = np.random.default_rng(list(text.encode()))
        left = list(self.tokens)
        pieces: list[Samples] = []
        for word in text.split():
            token = next(token for token in left if token.word == word)
            left.remove(token)
            gap = int(random.uniform(*GAPS_SECONDS) * SAMPLE_RATE)
            pieces += [_cut(token), np.zeros(gap, np.float32)]
        return np.concatenate(pieces[:-1])

    def readings(self, count: int, seed: int) -> list[str]:
        """So many strings of three digits, no recording used twice in one."""
        texts = sorted({" ".join(token.word for token in three) for three in permutations(self.tokens, 3)})
        return [str(text) for text in np.random.default_rng(seed).permutation(texts)[:count]]


PEOPLE = (
    Person("a man reading digits", tuple(Token(word, "tidigits/dhd.2934z.raw", start, end) for word, start, end in (
        ("two", 22, 41), ("nine", 41, 65), ("three", 65, 88), ("four", 88, 113), ("zero", 113, 162),
    ))),
    Person("a man naming cards", (
        Token("four", "cards/002.wav", 0, 63), Token("seven", "cards/003.wav", 7, 56),
        Token("five", "cards/004.wav", 0, 72), Token("five", "cards/004.wav", 83, 124),
        Token("eight", "cards/005.wav", 19, 42), Token("four", "cards/005.wav", 125, 154),
        Token("seven", "cards/005.wav", 222, 263),
    )),
    Person("a woman's prompts", tuple(
        Token(word, str(PROMPTS / f"digits/{digit}.g722")) for digit, word in enumerate(PROMPT_DIGITS)
    )),
)  # fmt: skip


@dataclass(frozen=True)
class Recording:
    """What somebody says, at the level of speech, and what its file is called."""

    name: str
    sound: Samples


def sentences() -> Iterator[Recording]:
    """The talk, one recording after another."""
    yield from _all(map(FOLDER.joinpath, SENTENCES))


def prompts() -> Iterator[Recording]:
    """What an exchange says: whole sentences, and words that are put together there, each alone; no tones or digits."""
    paths = {path: str(path.relative_to(PROMPTS)) for path in sorted(PROMPTS.rglob("*.g722"))}
    yield from _all(path for path, name in paths.items() if not any(part in name for part in _NO_PROMPTS))


def cries() -> Iterator[Recording]:
    """What the actors cry out, in turn, so that hardly two in succession are by one of them."""
    paths = (path for actor in ACTORS for path in (CRIES / actor).glob("*.ogg"))
    yield from _all(sorted(paths, key=lambda path: (path.name, path)))


def missing_recordings() -> tuple[str, ...]:
    """The packages of Debian that this machine lacks."""
    packages = {"pocketsphinx-testdata": FOLDER, "asterisk-core-sounds-en-g722": PROMPTS, "hedgewars-data": CRIES}
    return tuple(name for name, folder in packages.items() if not folder.is_dir())


def _all(paths: Iterable[Path]) -> Iterator[Recording]:
    for path in paths:
        yield Recording(path.stem, _levelled(_recording(path)))


@cache
def _recording(path: Path) -> Samples:
    if path.suffix == ".raw":
        return np.asarray(np.fromfile(path, "<i2") / 32768, np.float32)
    if path.suffix == ".g722":
        command = ["ffmpeg", "-v", "error", "-f", "g722", "-i", str(path), "-f", "s16le", "-ac", "1", "-"]
        sound = subprocess.run(command, check=True, capture_output=True).stdout
        return trimmed(np.asarray(np.frombuffer(sound, "<i2") / 32768, np.float32))
    channels, rate = soundfile.read(path, dtype="float32", always_2d=True)
    return np.asarray(soxr.resample(channels.mean(axis=1), rate, SAMPLE_RATE), np.float32)


@cache
def _cut(token: Token) -> Samples:
    """The digit with ten milliseconds faded in and out, so that no click betrays the cut."""
    sound = _recording(FOLDER / token.file)[token.start * 160 : token.end * 160].copy()
    fade = np.linspace(0, 1, 160, dtype=np.float32)
    sound[:160] *= fade
    sound[-160:] *= fade[::-1]
    return _levelled(sound)


def _levelled(sound: Samples) -> Samples:
    return np.asarray(sound * (SPEECH_LEVEL / active_level(sound)), np.float32)
