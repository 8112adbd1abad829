import numpy as np

from sparehand.voice.blocks import BLOCK_SAMPLES
from sparehand.voice.noise_filter import DELAY_SECONDS, NoiseFilter
from sparehand.voice.sound import SAMPLE_RATE, Samples
from voice.sounds import tone

DELAY = round(DELAY_SECONDS * SAMPLE_RATE)


def _filtered(sound: Samples) -> Samples:
    cleaner = NoiseFilter()
    whole = sound[: len(sound) // BLOCK_SAMPLES * BLOCK_SAMPLES]
    return np.concatenate([cleaner.feed(block) for block in whole.reshape(-1, BLOCK_SAMPLES)])


def _hiss(seconds: float, level: float) -> Samples:
    return np.random.default_rng(3).normal(0, level, round(seconds * SAMPLE_RATE)).astype(np.float32)


def _power(sound: Samples) -> float:
    return float(np.mean(np.square(sound, dtype=np.float64)))


def test_as_much_comes_out_as_goes_in_a_little_later() -> None:
    burst = np.concatenate([_hiss(1, 1e-4), tone(0.2), _hiss(1, 1e-4)])
    out = _filtered(burst)
    assert len(out) == len(burst) // BLOCK_SAMPLES * BLOCK_SAMPLES
    lag = np.argmax(np.correlate(out, burst[SAMPLE_RATE : SAMPLE_RATE * 6 // 5], "valid")) - SAMPLE_RATE
    assert lag == DELAY


def test_steady_noise_is_taken_down_by_the_least_gain() -> None:
    noise = _hiss(6, 0.01)
    assert _power(_filtered(noise)[-SAMPLE_RATE:]) < 0.25 * _power(noise)


def test_sound_well_above_the_noise_passes_unharmed() -> None:
    quiet, loud = _hiss(4, 0.001), tone(0.5)
    sound = np.concatenate([quiet, loud + quiet[: len(loud)], quiet])
    start = len(quiet) + SAMPLE_RATE // 8
    heard = _filtered(sound)[start + DELAY : start + DELAY + SAMPLE_RATE // 4]
    assert _power(heard - sound[start : start + SAMPLE_RATE // 4]) < 0.01 * _power(loud)


def test_silence_stays_silence() -> None:
    assert not _filtered(np.zeros(SAMPLE_RATE, np.float32)).any()
