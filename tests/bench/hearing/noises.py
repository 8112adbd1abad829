"""What lies under the speech in the corpus: the shop's noises, babble, a radio, and a reverberant room."""

from __future__ import annotations

from functools import cache
from typing import Literal, get_args

import numpy as np
from scipy.signal import butter, fftconvolve, sosfilt

from bench.hearing.talk import sentences
from bench.hearing.voices import SPEECH_LEVEL, Talker
from sparehand.demo.noise import active_level, at_level, shop_noise
from sparehand.voice.sound.samples import SAMPLE_RATE, Samples

Noise = Literal["pink", "impact wrench", "compressor hum", "hammer", "babble", "radio"]
NOISES: tuple[Noise, ...] = get_args(Noise)

_BABBLERS = (
    Talker("espeak-ng", "en-us+m1"),
    Talker("espeak-ng", "en-us+f1"),
    Talker("espeak-ng", "en-gb+m5"),
    Talker("espeak-ng", "en-gb+f4"),
    Talker("flite", "kal"),
)
_LOOP_SECONDS = 120
RADIO_BELOW_DB = 15.0


@cache
def noise_loop(kind: Noise) -> Samples:
    """Two minutes of a noise, from which pieces are cut."""
    match kind:
        case "babble":
            return _babble()
        case "radio":
            return _radio()
        case _:
            return shop_noise(kind, _LOOP_SECONDS, seed=11)


def noise_piece(kind: Noise, count: int, seed: int) -> Samples:
    """`count` samples of a noise, from a place that `seed` decides."""
    loop = noise_loop(kind)
    start = int(np.random.default_rng(seed).integers(len(loop)))
    return np.resize(np.roll(loop, -start), count)


def radio_alone(minutes: int, seed: int) -> Samples:
    """A radio programme in an empty shop, RADIO_BELOW_DB below somebody who would speak; announcers take turns."""
    pieces = range(0, 60 * minutes, _LOOP_SECONDS)
    announced = [_radio(_BABBLERS[(seed + at) % len(_BABBLERS)], 1000 * seed + at) for at in range(len(pieces))]
    sound = np.concatenate(announced)
    return (sound * (SPEECH_LEVEL / active_level(sound) * 10 ** (-RADIO_BELOW_DB / 20))).astype(np.float32)


def mixed(sound: Samples, speech: Samples, kind: Noise, snr_db: float, seed: int) -> Samples:
    """`sound` with a noise `snr_db` below the active level of `speech`."""
    whole = at_level(speech, noise_loop(kind), snr_db)
    start = int(np.random.default_rng(seed).integers(len(whole)))
    return np.clip(sound + np.resize(np.roll(whole, -start), len(sound)), -1, 1).astype(np.float32)


def in_a_room(sound: Samples, seconds: float = 0.5, seed: int = 5) -> Samples:
    """`sound` in a room with that reverberation time, the talker a metre away: decaying noise after direct sound."""
    random = np.random.default_rng(seed)
    count = int(seconds * SAMPLE_RATE)
    tail = random.standard_normal(count) * np.exp(-6.9 * np.arange(count) / count)
    tail[: int(0.004 * SAMPLE_RATE)] = 0.0
    response = 0.7 * tail / np.sqrt(np.sum(tail**2))
    response[0] = 1.0
    return np.asarray(fftconvolve(sound, response)[: len(sound) + count // 2], np.float32)


def _babble() -> Samples:
    """Five people who talk at the same time."""
    return np.asarray(np.sum([_talk_of(talker, 20 + at) for at, talker in enumerate(_BABBLERS)], axis=0), np.float32)


def _radio(announcer: Talker = _BABBLERS[0], seed: int = 40) -> Samples:
    """One speaker over chords, through a small loudspeaker."""
    seconds = np.arange(_LOOP_SECONDS * SAMPLE_RATE) / SAMPLE_RATE
    chords = ((220, 277, 330), (196, 247, 294), (174, 220, 262), (196, 247, 330))
    music = np.zeros(len(seconds))
    for at, chord in enumerate(chords):
        sounding = (seconds // 2).astype(int) % len(chords) == at
        music += sounding * sum(np.sign(np.sin(2 * np.pi * hertz * seconds)) for hertz in chord)
    music *= np.exp(-2.0 * (seconds % 0.5))
    band = butter(2, (300, 4000), "bandpass", fs=SAMPLE_RATE, output="sos")
    speech = _talk_of(announcer, seed)
    return np.asarray(sosfilt(band, speech + 0.012 * music), np.float32)


def _talk_of(talker: Talker, seed: int) -> Samples:
    pieces: list[Samples] = []
    for sentence in sentences(seed):
        pieces += [talker.says(sentence), np.zeros(SAMPLE_RATE // 3, np.float32)]
        if sum(map(len, pieces)) >= _LOOP_SECONDS * SAMPLE_RATE:
            break
    return np.concatenate(pieces)[: _LOOP_SECONDS * SAMPLE_RATE]
