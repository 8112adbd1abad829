"""What the bench says, in all its forms: on the screen, by a tone, in words, by a recording."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from uuid import UUID

from sparehand.conversation.self_echo import SelfEcho
from sparehand.job.answer import Answer
from sparehand.job.commands import Command, VoiceOff, VoiceOn
from sparehand.screens.job_view import JobView
from sparehand.voice.sound.samples import Samples
from sparehand.voice.speaking.speaker import Speaker
from sparehand.voice.speaking.tones import Tone

_REMEMBERED = 9
"""How many answers before the last count as just read."""


class Mouth:
    """Shows and speaks answers. `recording` gives a kept sound by its id, None where it is gone."""

    def __init__(
        self, view: JobView, speaker: Speaker, echo: SelfEcho, recording: Callable[[UUID], Samples | None]
    ) -> None:
        self._view = view
        self._speaker = speaker
        self._echo = echo
        self._recording = recording
        self._voice_on = True
        self._trouble = ""
        self._said: list[str] = []

    def say(self, answer: Answer, command: Command | None = None) -> None:
        """Show and speak an answer to `command`, which may switch the voice: both its answers are spoken."""
        was_on = self._voice_on
        self._voice_on = isinstance(command, VoiceOn) or (was_on and not isinstance(command, VoiceOff))
        if not answer.lines and answer.tone is None:
            return
        self._view.answered(answer)
        if answer.tone:
            self._speaker.signal(answer.tone)
        if was_on or self._voice_on:
            self._speak(answer)

    def tell(self, text: str) -> None:
        """Show and speak a sentence about the bench itself."""
        self._view.note(f"{text[:1].upper()}{text[1:]}.")
        if self._voice_on:
            self._speaker.say(text)

    def signal(self, tone: Tone) -> None:
        """Sound a tone."""
        self._speaker.signal(tone)

    def stop(self) -> None:
        """Fall silent at once; what was being said then does not count as read."""
        if self._speaker.speaking:
            self._said.clear()
        self._speaker.stop()

    def has_read(self, sentence: str) -> bool:
        """Whether a sentence was spoken to its end. Without a voice or a device that sounds, nothing was."""
        done = not (self._speaker.speaking or self._speaker.status or self._speaker.mute)
        return done and any(sentence in spoken for spoken in self._said)

    def prepare(self, texts: Iterable[str]) -> None:
        """Have `texts` ready to be spoken."""
        self._speaker.prepare(texts)

    def show_trouble(self) -> None:
        """Why nothing is heard of the bench, on the screen, once; the job goes on by it."""
        trouble, self._trouble = self._trouble, self._speaker.status
        if self._trouble and self._trouble != trouble:
            self._view.note(f"No sound: {self._trouble}.")

    def _speak(self, answer: Answer) -> None:
        if answer.spoken.strip():
            self._speaker.say(answer.spoken)
            self._said = [*self._said[-_REMEMBERED:], answer.spoken]
            self._echo.say(answer.spoken)
        for id in answer.sounds:
            sound = self._recording(id)
            if sound is None:
                self._view.note("Its recording is gone.")
            else:
                self._speaker.play(sound)
