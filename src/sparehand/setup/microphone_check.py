"""What a microphone gives: the noise of the room, the loudness and the quality of speech, whether it is understood."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from sparehand.ground.errors import FailureError, InputError
from sparehand.settings import Settings
from sparehand.setup.device_trials import Devices
from sparehand.setup.selfcheck import BETTER_THAN_TELEPHONE, Item
from sparehand.voice.recognising.heard import Heard
from sparehand.voice.sound.level import advice, level_of
from sparehand.voice.sound.samples import SAMPLE_RATE, Samples
from sparehand.voice.speaking.tones import Tone, tone

QUIET_SECONDS = 3.0
TONE_SECONDS = 3.0
SPEAK_SECONDS = 12.0
SENTENCE = "repeat torque"
TONE: Tone = "timer"
TELEPHONE_BELOW_DB = -50.0
"""Speech has more than this above 4.5 kHz, relative to what it has below 3.4 kHz; telephone quality has nothing."""
_LEAK_CORRELATION = 0.3


@dataclass(frozen=True)
class Measured:
    """Of one microphone: levels in decibels below full scale, the delay of a tone that leaked in, if one did."""

    noise_db: float
    speech_db: float
    telephone: bool
    delay_seconds: float | None
    heard: Heard | None
    what_to_do: str

    def item(self) -> Item:
        """As a line of the self-check."""
        understood = f'heard "{self.heard.text}", {self.heard.confidence:.0%} sure' if self.heard else "not understood"
        delay = "" if self.delay_seconds is None else f", its sound comes back after {self.delay_seconds * 1000:.0f} ms"
        quality = ", telephone quality" if self.telephone else ""
        detail = f"noise {self.noise_db:.0f} dB, speech {self.speech_db:.0f} dB{quality}{delay}; {understood}"
        advised = self.what_to_do or _advice_on(self)
        return Item(name="sample", state="warn" if advised else "ok", detail=detail, what_to_do=advised)


def _advice_on(measured: Measured) -> str:
    if measured.telephone:
        return BETTER_THAN_TELEPHONE
    if measured.heard is None:
        return "say it again, nearer; or use the call word, a key, or the recommended recogniser"
    return ""


def check_microphone(settings: Settings, devices: Devices, tell: Callable[[str], None]) -> Item:
    """Record the room, a tone and a sentence, and say what to improve. Whatever fails is the line's text."""
    try:
        return _measure(settings, devices, tell).item()
    except (FailureError, InputError) as error:
        return Item(name="sample", state="missing", detail=str(error), what_to_do="meanwhile use --ears keyboard")


def _measure(settings: Settings, devices: Devices, tell: Callable[[str], None]) -> Measured:
    ears = devices.ears()
    source = devices.source(settings.input_device or None)
    speaker = devices.speaker(settings)
    parts: list[Samples] = []
    heard: Heard | None = None
    tone_at = speak_at = 0.0
    tell(f"Be quiet for {QUIET_SECONDS:.0f} seconds.")
    try:
        for block in source.blocks():
            parts.append(block.samples)
            if not tone_at and block.end_seconds >= QUIET_SECONDS:
                tone_at = block.end_seconds
                speaker.signal(TONE)
            elif tone_at and not speak_at and block.end_seconds >= tone_at + TONE_SECONDS:
                speak_at = block.end_seconds
                tell(f'Now say "{SENTENCE}", as loud as you speak at work.')
            if speak_at:
                heard = next((one for one in ears.hear(block) if one.accepted), None)
            if heard or (speak_at and block.end_seconds >= speak_at + SPEAK_SECONDS):
                break
    finally:
        source.close()
        speaker.close()
    return measure(np.concatenate(parts) if parts else np.zeros(0, np.float32), tone_at, speak_at, heard)


def measure(sound: Samples, tone_at: float, speak_at: float, heard: Heard | None) -> Measured:
    """What a recording at SAMPLE_RATE shows that was quiet until `tone_at` and holds speech from `speak_at`, in s."""
    quiet = sound[: round((tone_at or QUIET_SECONDS) * SAMPLE_RATE)]
    spoken = sound[round(speak_at * SAMPLE_RATE) :]
    blocks = [level_of(piece) for piece in np.array_split(spoken, max(1, len(spoken) // 512))]
    return Measured(
        noise_db=float(np.median([level_of(piece).db for piece in np.array_split(quiet, max(1, len(quiet) // 512))])),
        speech_db=float(np.percentile([level.db for level in blocks], 95)),
        telephone=heard is not None and _above_telephone_db(spoken) < TELEPHONE_BELOW_DB,
        delay_seconds=_delay(sound[round(tone_at * SAMPLE_RATE) : round(speak_at * SAMPLE_RATE)]),
        heard=heard,
        what_to_do=advice(blocks),
    )


def _above_telephone_db(sound: Samples) -> float:
    """The power of 4.5 to 7 kHz relative to that of 300 Hz to 3.4 kHz."""
    power = np.abs(np.fft.rfft(sound)) ** 2
    hertz = np.fft.rfftfreq(len(sound), 1 / SAMPLE_RATE)
    high, low = power[(hertz > 4500) & (hertz < 7000)].sum(), power[(hertz > 300) & (hertz < 3400)].sum()
    return 10 * float(np.log10(max(float(high), 1e-12) / max(float(low), 1e-12)))


def _delay(sound: Samples) -> float | None:
    """After how many seconds the tone begins in `sound`; None where it cannot be found."""
    sought = tone(TONE)
    if len(sound) < len(sought):
        return None
    size = len(sound) + len(sought)
    overlap = np.fft.irfft(np.fft.rfft(sound, size) * np.conj(np.fft.rfft(sought, size)), size)
    places = overlap[: len(sound) - len(sought) + 1]
    energy = np.convolve(np.square(sound, dtype=np.float64), np.ones(len(sought)), "valid")
    likeness = places / np.sqrt(np.maximum(energy, 1e-9) * float(np.sum(np.square(sought, dtype=np.float64))))
    place = int(np.argmax(likeness))
    return place / SAMPLE_RATE if likeness[place] >= _LEAK_CORRELATION else None
