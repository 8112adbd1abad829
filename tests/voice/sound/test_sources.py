from datetime import UTC, datetime
from pathlib import Path

import numpy as np
import pytest
import soundfile

from sparehand.ground.clock import start_of_run
from sparehand.ground.errors import InputError
from sparehand.voice.sound.blocks import BLOCK_SAMPLES
from sparehand.voice.sound.samples import SAMPLE_RATE, Samples, SoundBlock
from sparehand.voice.sound.sources import FileSource
from voice.sounds import tone


def _opened(path: Path) -> FileSource:
    return FileSource(path, start_of_run(datetime(2030, 1, 7, 8, tzinfo=UTC), "test"))


def _all(path: Path) -> list[SoundBlock]:
    return list(_opened(path).blocks())


def _sound(path: Path) -> Samples:
    return np.concatenate([block.samples for block in _all(path)])


@pytest.mark.parametrize("rate", [8_000, 16_000, 22_050, 44_100, 96_000])
@pytest.mark.parametrize(("channels", "subtype"), [(1, "PCM_16"), (2, "PCM_24"), (8, "FLOAT")])
def test_any_rate_and_channel_count_is_heard_as_the_same_tone(
    tmp_path: Path, rate: int, channels: int, subtype: str
) -> None:
    path = tmp_path / "tone.wav"
    soundfile.write(path, np.repeat(tone(2.0, rate=rate)[:, None], channels, axis=1), rate, subtype)
    heard = _sound(path)
    assert len(heard) == pytest.approx(2 * SAMPLE_RATE, abs=BLOCK_SAMPLES)
    middle = slice(SAMPLE_RATE // 2, SAMPLE_RATE * 3 // 2)
    assert np.abs(heard[middle] - tone(2.0)[middle]).max() < 0.01


def test_a_file_is_heard_on_its_own_clock(tmp_path: Path) -> None:
    soundfile.write(tmp_path / "tone.wav", tone(1.0), SAMPLE_RATE)
    source = _opened(tmp_path / "tone.wav")
    began = source.clock.now()
    blocks = list(source.blocks())
    assert [began.milliseconds_until(block.moment) for block in blocks] == [32 * (n + 1) for n in range(len(blocks))]
    assert [block.start_seconds for block in blocks] == pytest.approx([0.032 * n for n in range(len(blocks))])
    assert all(len(block.samples) == BLOCK_SAMPLES for block in blocks)


def test_clipped_and_shifted_sound_stays_within_full_scale(tmp_path: Path) -> None:
    soundfile.write(tmp_path / "loud.wav", 5 * tone(0.5) + 2, SAMPLE_RATE, "FLOAT")
    assert np.abs(_sound(tmp_path / "loud.wav")).max() <= 1.0


def test_a_file_that_is_not_there_is_named(tmp_path: Path) -> None:
    with pytest.raises(InputError, match=r"none\.wav.*no such sound file"):
        _opened(tmp_path / "none.wav")


@pytest.mark.parametrize("content", [b"", b"RIFF", b"not a sound at all"])
def test_a_file_that_holds_no_sound_is_refused(tmp_path: Path, content: bytes) -> None:
    (tmp_path / "broken.wav").write_bytes(content)
    with pytest.raises(InputError, match="no sound file that can be read"):
        _opened(tmp_path / "broken.wav")


def test_a_file_of_no_length_is_refused(tmp_path: Path) -> None:
    soundfile.write(tmp_path / "empty.wav", np.zeros(0, np.float32), SAMPLE_RATE)
    with pytest.raises(InputError, match="holds no sound"):
        _opened(tmp_path / "empty.wav")


@pytest.mark.parametrize("wrong", [np.nan, np.inf])
def test_values_that_are_no_numbers_are_refused_with_their_place(tmp_path: Path, wrong: float) -> None:
    sound = tone(3.0)
    sound[SAMPLE_RATE * 5 // 2] = wrong
    soundfile.write(tmp_path / "odd.wav", sound, SAMPLE_RATE, "FLOAT")
    with pytest.raises(InputError, match=r"at 2 s: .*no numbers"):
        _all(tmp_path / "odd.wav")


def test_a_truncated_file_gives_what_is_left_of_it(tmp_path: Path) -> None:
    path = tmp_path / "cut.wav"
    soundfile.write(path, tone(2.0), SAMPLE_RATE)
    path.write_bytes(path.read_bytes()[: 44 + SAMPLE_RATE * 2])
    assert len(_sound(path)) == pytest.approx(SAMPLE_RATE, abs=BLOCK_SAMPLES)


def test_silence_is_sound_too(tmp_path: Path) -> None:
    soundfile.write(tmp_path / "silent.wav", np.zeros(SAMPLE_RATE, np.float32), SAMPLE_RATE)
    assert not _sound(tmp_path / "silent.wav").any()
