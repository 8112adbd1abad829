"""What the bench itself does: the job has no part in it and records nothing."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Quiet:
    """Stop speaking now."""


@dataclass(frozen=True)
class StopListening:
    """Listen to nothing but a key or the call word."""


@dataclass(frozen=True)
class VoiceOff:
    """Show what is answered, without speaking it."""


@dataclass(frozen=True)
class VoiceOn:
    """Speak again."""


@dataclass(frozen=True)
class OtherJob:
    """Put this job on hold and go on with another that is open."""


@dataclass(frozen=True)
class WhichJob:
    """Say which job this is, and which others are open."""


BenchCommand = Quiet | StopListening | VoiceOff | VoiceOn | OtherJob | WhichJob
