"""Answers about the whole job: what is loose, where it stands, what time it took, which parts."""

from __future__ import annotations

from dataclasses import replace

from sparehand.ground.clock import Moment
from sparehand.job.answer import Line, called, counted, duration, from_file, numbered, plain, together
from sparehand.job.answering.answer_here import phase_name, present_step
from sparehand.job.answering.answer_remaining import job_left
from sparehand.job.answering.answer_resuming import asks_gap, check_by_hand, last_done
from sparehand.job.answering.loose_words import loose_by_side
from sparehand.job.experience import Experience
from sparehand.job.extra_work import waiting
from sparehand.job.fasteners import pieces_of
from sparehand.job.ledger import milliseconds
from sparehand.job.open_follow_ups import follow_ups_of
from sparehand.job.open_items import (
    left_behind,
    on_side,
    open_beside_fasteners,
    open_checks,
    passed_over,
    safe_to_drive,
)
from sparehand.job.state import JobState
from sparehand.job.vehicle.drive import apart, undone_kinds
from sparehand.job.vehicle.naming import be, sentence
from sparehand.procedures import wording
from sparehand.procedures.labels import plural_of
from sparehand.procedures.model import Item
from sparehand.procedures.plan import StepKey

_DANGER = from_file("Not safe to drive.")


def loose(state: JobState) -> tuple[Line, ...]:
    """The loose list."""
    entries = state.loose
    if not entries:
        return _nothing_loose(state)
    return (numbered("{count} loose.", count=pieces_of(entries)).shortened(""), *loose_by_side(state))


def _nothing_loose(state: JobState) -> tuple[Line, ...]:
    """Said without reserve only where no step was passed over and nothing else is apart."""
    passed, others = passed_over(state), tuple(plain(words) for words in apart(state))
    if not passed:
        return (*others, plain("No fastener is loose.")) if others else (plain("Nothing is loose."),)
    first = state.plan.step(passed[0]).say
    undone = f"{wording.counted(len(passed), 'step')} passed over {be(len(passed))} not done. First: {first}"
    return (*others, plain("No fastener is recorded as loose."), plain(sentence(undone)))


def where(state: JobState) -> tuple[Line, ...]:
    """Phase, side, step, and what stands open, the time away too."""
    return (*place(state), *asks_gap(state))


def place(state: JobState) -> tuple[Line, ...]:
    """Phase, side, step, and what stands open."""
    keys = state.phase.step_keys()
    place, of = keys.index(state.progress.at) + 1, len(keys)
    step = numbered("step {place} of {of}.", place=place, of=of)
    lines = [step.framed(f"{phase_name(state.progress.at, state).removesuffix('.')}, "), *present_step(state)]
    if len(state.progress.crew.members) > 1:
        lines.append(plain(f"{state.progress.crew.acting} is speaking."))
    if state.progress.hold:
        lines.append(plain(f"On hold for {state.progress.hold}."))
    if state.progress.snag:
        lines.append(plain(f"Snag running: {state.progress.snag}."))
    if state.loose:
        lines.append(numbered("{count} loose.", count=pieces_of(state.loose)))
    proposed = waiting(state)
    if proposed:
        lines.append(plain(f"Proposed, not answered: {state.plan.procedure.operation(proposed).title}."))
    lines.extend(plain(f"Not answered: {question.kind}.") for question in state.progress.lapsed)
    return tuple(lines)


def back_at_the_bench(state: JobState) -> tuple[Line, ...]:
    """On coming back: what was done last, where the job and the vehicle stand, and the question about the time away."""
    danger = () if safe_to_drive(state) else (_DANGER.kept_whole(),)
    details = (replace(line, whole=False) for line in open_on_vehicle(state) if line != _DANGER)
    return (*place(state), *danger, *asks_gap(state), *check_by_hand(state), last_done(state), *details)


def which_job(state: JobState) -> tuple[Line, ...]:
    """The vehicle, the work, and who speaks."""
    vehicle = state.opened.vehicle.name or "No vehicle named"
    halted = f", on hold for {state.progress.hold}" if state.progress.hold else ""
    halted += ", practice only" if state.progress.practice else ""
    return (plain(f"{vehicle}: {state.plan.procedure.title}, {state.progress.crew.acting}{halted}."),)


def skipped(state: JobState) -> tuple[Line, ...]:
    """The skipped steps."""
    left = left_behind(state)
    if not left:
        return (plain("Nothing was skipped."),)
    head = numbered("{count} skipped.", count=len(left)).shortened("")
    return (head, *(plain(_step_name(key, state)).of_entries(1) for key in left))


def parts(state: JobState) -> tuple[Line, ...]:
    """The parts of the procedure, use-once said."""
    wanted = {id for planned in state.plan.phases for step in planned.phase.steps for id in step.renews}
    listed = [part for part in state.plan.procedure.parts if part.id in wanted]
    if not listed:
        return (plain("This job has no parts list."),)
    return tuple(_part(part).of_entries(1) for part in listed)


def _part(part: Item) -> Line:
    count = counted(part.quantity, part.name, plural_of(part))
    return count.framed(after=f"{', use-once' if part.use_once else ''}.").shortened(f"{count.spoken}.")


def time_check(state: JobState, now: Moment, experience: Experience) -> tuple[Line, ...]:
    """The time worked in this phase, against what is expected of it, on the job, and how long that still needs."""
    spans = state.ledger.up_to(now).all_spans()
    here = tuple(span for span in spans if span.label.phase == state.progress.at.at)
    phase, job = milliseconds(here, "work") / 1000, milliseconds(spans, "work") / 1000
    held = milliseconds(spans, "hold") / 1000
    lines = [
        together((duration(phase).framed("This phase "), _range(state, experience)), "").framed(after="."),
        duration(job).framed("The job ", ".").shortened(""),
    ]
    if held:
        lines.append(duration(held).framed("Held ", ".").shortened(""))
    return (*lines, *job_left(state, now, experience))


def _range(state: JobState, experience: Experience) -> Line:
    """What the present phase is expected or planned to take, in words."""
    expected = experience.expected(state.progress.at.at)
    if expected:
        low, high = (counted(round(minutes), "minute") for minutes in (expected.p10_minutes, expected.p90_minutes))
        return together((low, high), " to ").framed(", expected ")
    planned = state.phase.phase.planned_minutes
    return counted(round(planned), "minute").framed(", planned ") if planned else plain("")


def timers(state: JobState, now: Moment) -> tuple[Line, ...]:
    """What is left on each timer."""
    if not state.progress.timers:
        return (plain("No timer is running."),)
    return tuple(
        together((called(timer.name), duration(max(0, timer.remaining_ms(now)) / 1000)), ": ")
        .framed(after=" left.")
        .of_entries(1)
        for timer in state.progress.timers
    )


def how_long_left(state: JobState, now: Moment, experience: Experience) -> tuple[Line, ...]:
    """What is left on each timer; where none runs, what the job still needs."""
    return timers(state, now) if state.progress.timers else job_left(state, now, experience) or timers(state, now)


def open_on_vehicle(state: JobState) -> tuple[Line, ...]:
    """How the vehicle stands when it is left: what is loose, which marks are open, and whether it may be driven."""
    lines = list(loose_by_side(state))
    lines.extend(plain(words) for words in apart(state))
    marks = (key for key, mark in state.progress.marks.items() if mark == "made")
    lines.extend(
        plain(f"Open mark: {on_side(state.plan.procedure.mark(id).text, side)} to be found again.")
        for id, side in marks
    )
    lines.extend(from_file(f"Not checked: {asks}") for asks in open_checks(state))
    kinds = undone_kinds(state)
    lines.extend((from_file(f"Steps not done: {kinds}."),) if kinds else ())
    if not safe_to_drive(state):
        lines.append(_DANGER)
    return tuple(lines)


def left_open(state: JobState) -> tuple[Line, ...]:
    """What a job closes with: the loose list by side, gates and warnings whole, and whether it may be driven."""
    danger = () if safe_to_drive(state) else (_DANGER,)
    lines = (*loose_by_side(state), *map(plain, open_beside_fasteners(state)), *danger)
    return tuple(line.kept_whole() for line in lines)


def closing(state: JobState) -> tuple[Line, ...]:
    """The end of the job: the time it took, what was left and what follows."""
    spans = state.ledger.all_spans()
    work, held = milliseconds(spans, "work") / 1000, milliseconds(spans, "hold") / 1000
    waited = (duration(held).framed("held "),) if held else ()
    worked = duration(work)
    in_all = together((worked.framed("Job closed. Worked "), *waited), ", ").framed(after=".")
    lines = [in_all.shortened(f"Closed, {worked.spoken}.")]
    lines.extend(left_open(state))
    notes = follow_ups_of(state)
    lines.extend(plain(f"Then: {note.words}").of_entries(1) for note in notes if note.done_on is None)
    return tuple(lines)


def _step_name(key: StepKey, state: JobState) -> str:
    return f"{state.plan.step(key).say}{f' ({key.at.side})' if key.at.side else ''}"
