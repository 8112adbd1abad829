"""Synthetic workshop noise: the same samples for the same seed, at a stated level below the speech."""

from __future__ import annotations

from typing import Literal

import numpy as np
from numpy.typing import NDArray

from sparehand.voice.sound.samples import SAMPLE_RATE, Samples

NoiseKind = Literal["pink", "impact wrench", "compressor hum", "hammer", "shop"]
"""`shop` is the others together: a floor of pink noise and hum, now and then a burst of work."""

_FRAME = SAMPLE_RATE // 50
_ACTIVE_WITHIN_DB = 25.0


def shop_noise(kind: NoiseKind, seconds: float, seed: int) -> Samples:
    """Noise of a root mean square of 0.1, shape (seconds × SAMPLE_RATE,)."""
    count = round(seconds * SAMPLE_RATE)
    random = np.random.default_rng(seed)
    made = _MAKERS[kind](count, random)
    return (0.1 * made / max(_rms(made), 1e-12)).astype(np.float32)


def active_level(speech: Samples) -> float:
    """The root mean square of the frames in which somebody speaks: 20 ms within 25 dB of the loudest.

    A simple relative of the active speech level of ITU-T P.56. Zero for silence.
    """
    whole = len(speech) // _FRAME * _FRAME
    if whole == 0:
        return _rms(speech)
    power = np.mean(np.square(speech[:whole], dtype=np.float64).reshape(-1, _FRAME), axis=1)
    active = power[power >= power.max() * 10 ** (-_ACTIVE_WITHIN_DB / 10)]
    return float(np.sqrt(active.mean()))


def at_level(speech: Samples, noise: Samples, snr_db: float) -> Samples:
    """`noise` scaled to lie `snr_db` below the active level of `speech`. Its length stays its own."""
    level = _rms(noise)
    if level == 0.0:
        return noise
    return (noise * (active_level(speech) / level * 10 ** (-snr_db / 20))).astype(np.float32)


def _rms(sound: NDArray[np.floating]) -> float:
    return float(np.sqrt(np.mean(np.square(sound, dtype=np.float64)))) if len(sound) else 0.0


def _pink(count: int, random: np.random.Generator) -> NDArray[np.float64]:
    """White noise shaped to fall 3 dB an octave above 20 Hz."""
    spectrum = np.fft.rfft(random.standard_normal(count))
    hertz = np.fft.rfftfreq(count, 1 / SAMPLE_RATE)
    return np.fft.irfft(spectrum / np.sqrt(np.maximum(hertz, 20.0)), count)


def _impact_wrench(count: int, random: np.random.Generator) -> NDArray[np.float64]:
    """Bursts of about two seconds of some twenty metallic blows a second, over rushing air."""
    sound = 0.05 * _unit(_pink(count, random))
    at = int(random.uniform(0, 1) * SAMPLE_RATE)
    while at < count:
        end = at + int(random.uniform(1.2, 2.8) * SAMPLE_RATE)
        while at < min(end, count):
            _add(sound, at, _ring(random, (1800.0, 3100.0, 5200.0), 0.012) * random.uniform(0.7, 1.0))
            at += int(SAMPLE_RATE / random.uniform(18, 23))
        at += int(random.uniform(0.8, 2.5) * SAMPLE_RATE)
    return sound


def _compressor_hum(count: int, random: np.random.Generator) -> NDArray[np.float64]:
    """A motor's hum with its harmonics, beating slowly, over a little rumble."""
    seconds = np.arange(count) / SAMPLE_RATE
    hum = sum(
        np.sin(2 * np.pi * 49.0 * harmonic * seconds + random.uniform(0, 2 * np.pi)) / harmonic**0.8
        for harmonic in range(1, 13)
    )
    beat = 1 + 0.3 * np.sin(2 * np.pi * 7.3 * seconds)
    rumble = _pink(count, random)
    return np.asarray(hum * beat + 0.3 * _unit(rumble))


def _hammer(count: int, random: np.random.Generator) -> NDArray[np.float64]:
    """Single blows that ring, one to two a second."""
    sound = np.zeros(count)
    at = int(random.uniform(0.2, 0.8) * SAMPLE_RATE)
    while at < count:
        _add(sound, at, _ring(random, (820.0, 1950.0, 3400.0), 0.09))
        at += int(random.uniform(0.5, 1.0) * SAMPLE_RATE)
    return sound


def _shop(count: int, random: np.random.Generator) -> NDArray[np.float64]:
    floor = _unit(_pink(count, random)) + 0.7 * _unit(_compressor_hum(count, random))
    return floor + 0.5 * _unit(_impact_wrench(count, random)) + 0.3 * _unit(_hammer(count, random))


def _unit(sound: NDArray[np.float64]) -> NDArray[np.float64]:
    return sound / max(_rms(sound), 1e-12)


def _ring(random: np.random.Generator, partials_hz: tuple[float, ...], decay_seconds: float) -> NDArray[np.float64]:
    """A struck piece of metal: a click and partials that die away."""
    seconds = np.arange(int(6 * decay_seconds * SAMPLE_RATE)) / SAMPLE_RATE
    partials = sum(np.sin(2 * np.pi * hertz * random.uniform(0.97, 1.03) * seconds) for hertz in partials_hz)
    click = random.standard_normal(len(seconds)) * np.exp(-seconds / 0.002)
    return np.asarray((partials / len(partials_hz) * np.exp(-seconds / decay_seconds)) + click)


def _add(sound: NDArray[np.float64], at: int, blow: NDArray[np.float64]) -> None:
    end = min(len(sound), at + len(blow))
    sound[at:end] += blow[: end - at]


_MAKERS = {
    "pink": _pink,
    "impact wrench": _impact_wrench,
    "compressor hum": _compressor_hum,
    "hammer": _hammer,
    "shop": _shop,
}
