"""Sound as bad microphones and careless recordings give it, through the whole chain of hearing."""

from __future__ import annotations

import tracemalloc
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

import numpy as np
import pytest
import soundfile
import soxr

from sparehand.demo.noise import active_level, at_level, shop_noise
from sparehand.ground.clock import start_of_run
from sparehand.voice.hear_file import hear_file
from sparehand.voice.recognising.pocketsphinx_engine import PocketsphinxRecogniser
from sparehand.voice.sound.samples import SAMPLE_RATE, Samples
from sparehand.voice.sound.sources import FileSource
from sparehand.voice.speaking.speech import Speech
from sparehand.voice.speaking.synthesis import Synthesiser
from voice.sounds import tone

HOUR_SECONDS = 3600


@pytest.fixture(scope="module")
def recogniser() -> PocketsphinxRecogniser:
    return PocketsphinxRecogniser()


@pytest.fixture(scope="module")
def said() -> Samples:
    """A called command with quiet around it, a little noise over all."""
    synthesiser = Synthesiser("gmw/en-us+m3", 150, timeout_seconds=60.0)
    speech = synthesiser.synthesise("spare hand, say again")
    synthesiser.close()
    assert isinstance(speech, Speech)
    quiet = np.zeros(SAMPLE_RATE, np.float32)
    sound = np.concatenate([quiet, speech.samples * (0.08 / active_level(speech.samples)), quiet])
    return sound + at_level(sound, shop_noise("pink", len(sound) / SAMPLE_RATE, seed=5), 25.0)


def _acted_on(path: Path, recogniser: PocketsphinxRecogniser) -> list[str]:
    return [heard.text for heard in hear_file(path, recogniser, "call") if heard.accepted]


@pytest.mark.parametrize(
    "spoil",
    [
        pytest.param(lambda sound: sound + 0.3, id="shifted off its middle"),
        pytest.param(lambda sound: np.clip(sound * 12, -1, 1), id="much too loud and clipped"),
        pytest.param(lambda sound: sound * 0.02, id="much too quiet"),
    ],
)
def test_a_command_is_heard_in_spoilt_sound(
    said: Samples, recogniser: PocketsphinxRecogniser, tmp_path: Path, spoil: Callable[[Samples], Samples]
) -> None:
    soundfile.write(tmp_path / "said.wav", spoil(said), SAMPLE_RATE, "FLOAT")
    assert _acted_on(tmp_path / "said.wav", recogniser) == ["say again"]


@pytest.mark.parametrize(("rate", "channels"), [(8_000, 1), (96_000, 1), (48_000, 8)])
def test_a_command_is_heard_at_any_rate_and_from_many_channels(
    said: Samples, recogniser: PocketsphinxRecogniser, tmp_path: Path, rate: int, channels: int
) -> None:
    sound = soxr.resample(said, SAMPLE_RATE, rate)
    soundfile.write(tmp_path / "said.wav", np.repeat(sound[:, None], channels, axis=1), rate)
    assert _acted_on(tmp_path / "said.wav", recogniser) == ["say again"]


@pytest.mark.parametrize(
    "sound",
    [
        pytest.param(np.zeros(2 * SAMPLE_RATE, np.float32), id="silence"),
        pytest.param(np.full(2 * SAMPLE_RATE, 0.9, np.float32), id="nothing but a shift"),
        pytest.param(np.sign(tone(2.0)), id="clipped to a square"),
        pytest.param(np.random.default_rng(1).uniform(-1, 1, 2 * SAMPLE_RATE).astype(np.float32), id="full hiss"),
    ],
)
def test_sound_without_speech_is_acted_on_by_nobody(
    recogniser: PocketsphinxRecogniser, tmp_path: Path, sound: Samples
) -> None:
    soundfile.write(tmp_path / "none.wav", sound, SAMPLE_RATE)
    assert _acted_on(tmp_path / "none.wav", recogniser) == []


def test_an_hour_is_read_as_it_is_heard(tmp_path: Path) -> None:
    path = tmp_path / "hour.flac"
    soundfile.write(path, np.zeros(HOUR_SECONDS * 8_000, np.int16), 8_000)
    tracemalloc.start()
    source = FileSource(path, start_of_run(datetime(2030, 1, 7, 8, tzinfo=UTC), "test"))
    first = [block for block, _ in zip(source.blocks(), range(200), strict=False)]
    _, most_bytes = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    source.close()
    assert source.seconds == HOUR_SECONDS
    assert len(first) == 200
    assert most_bytes < 5_000_000
