"""The demo's screen: the dialogue as it happens, under a bar that runs over the sound."""

from __future__ import annotations

from collections.abc import Callable

from rich.console import Console

from sparehand.ground.clock import Moment
from sparehand.job.state import JobState
from sparehand.screens.dialogue import DialogueView
from sparehand.screens.job_view import Heard
from sparehand.voice.recognising.rejection import CALLED


class DemoView(DialogueView):
    """A dialogue that remembers how the job stands and lets the technician notice what was heard."""

    def __init__(self, console: Console, sound_seconds: float) -> None:
        super().__init__(console)
        self.latest: JobState | None = None
        self.noticed: Callable[[Heard], None] = lambda _heard: None
        self._sound_seconds = sound_seconds

    def heard(self, heard: Heard) -> None:
        """Show what was heard, and let the technician notice it. The call word alone is not worth a line."""
        if heard.reason != CALLED:
            super().heard(heard)
        self.noticed(heard)

    def state(self, state: JobState, _now: Moment) -> None:
        """Remember how the job stands."""
        self.latest = state

    def sound(self, end_seconds: float) -> None:
        """So much sound has been heard; the length of the whole is a guess that stretches."""
        self.progress(end_seconds, max(self._sound_seconds, end_seconds))
