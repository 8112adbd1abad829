"""A first job that writes its own procedure: phases and steps are opened, fasteners named and asked about."""

from __future__ import annotations

from sparehand.ground.plurals import are, how_many
from sparehand.job import commands as c, growing_procedure
from sparehand.job.deciding.decide_moving import ask_for
from sparehand.job.decision import Context, Decision, refuse, tell
from sparehand.job.events import (
    FastenerNamed,
    FastenerTold,
    NameKept,
    PhaseOpened,
    Question,
    QuestionAsked,
    StepOpened,
    StepReached,
)
from sparehand.job.obligations import obligations, present_tightening, unmet_condition
from sparehand.job.state import JobState
from sparehand.procedures.plan import StepKey
from sparehand.procedures.quantities import TorqueValue

MOST_MILLIMETRES: dict[str, float] = {"thread": 100, "pitch": 8, "size": 100}
"""ISO 261 has no greater pitch (from memory); the others are beyond any vehicle (common practice, no source)."""
MOST_PIECES = 99
MOST_TORQUE = 10_000


def new_phase(state: JobState, _command: c.NewPhase, _context: Context) -> Decision:
    """Leave the phase for one that is added behind the last."""
    hindered = _not_drafting(state) or _stays(state)
    if hindered:
        return hindered
    number = len(state.plan.procedure.phases) + 1
    reached = _reached(state, growing_procedure.first_step(number))
    return tell("phase opened", PhaseOpened(number=number), reached)


def new_step(state: JobState, _command: c.NewStep, _context: Context) -> Decision:
    """Leave the step for one that is added to its phase."""
    hindered = _not_drafting(state) or _stays(state)
    if hindered:
        return hindered
    number = len(state.phase.phase.steps) + 1
    reached = _reached(state, StepKey(state.progress.at.at, growing_procedure.step_id(number)))
    return tell("step opened", StepOpened(number=number), reached)


def name_step(state: JobState, _command: c.NameStep, _context: Context) -> Decision:
    """What is done here is waited for."""
    return _not_drafting(state) or tell("name asked")


def new_fastener(state: JobState, _command: c.NewFastener, _context: Context) -> Decision:
    """A fastener of this step; what is to be known of it is asked one after the other."""
    number = len(state.plan.procedure.fasteners) + 1
    return _not_drafting(state) or tell("fastener named", FastenerNamed(number=number))


def fastener_again(state: JobState, command: c.FastenerAgain, _context: Context) -> Decision:
    """Something happens here to a fastener that was named before."""
    elsewhere = _not_drafting(state)
    if elsewhere:
        return elsewhere
    known = len(state.plan.procedure.fasteners)
    if not 1 <= command.count <= known:
        return refuse(
            f"There {are(known)} {how_many(known, 'fastener')} so far." if known else "No fastener was named yet.",
            "new fastener",
        )
    event = FastenerTold(number=command.count, asked="doing", at=state.progress.at, does=command.does)
    return tell("fastener told", event)


def fastener_does(state: JobState, command: c.FastenerDoes, _context: Context) -> Decision:
    """What happens at this step to the fastener that is asked about."""
    naming = state.progress.naming
    if naming is None or naming.asked != "doing":
        return _not_asked(state)
    return tell(
        "fastener told", FastenerTold(number=naming.number, asked="doing", at=state.progress.at, does=command.does)
    )


def fastener_use(state: JobState, command: c.FastenerUse, _context: Context) -> Decision:
    """Whether it is used once."""
    return _choice(state, "use", command.once)


def fastener_waits(state: JobState, command: c.FastenerWaits, _context: Context) -> Decision:
    """Whether its tightening waits for ride height."""
    return _choice(state, "waiting", command.for_ride_height)


def not_known(state: JobState, _command: c.NotKnown, _context: Context) -> Decision:
    """Nobody knows now; the draft says so."""
    naming = state.progress.naming
    if naming is None:
        return _not_asked(state)
    return tell("fastener told", FastenerTold(number=naming.number, asked=naming.asked, at=state.progress.at))


def value_heard(state: JobState, command: c.Reading, naming: growing_procedure.Naming) -> Decision:
    """A number about a fastener: it is read back and counts only when confirmed."""
    value = float(command.digits)
    about = growing_procedure.about(naming)
    match naming.asked:
        case "torque" if 0 < value < MOST_TORQUE:
            torque = TorqueValue(value=value, unit=state.progress.unit)
            question = Question(kind="fastener value", about=about, torque=torque)
        case "count" if value.is_integer() and 0 < value <= MOST_PIECES:
            question = Question(kind="fastener value", about=about, value=value)
        case "thread" | "pitch" | "size" if 0 < value <= MOST_MILLIMETRES[naming.asked]:
            question = Question(kind="fastener value", about=about, value=value, unit="mm")
        case "doing" | "use" | "waiting":
            return refuse("No number is asked for now.", "one of the answers, or leave it open")
        case _:
            return refuse(f"That is no {_NOUNS[naming.asked]}.", "reading, and the digits")
    return tell("question", QuestionAsked(question=question))


def value_confirmed(state: JobState, question: Question, _context: Context) -> Decision:
    """The number that was read back is right."""
    naming = state.progress.naming
    if naming is None or growing_procedure.about(naming) != question.about:
        return refuse("The fastener is not asked about any more.", "new fastener")
    told = FastenerTold(
        number=naming.number,
        asked=naming.asked,
        at=state.progress.at,
        value=question.value,
        torque=question.torque,
    )
    return tell("fastener told", told)


def name_taken(state: JobState, command: c.NoteTaken) -> Decision:
    """Free words that name a phase, a step or a fastener."""
    number = state.progress.naming.number if state.progress.naming else len(state.plan.procedure.fasteners)
    if state.progress.grown is None or command.note not in ("phase", "step", "fastener"):
        return _not_drafting(state) or _not_asked(state)
    event = NameKept(
        of=command.note,
        number=number if command.note == "fastener" else 0,
        at=state.progress.at,
        sound_ms=command.sound_ms,
        words=command.words,
    )
    return tell("phase named" if command.note == "phase" else "name kept", event)


_NOUNS = {"torque": "torque", "count": "count of pieces", "thread": "thread", "pitch": "pitch", "size": "size"}


def _choice(state: JobState, asked: str, yes: bool) -> Decision:
    naming = state.progress.naming
    if naming is None or naming.asked != asked:
        return _not_asked(state)
    return tell("fastener told", FastenerTold(number=naming.number, asked=naming.asked, at=state.progress.at, yes=yes))


def _not_drafting(state: JobState) -> Decision | None:
    if state.progress.grown is not None:
        return None
    return refuse("This job follows a procedure that is written already.", "keep a lesson")


def _not_asked(state: JobState) -> Decision:
    return _not_drafting(state) or refuse("Nothing of the kind is asked now.", "new fastener")


def _stays(state: JobState) -> Decision | None:
    """What keeps the technician at the step: something open, unless it waits for the vehicle to come down."""
    open_now = obligations(state)
    return ask_for(open_now[0]) if open_now and not _waits(state) else None


def _waits(state: JobState) -> bool:
    present = present_tightening(state)
    return present is not None and unmet_condition(state, present.target) is not None


def _reached(state: JobState, target: StepKey) -> StepReached:
    here = state.progress.at
    if _waits(state):
        return StepReached(step=target, skipped=(here,))
    return StepReached(step=target, finished=None if here in state.progress.done else here)
