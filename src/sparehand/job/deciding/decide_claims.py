"""What is so though its step was skipped: a claim of its own, asked back by name and number, never final by it."""

from __future__ import annotations

from sparehand.job import commands as c
from sparehand.job.decision import Context, Decision, refuse, tell
from sparehand.job.events import Event, PartNotRenewed, PartRenewed, Question, QuestionAsked, ToldWithoutStep
from sparehand.job.state import JobState
from sparehand.job.vehicle.listed_parts import unanswered
from sparehand.job.vehicle.naming import out_sentence, with_side
from sparehand.job.vehicle.put_back import fasteners_out
from sparehand.procedures.plan import FastenerKey


def already_fitted(state: JobState, command: c.AlreadyFitted, _context: Context) -> Decision:
    """A fastener that the record has as out is in."""
    if not _out(state, command.fastener):
        return refuse("Nothing of it is out by the record.", "what is loose")
    return _asking(state, f"fastener in/{command.fastener}")


def already_on(state: JobState, command: c.AlreadyOn, _context: Context) -> Decision:
    """A component that the record has as off is on."""
    if not any(id == command.component for id, _ in state.progress.off):
        return refuse("It is on by the record.", "what is loose")
    return _asking(state, f"component on/{command.component}")


def mark_was_made(state: JobState, _command: c.MarkWasMade, _context: Context) -> Decision:
    """The mark of this step was made before, though nobody said so then."""
    mark = state.step.finds_mark or state.step.makes_mark
    if mark is None or (mark, state.side) in state.progress.marks:
        return refuse("No mark is missing here.", "repeat")
    return _asking(state, f"mark made/{mark}")


def already_so(state: JobState, question: Question, _context: Context) -> Decision:
    """The claim was confirmed."""
    return tell("told", *told(state, question))


def told(state: JobState, question: Question) -> tuple[ToldWithoutStep, ...]:
    """What a question about such a claim would record: one event a side."""
    what, _, about = question.about.partition("/")
    match what:
        case "fastener in":
            return tuple(
                ToldWithoutStep(
                    what="fastener in",
                    about=about,
                    side=key.side,
                    against=out_sentence(state.plan.procedure, key, state.progress.fastenings[key]),
                )
                for key in _out(state, about)
            )
        case "component on":
            name = state.plan.procedure.component(about).name
            sides = [side for id, side in state.progress.off if id == about]
            sides = [state.side] if state.side in sides else sides
            return tuple(
                ToldWithoutStep(
                    what="component on", about=about, side=side, against=f"The {with_side(name, side)} is off."
                )
                for side in sides
            )
        case _:
            text = state.plan.procedure.mark(about).text
            against = f"Nobody made the mark: {text}."
            return (ToldWithoutStep(what="mark made", about=about, side=state.side, against=against),)


def part_answer(state: JobState, command: c.PartAnswer, _context: Context) -> Decision:
    """A listed part was renewed or was not: on this side, or wherever nobody has answered yet."""
    sides = [side for item, side in unanswered(state) if item.id == command.part]
    if not sides:
        return refuse("Nobody asks about that part now.", "which parts")
    kind = PartRenewed if command.renewed else PartNotRenewed
    events: tuple[Event, ...] = tuple(kind(part=command.part, side=side) for side in sides)
    here = tuple(event for event in events if getattr(event, "side", None) == state.side)
    return tell("part answered", *(here or events), about="renewed" if command.renewed else "not renewed")


def _out(state: JobState, fastener: str) -> tuple[FastenerKey, ...]:
    """Where pieces of the fastener are out: on the present side, else on every side."""
    keys = tuple(key for key in fasteners_out(state) if key.fastener == fastener)
    return tuple(key for key in keys if key.side == state.side) or keys


def _asking(state: JobState, about: str) -> Decision:
    return tell("question", QuestionAsked(question=Question(kind="already so", about=about, side=state.side)))
