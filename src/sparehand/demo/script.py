"""What the invented technician wants to say, and how long the work before it took."""

from __future__ import annotations

from dataclasses import dataclass

PROCEDURE = "rear-suspension-joint"
TECHNICIAN = "Rowan Ekholm"
VEHICLE = "Corvane Tessel 1.8 estate"
IDENTIFICATION = "DEMO-4471"
ODOMETER = 128_400


@dataclass(frozen=True)
class ScriptLine:
    """One thing to say. `after_minutes` of wrenching pass before it, and are skipped."""

    say: str
    after_minutes: float = 0.0


OPENING = (
    ScriptLine("do lower joint"),
    ScriptLine("do roll link"),
    ScriptLine("right side"),
    ScriptLine("start the job"),
)

JOB = (
    ScriptLine("warning understood"),
    ScriptLine("next", 7),
    ScriptLine("what size"),
    ScriptLine("next", 4),
    ScriptLine("condition worn", 2),
    ScriptLine("next"),
    ScriptLine("condition good", 2),
    ScriptLine("next"),
    ScriptLine("it is seized", 3),
    ScriptLine("snag over", 9),
    ScriptLine("next", 2),
    ScriptLine("next", 4),
    ScriptLine("mark is made", 2),
    ScriptLine("next"),
    ScriptLine("start the timer", 1),
    ScriptLine("next"),
    ScriptLine("warning understood"),
    ScriptLine("how long left", 4),
    ScriptLine("next", 8),
    ScriptLine("next", 5),
    ScriptLine("next", 4),
    ScriptLine("warning understood"),
    ScriptLine("next", 9),
    ScriptLine("hold for parts"),
    ScriptLine("back to work", 35),
    ScriptLine("new part fitted", 8),
    ScriptLine("next"),
    ScriptLine("new part fitted", 2),
    ScriptLine("next", 2),
    ScriptLine("repeat torque"),
    ScriptLine("in foot pounds"),
    ScriptLine("mark done", 3),
    ScriptLine("mark done", 3),
    ScriptLine("next"),
    ScriptLine("new part fitted", 2),
    ScriptLine("next"),
    ScriptLine("torque reading eight, one", 3),
    ScriptLine("yes confirm"),
    ScriptLine("next"),
    ScriptLine("mark is found", 3),
    ScriptLine("next"),
    ScriptLine("new part fitted", 4),
    ScriptLine("next"),
    ScriptLine("mark done", 3),
    ScriptLine("next"),
    ScriptLine("next", 4),
    ScriptLine("what is loose"),
    ScriptLine("go to tighten joint"),
    ScriptLine("yes confirm"),
    ScriptLine("mark done"),
    ScriptLine("go to wheels down"),
    ScriptLine("warning understood", 1),
    ScriptLine("next", 3),
    ScriptLine("at ride height", 2),
    ScriptLine("next"),
    ScriptLine("use foot pounds"),
    ScriptLine("mark done", 3),
    ScriptLine("use newton metres"),
    ScriptLine("next"),
    ScriptLine("skip this step"),
    ScriptLine("mark done, three", 2),
    ScriptLine("undo that"),
    ScriptLine("mark done", 3),
    ScriptLine("next"),
    ScriptLine("reading three, eight, one", 1),
    ScriptLine("yes confirm"),
    ScriptLine("next"),
    ScriptLine("check passed", 2),
    ScriptLine("close the job"),
    ScriptLine("what is loose"),
    ScriptLine("go to skipped"),
    ScriptLine("mark done", 3),
    ScriptLine("time check"),
    ScriptLine("roll link is renewed"),
    ScriptLine("close the job"),
    ScriptLine("yes confirm"),
)
