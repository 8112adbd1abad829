"""A microphone measured: the room's noise, speech, its quality and delay, and what to do about them."""

from __future__ import annotations

from datetime import UTC, datetime

import numpy as np
import pytest
import soxr

from sparehand.ground.clock import start_of_run
from sparehand.ground.errors import FailureError
from sparehand.settings import Settings
from sparehand.setup.device_trials import Devices
from sparehand.setup.microphone_check import QUIET_SECONDS, TONE, TONE_SECONDS, check_microphone, measure
from sparehand.voice.ears import Ears
from sparehand.voice.phrases.phrase_file import load_phrases
from sparehand.voice.recognising.heard import Heard, typed_phrase
from sparehand.voice.sound.samples import SAMPLE_RATE, Samples
from sparehand.voice.sound.sources import SoundSource
from sparehand.voice.speaking.speaker import SilentSpeaker
from sparehand.voice.speaking.tones import tone
from voice.sounds import LoudIsSpeech, ScriptedRecogniser, Talked

TABLE = load_phrases()
TONE_AT, SPEAK_AT = QUIET_SECONDS, QUIET_SECONDS + TONE_SECONDS


def understood() -> Heard:
    now = start_of_run(datetime(2030, 1, 7, tzinfo=UTC), "test").now()
    return typed_phrase(TABLE, "repeat torque", {"working"}, now)


def recording(noise: float = 0.002, speech: float = 0.1, delay: float | None = 0.18) -> Samples:
    """Hiss, a tone that leaks in after `delay` seconds, and a wide-band stand-in for speech."""
    chance = np.random.default_rng(5)
    sound = chance.normal(0, noise, round((SPEAK_AT + 2) * SAMPLE_RATE))
    if delay is not None:
        at = round((TONE_AT + delay) * SAMPLE_RATE)
        leak = 0.02 * tone(TONE)
        sound[at : at + len(leak)] += leak
    spoken = chance.normal(0, speech, SAMPLE_RATE)
    at = round((SPEAK_AT + 0.5) * SAMPLE_RATE)
    sound[at : at + SAMPLE_RATE] += spoken
    return np.clip(sound, -1, 1).astype(np.float32)


def test_levels_and_the_delay_of_the_headset_are_measured() -> None:
    measured = measure(recording(), TONE_AT, SPEAK_AT, understood())
    assert measured.noise_db == pytest.approx(20 * np.log10(0.002), abs=1)
    assert measured.speech_db == pytest.approx(-20, abs=1)
    assert measured.delay_seconds == pytest.approx(0.18, abs=0.002)
    assert not measured.telephone
    assert measured.item().state == "ok"


def test_a_tone_that_cannot_be_found_gives_no_delay() -> None:
    assert measure(recording(delay=None), TONE_AT, SPEAK_AT, understood()).delay_seconds is None


def test_telephone_quality_is_noticed_whatever_rate_the_device_claims() -> None:
    narrow = soxr.resample(soxr.resample(recording(), SAMPLE_RATE, 8_000), 8_000, SAMPLE_RATE)
    item = measure(narrow.astype(np.float32), TONE_AT, SPEAK_AT, understood()).item()
    assert "telephone quality" in item.detail
    assert "wire" in item.what_to_do


@pytest.mark.parametrize(
    ("noise", "speech", "words"), [(0.002, 0.002, "too quiet"), (0.09, 0.1, "nearly as loud"), (0.002, 0.9, "too loud")]
)
def test_a_wrong_level_says_what_to_do(noise: float, speech: float, words: str) -> None:
    item = measure(recording(noise, speech), TONE_AT, SPEAK_AT, understood()).item()
    assert item.state == "warn"
    assert words in item.what_to_do


class Desk(Devices):
    """A desk with a scripted recogniser, somebody who speaks when told, and no loudspeaker."""

    def __init__(self, says: str = "repeat torque", fails: str = "") -> None:
        self.says, self.fails = says, fails

    def source(self, _name: str | None) -> SoundSource:
        if self.fails:
            raise FailureError(self.fails)
        return Talked(0.0, SPEAK_AT + 1, 0.8, 15.0)

    def ears(self) -> Ears:
        return Ears(ScriptedRecogniser(*[self.says] * 9), TABLE, listen="always", activity=LoudIsSpeech())

    def speaker(self, _settings: Settings) -> SilentSpeaker:
        return SilentSpeaker()


def test_the_trial_tells_what_to_do_and_ends_when_the_sentence_is_understood() -> None:
    told: list[str] = []
    item = check_microphone(Settings(), Desk(), told.append)
    assert told == ["Be quiet for 3 seconds.", 'Now say "repeat torque", as loud as you speak at work.']
    assert 'heard "repeat torque"' in item.detail


def test_what_is_not_understood_is_said_so() -> None:
    assert "not understood" in check_microphone(Settings(), Desk(says=""), lambda _: None).detail


def test_a_microphone_that_cannot_be_opened_is_a_line_of_the_report() -> None:
    item = check_microphone(Settings(), Desk(fails="no microphone is there"), lambda _: None)
    assert (item.state, item.detail) == ("missing", "no microphone is there")
