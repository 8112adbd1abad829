"""Trying a microphone and a voice, as `sparehand setup` does: what fails is told and stops nothing."""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from sparehand.ground.clock import LiveClock, start_of_run
from sparehand.ground.errors import FailureError, InputError
from sparehand.ground.ids import new_run_id
from sparehand.ground.places import MODELS_FOLDER
from sparehand.settings import Settings
from sparehand.voice.ears import Ears
from sparehand.voice.phrases.phrase_file import load_phrases
from sparehand.voice.recognising.heard import Heard
from sparehand.voice.sound.level import Level, advice, level_of, meter
from sparehand.voice.sound.sources import FileSource, SoundSource
from sparehand.voice.speaking.speaker import Speaker

if TYPE_CHECKING:
    from sparehand.voice.speaking.device_speaker import DeviceSpeaker

TRIAL_SECONDS = 12.0
METER_SECONDS = 0.25
_LONGEST_SAMPLE_SECONDS = 15.0


@dataclass(frozen=True)
class Trial:
    """What a microphone gave: the phrase that was understood, if any, and what to do about its level."""

    heard: Heard | None
    what_to_do: str


def is_file(name: str) -> bool:
    """Whether a sound file is named in place of a microphone."""
    return name.lower().endswith(".wav")


class Devices:
    """The microphone, ears and mouth of this machine; a test gives others."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder

    def source(self, name: str | None) -> SoundSource:
        """A microphone by its name, or a sound file in its place. Raises FailureError or InputError."""
        if name is not None and is_file(name):
            return FileSource(Path(name), start_of_run(datetime.now(UTC), new_run_id()))
        from sparehand.voice.sound.microphone import MicrophoneSource

        return MicrophoneSource(name, LiveClock(new_run_id()))

    def ears(self) -> Ears:
        """Ears that listen to everything that can be said. Raises InputError where no recogniser is there."""
        from sparehand.voice.recognising.engines import open_recogniser

        return Ears(open_recogniser(None, self._folder / MODELS_FOLDER), load_phrases(), listen="always")

    def speaker(self, settings: Settings) -> Speaker:
        """The voice and the device as the settings want them."""
        return self._device_speaker(settings)

    def _device_speaker(self, settings: Settings) -> DeviceSpeaker:
        from sparehand.voice.speaking.device_speaker import DeviceSpeaker
        from sparehand.voice.speaking.synthesis import Synthesiser

        return DeviceSpeaker(Synthesiser.of(settings), settings.output_device, settings.volume)

    def speak(self, text: str, settings: Settings) -> str:
        """Say a text aloud and wait for its end; gives why nothing was heard, or nothing."""
        speaker = self._device_speaker(settings)
        try:
            speaker.say(text)
            speaker.wait_until_queued()
            until = time.monotonic() + _LONGEST_SAMPLE_SECONDS
            while speaker.speaking and time.monotonic() < until:
                time.sleep(METER_SECONDS)
            return speaker.status
        finally:
            speaker.close()


def try_microphone(name: str | None, devices: Devices, show_meter: Callable[[str], None]) -> Trial:
    """Listen until a phrase is understood, the sound ends or TRIAL_SECONDS are over.

    Raises FailureError or InputError where the microphone or the ears cannot be had.
    """
    ears = devices.ears()
    source = devices.source(name)
    levels: list[Level] = []
    metered = 0.0
    try:
        for block in source.blocks():
            levels.append(level_of(block.samples))
            if block.end_seconds - metered >= METER_SECONDS:
                metered = block.end_seconds
                show_meter(meter(levels[-1]))
            for heard in ears.hear(block):
                if heard.accepted:
                    return Trial(heard, advice(levels))
            if block.end_seconds >= TRIAL_SECONDS:
                return Trial(None, advice(levels))
        understood = [heard for heard in ears.finish() if heard.accepted]
        return Trial(understood[0] if understood else None, advice(levels))
    finally:
        source.close()


def trial_lines(name: str | None, devices: Devices, show_meter: Callable[[str], None]) -> tuple[str, ...]:
    """The trial of a microphone in words; what fails is one of them."""
    try:
        trial = try_microphone(name, devices, show_meter)
    except (FailureError, InputError) as error:
        return (f"No microphone: {error}.", "You can go on; jobs are run with --ears keyboard until it is there.")
    heard = trial.heard
    said = f'Heard: "{heard.text}", {heard.confidence:.0%} sure.' if heard else "No phrase was understood."
    return (said, f"{trial.what_to_do[:1].upper()}{trial.what_to_do[1:]}.") if trial.what_to_do else (said,)
