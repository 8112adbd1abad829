"""The wording of each topic."""

from __future__ import annotations

from collections.abc import Callable

from sparehand.job.answer import Line, from_file, hint, plain
from sparehand.job.answering import (
    answer_asking,
    answer_by_name,
    answer_conditions,
    answer_departing,
    answer_drafting,
    answer_extra,
    answer_forgotten,
    answer_here,
    answer_lessons,
    answer_needing,
    answer_overview,
    answer_people,
    answer_tooling,
    answer_vehicle,
    answer_visit,
)
from sparehand.job.answering.answer_context import AnswerContext, Wording
from sparehand.job.answering.answer_help import phrases_of_now, rest_of_it
from sparehand.job.decision import Tell, Topic
from sparehand.job.state import JobState
from sparehand.procedures import wording


def _here(wording: Callable[[JobState], tuple[Line, ...]]) -> Wording:
    return lambda state, _reply, _context: wording(state)


def _with_lessons(wording: Callable[[JobState], tuple[Line, ...]]) -> Wording:
    return lambda state, _reply, context: (
        *wording(state),
        *answer_lessons.at_this_step(state, context.experience),
        *(answer_drafting.asks(state) or answer_drafting.hint(state)),
    )


def _stopped(timer: str) -> Line:
    return Line(f"Stopped: {wording.label_spoken(timer)}.", f"Stopped: {timer}.", whole=True)


def _in_unit(name: str) -> Line:
    return plain(f"Torques in {name}.").shortened(f"{name}.")


def _shown(spoken: str, shown: str) -> Wording:
    return lambda _state, _reply, _context: (Line(spoken, shown),)


def _fixed(text: str) -> Wording:
    return lambda _state, _reply, _context: (plain(text),)


def _undone(state: JobState, reply: Tell, _context: AnswerContext) -> tuple[Line, ...]:
    return (plain(f"Taken back: {reply.about}."), *answer_here.step(state))


def _understood(state: JobState, _reply: Tell, context: AnswerContext) -> tuple[Line, ...]:
    return (
        plain("Understood.").shortened(""),
        *answer_here.step(state),
        *answer_lessons.at_this_step(state, context.experience),
    )


def _restarted(state: JobState, _reply: Tell, _context: AnswerContext) -> tuple[Line, ...]:
    return (plain("From stage one, slackened first."), *answer_here.done(state))


def _open_or_done(opening: Callable[[Tell], str]) -> Wording:
    """A short word for what was recorded, then what the step still needs."""
    return lambda state, reply, _context: (plain(opening(reply)), *answer_here.done(state))


def _on_hold(state: JobState, reply: Tell, _context: AnswerContext) -> tuple[Line, ...]:
    """The hold; whether an angle had been begun is asked along with it."""
    asked = state.progress.question
    asks = answer_asking.question(state) if asked and asked.question.kind == "angle begun" else ()
    return (plain(f"On hold for {reply.about}.").shortened("On hold."), *(line.kept_whole() for line in asks))


def _back_to_work(state: JobState, _reply: Tell, _context: AnswerContext) -> tuple[Line, ...]:
    return (plain("Back to work.").shortened(""), *answer_here.step(state))


def _out_of_limits(state: JobState, _reply: Tell, _context: AnswerContext) -> tuple[Line, ...]:
    return (from_file("Out of limits. Written down, the fastener stays open."), *answer_here.after_confirming(state))


def _lapsed(_state: JobState, _reply: Tell, _context: AnswerContext) -> tuple[Line, ...]:
    return (plain("No answer, so nothing was changed. It stays on the list.").shortened("Nothing changed."),)


def _rang(_state: JobState, reply: Tell, _context: AnswerContext) -> tuple[Line, ...]:
    return (plain(f"Time is up: {reply.about}."),)


def _parked(state: JobState, _reply: Tell, _context: AnswerContext) -> tuple[Line, ...]:
    return (plain("Parked."), *(line.kept_whole() for line in answer_overview.open_on_vehicle(state)))


WORDINGS: dict[Topic, Wording] = {
    "arrived": _with_lessons(answer_here.arrival),
    "step": _with_lessons(answer_here.step),
    "confirmed": _here(lambda state: (*answer_vehicle.confirmed(state), *answer_here.after_confirming(state))),
    "done": _here(answer_vehicle.done),
    "torque": lambda state, reply, _context: answer_here.torque(state, reply.unit),
    "size": _here(answer_here.sizes),
    "what next": _here(answer_here.what_next),
    "loose": _here(answer_overview.loose),
    "where": _here(answer_overview.where),
    "skipped": _here(answer_overview.skipped),
    "parts": _here(answer_overview.parts),
    "kit": _here(answer_needing.needed),
    "time": lambda state, _reply, context: answer_overview.time_check(state, context.now, context.experience),
    "warning": _here(answer_here.warnings),
    "explained": lambda state, reply, _context: answer_here.explained(state, reply.about),
    "understood": _understood,
    "timers": lambda state, _reply, context: answer_overview.how_long_left(state, context.now, context.experience),
    "undone": _undone,
    "question": _here(answer_asking.question),
    "answered no": _here(
        lambda state: (
            plain("Left as it was.").shortened("As it was."),
            *(answer_drafting.asks(state) or answer_here.step(state)),
        )
    ),
    "finding": lambda state, reply, context: (
        plain(f"Written down: {reply.about}."),
        *(answer_extra.proposed(state, context.experience) or answer_here.done(state)),
    ),
    "found": lambda state, reply, context: (
        plain(f"Found, written down: {reply.about}."),
        *answer_extra.proposed(state, context.experience),
    ),
    "findings": _here(answer_extra.findings),
    "measured": _here(lambda state: (*answer_asking.measured(state), *answer_here.done(state))),
    "out of limits": _out_of_limits,
    "renewed": _open_or_done(lambda _reply: "New, written down."),
    "mark": _open_or_done(lambda reply: f"Mark {reply.about}."),
    "condition": lambda state, reply, _context: answer_vehicle.condition(state, reply.about),
    "condition over": lambda state, reply, _context: answer_vehicle.condition_over(state, reply.about),
    "lifted": lambda state, reply, _context: answer_vehicle.lifted(state, reply.about),
    "counted": lambda state, reply, _context: answer_vehicle.counted(state, reply.about),
    "told": _here(answer_vehicle.told_without_step),
    "part answered": lambda _state, reply, _context: (plain(f"Written down: {reply.about}."),),
    "other side": lambda state, reply, context: (
        *answer_vehicle.other_side(state, reply.about),
        *answer_lessons.at_this_step(state, context.experience),
    ),
    "way chosen": lambda state, reply, _context: (
        *answer_extra.way_chosen(state, reply.about),
        *answer_here.done(state),
    ),
    "angle begun": _fixed("Then its angle is unknown."),
    "angle not begun": _fixed("Its whole angle is still to be turned."),
    "gate": _open_or_done(lambda _reply: "Checked."),
    "departure": _here(answer_departing.departed),
    "tightened otherwise": _here(answer_departing.tightened),
    "noted": lambda _state, reply, _context: (plain(f"Written down: {reply.about}."),),
    "restarted": _restarted,
    "hold": _on_hold,
    "back to work": _back_to_work,
    "snag": lambda _state, reply, _context: (plain(f"Snag: {reply.about}.").shortened(f"{reply.about}."),),
    "snag over": lambda _state, reply, _context: (Line("Snag over.", f"Snag over: {reply.about}."),),
    "timer": lambda state, _reply, context: answer_overview.timers(state, context.now),
    "timer stopped": lambda _state, reply, _context: (_stopped(reply.about),),
    "rang": _rang,
    "lapsed": _lapsed,
    "unit": lambda state, reply, _context: (
        _in_unit(wording.unit_spoken(reply.unit or "N·m")),
        *answer_drafting.asks(state),
    ),
    "gap": lambda _state, reply, _context: (Line(f"Gap: {reply.about}.", f"The gap was {reply.about}, written down."),),
    "quiet": _fixed(""),
    "not listening": _shown("Not listening.", "Not listening. A key or the call word ends that."),
    "voice off": _shown("Voice off.", "The voice is off. Answers are on the screen."),
    "voice on": _fixed("Speaking again."),
    "help": phrases_of_now,
    "more": rest_of_it,
    "torque by name": lambda state, reply, _context: answer_by_name.torque_of(state, reply.about, reply.unit),
    "size by name": lambda state, reply, _context: answer_by_name.size_of(state, reply.about),
    "held by": lambda state, reply, _context: answer_by_name.held_by(state, reply.about),
    "part": lambda state, reply, _context: answer_by_name.part(state, reply.about),
    "tightened here": _here(answer_by_name.tightened_here),
    "left on side": _here(answer_by_name.left_on_side),
    "after that": lambda state, reply, context: answer_by_name.after_that(state, reply.about, context.last)[1],
    "tools": lambda state, reply, _context: answer_by_name.tools(state, reply.about),
    "phase time": lambda state, reply, context: answer_by_name.phase_time(state, reply.about, context.now),
    "parked": _parked,
    "closed": _here(answer_overview.closing),
    "wrench": lambda state, _reply, context: answer_tooling.wrench(state, context.now),
    "extension": _here(answer_tooling.extension),
    "extension off": lambda state, _reply, _context: (
        plain("The wrench as it is.").shortened(""),
        *answer_here.torque(state, None),
    ),
    "right angle": lambda state, _reply, _context: (
        plain("At a right angle there is nothing to correct.").shortened(""),
        *answer_here.torque(state, None),
    ),
    "second check": lambda _state, reply, _context: (plain(f"Checked by {reply.about}.").shortened("Checked."),),
    "old part kept": _shown("Old part kept.", "The old part is kept, written down."),
    "past a gate": _here(
        lambda state: (from_file("Not checked. Not safe to drive until it is."), *answer_here.arrival(state))
    ),
    "redone": _here(lambda state: (plain("Once more.").shortened(""), *answer_here.step(state))),
    "extra work": lambda state, _reply, context: answer_extra.proposed(state, context.experience),
    "extra work approved": lambda state, reply, _context: answer_extra.approved(state, reply.about),
    "approval limited": _here(answer_extra.limited),
    "extra work declined": lambda state, reply, _context: answer_extra.declined(state, reply.about),
    "operation dropped": lambda state, reply, _context: answer_extra.dropped(state, reply.about),
    "recording": lambda _state, reply, _context: (plain(f"Recording a {reply.about}."), hint("Say end the memo.")),
    "phase opened": _here(answer_drafting.phase_opened),
    "step opened": _here(answer_drafting.step_opened),
    "fastener named": _here(answer_drafting.fastener_named),
    "fastener told": _here(answer_drafting.fastener_described),
    "phase named": _here(lambda _state: (plain("Kept. Step one. Say what you do."),)),
    "name asked": _here(lambda _state: (plain("Say what you do."),)),
    "name kept": _here(lambda state: (plain("Kept."), *answer_drafting.asks(state))),
    "note kept": lambda _state, reply, _context: (plain(reply.about),),
    "picture asked": _fixed("Take it on the page."),
    "which job": _here(answer_overview.which_job),
    "put right": _here(answer_forgotten.put_right),
    "crew": _here(answer_people.crew),
    "left": lambda state, reply, _context: answer_people.left(state, reply.about),
    "handed over": lambda state, reply, _context: answer_people.handed_over(state, reply.about),
    "line": lambda state, reply, _context: answer_visit.started(state, reply.about),
    "line over": lambda state, reply, _context: answer_visit.over(state, reply.about),
    "conditions": _here(answer_conditions.conditions),
    "practice": _fixed("Practice only: the times of this job do not count."),
    "distance noted": _fixed("The distance is written down."),
    "payer": lambda state, reply, _context: answer_visit.payer(state, reply.about),
    "follow-ups": lambda state, _reply, context: answer_visit.follow_ups(state, context.experience),
    "follow-up done": _fixed("Done, written down."),
    "follow-ups due": _here(answer_visit.dated),
    "nothing": lambda _state, _reply, _context: (),
}
