"""What the invented technician wants to say, and how long the work before it took."""

from __future__ import annotations

from dataclasses import dataclass

PROCEDURE = "rear-suspension-joint"
TECHNICIAN = "Rowan Ekholm"
VEHICLE = "Corvane Tessel 1.8 estate"
IDENTIFICATION = "DEMO-4471"
ODOMETER = 128_400


@dataclass(frozen=True)
class Line:
    """One thing to say. `after_minutes` of wrenching pass before it, and are skipped."""

    say: str
    after_minutes: float = 0.0


OPENING = (
    Line("do lower joint"),
    Line("do roll link"),
    Line("right side"),
    Line("start the job"),
)

JOB = (
    Line("warning understood"),
    Line("next", 7),
    Line("what size"),
    Line("next", 4),
    Line("condition worn", 2),
    Line("next"),
    Line("condition good", 2),
    Line("next"),
    Line("it is seized", 3),
    Line("snag over", 9),
    Line("next", 2),
    Line("next", 4),
    Line("mark is made", 2),
    Line("next"),
    Line("start the timer", 1),
    Line("next"),
    Line("warning understood"),
    Line("how long left", 4),
    Line("next", 8),
    Line("next", 5),
    Line("next", 4),
    Line("warning understood"),
    Line("next", 9),
    Line("hold for parts"),
    Line("back to work", 35),
    Line("new part fitted", 8),
    Line("next"),
    Line("new part fitted", 2),
    Line("next", 2),
    Line("repeat torque"),
    Line("in foot pounds"),
    Line("mark done", 3),
    Line("mark done", 3),
    Line("next"),
    Line("new part fitted", 2),
    Line("next"),
    Line("torque reading eight, one", 3),
    Line("yes confirm"),
    Line("next"),
    Line("mark is found", 3),
    Line("next"),
    Line("new part fitted", 4),
    Line("next"),
    Line("mark done", 3),
    Line("next"),
    Line("next", 4),
    Line("what is loose"),
    Line("go to tighten joint"),
    Line("mark done"),
    Line("go to wheels down"),
    Line("warning understood", 1),
    Line("next", 3),
    Line("at ride height", 2),
    Line("next"),
    Line("use foot pounds"),
    Line("mark done", 3),
    Line("use newton metres"),
    Line("next"),
    Line("skip this step"),
    Line("mark done, three", 2),
    Line("undo that"),
    Line("mark done", 3),
    Line("next"),
    Line("reading three, eight, one", 1),
    Line("yes confirm"),
    Line("next"),
    Line("check passed", 2),
    Line("close the job"),
    Line("what is loose"),
    Line("go to skipped"),
    Line("mark done", 3),
    Line("time check"),
    Line("close the job"),
    Line("yes confirm"),
)
