"""The visit around the job: lines of work, who pays, and follow-ups."""

from __future__ import annotations

from calendar import monthrange
from datetime import date, timedelta
from typing import Any

from sparehand.job import commands as c
from sparehand.job.decision import Context, Decision, refuse, tell
from sparehand.job.events import (
    BenchAlive,
    DistanceUnit,
    FollowUpDone,
    FollowUpScheduled,
    LineEnded,
    LineNoted,
    LineStarted,
    LineWork,
    PayerChosen,
    Question,
    QuestionAsked,
)
from sparehand.job.extra_work import approved_faults
from sparehand.job.found_faults import fault_words
from sparehand.job.open_follow_ups import follow_ups_of, numbered_follow_ups
from sparehand.job.state import JobState

_ALIVE = BenchAlive()
"""Recorded beside what the desk could say too, which by itself takes no time of the job: here somebody spoke."""


_BEGINS = {"waiting": "start the waiting time", "work elsewhere": "work goes to another shop"}
_ENDS = {"waiting": "waiting time is finished"}
"""What is said to begin and end a line, where it is more than its name."""


def running(work: LineWork) -> Decision:
    """The refusal while a line runs that takes the technician's time."""
    return refuse(f"The {work} is running.", _ENDS.get(work, f"{work} is finished"))


def start_line(state: JobState, command: c.StartLine, _context: Context) -> Decision:
    """A line begins. One technician has one line at a time; work elsewhere goes on beside everything."""
    if command.work == "helper":
        return refuse("A helper is booked by minutes.", "helper for two minutes")
    occupied = state.progress.visit.occupying(state.progress.crew.acting)
    if command.work != "work elsewhere" and occupied:
        return running(occupied.work)
    words = ""
    if command.work == "found work":
        approved = approved_faults(state)
        if not approved:
            return refuse(
                "No work on a fault is approved.", "list what was found" if state.progress.faults else "where am i"
            )
        words = fault_words(state.plan.procedure, approved[-1].found)
    return tell("line", LineStarted(work=command.work, reference=words), _ALIVE, about=command.work)


def end_line(state: JobState, command: c.EndLine, _context: Context) -> Decision:
    """The line that runs is over."""
    if command.work == "helper":
        return refuse("A helper is booked by minutes.", "helper for two minutes")
    if not any(line.runs and line.work == command.work for line in state.progress.visit.lines):
        nothing_found = command.work == "found work" and not state.progress.faults
        begin = "time check" if nothing_found else _BEGINS.get(command.work, f"start the {command.work}")
        return refuse(f"No {command.work} is running.", begin)
    return tell("line over", LineEnded(work=command.work, result=command.result or ""), _ALIVE, about=command.work)


def road_test_distance(state: JobState, command: c.RoadTestDistance, _context: Context) -> Decision:
    """How far the road test went; it is read back and counts only when confirmed."""
    if not any(line.work == "road test" for line in state.progress.visit.lines):
        return refuse("There was no road test.", "start the road test")
    question = Question(kind="test distance", about="road test", value=float(command.digits), unit=command.unit)
    return tell("question", QuestionAsked(question=question))


def distance_now(state: JobState, question: Question, _context: Context) -> Decision:
    """The distance was confirmed."""
    latest = max(line.number for line in state.progress.visit.lines if line.work == "road test")
    unit: DistanceUnit = "mi" if question.unit == "mi" else "km"
    event = LineNoted(line=latest, distance=question.number, distance_unit=unit)
    return tell("distance noted", event, _ALIVE)


def choose_payer(state: JobState, command: c.ChoosePayer, _context: Context) -> Decision:
    """Who pays for the latest line, or for every operation where there is no line."""
    lines = state.progress.visit.lines
    if lines:
        line = lines[-1]
        return tell("payer", PayerChosen(payer=command.payer, line=line.number), _ALIVE, about=command.payer)
    chosen = (PayerChosen(payer=command.payer, operation=operation) for operation in state.plan.operations)
    return tell("payer", *chosen, _ALIVE, about=command.payer)


def choose_operation_payer(state: JobState, command: c.ChooseOperationPayer, _context: Context) -> Decision:
    """Who pays for one operation of the job."""
    if command.operation not in state.plan.operations:
        return refuse("That operation is not part of this job.", "where am i")
    return tell("payer", PayerChosen(payer=command.payer, operation=command.operation), _ALIVE, about=command.payer)


def follow_up_is(state: JobState, command: c.FollowUpIs, context: Context) -> Decision:
    """A follow-up was done: of an earlier job of this vehicle, or of this one."""
    there = numbered_follow_ups(state, context.experience)
    if not 1 <= command.count <= len(there):
        return refuse(f"There are {len(there)} follow-ups.", "which follow ups")
    job, note = there[command.count - 1]
    return tell("follow-up done", FollowUpDone(follow_up=note.id, result=command.result, job=job), _ALIVE)


def follow_ups_due(state: JobState, command: c.FollowUpsDue, context: Context) -> Decision:
    """Every follow-up of this job without a date gets one."""
    open_ones = [note for note in follow_ups_of(state) if note.done_on is None and note.due_on is None]
    if not open_ones:
        return refuse("This job has no follow-up without a date.", "which follow ups")
    due = _later(context.now.wall.date(), command)
    return tell("follow-ups due", *(FollowUpScheduled(follow_up=note.id, due_on=due) for note in open_ones), _ALIVE)


def follow_ups_due_at(state: JobState, command: c.FollowUpsDueAt, _context: Context) -> Decision:
    """The reading at which they are due is read back and counts only when confirmed."""
    if all(note.done_on for note in follow_ups_of(state)):
        return refuse("This job has no open follow-up.", "which follow ups")
    question = Question(kind="due reading", about="follow-ups", value=float(command.digits), unit=command.unit)
    return tell("question", QuestionAsked(question=question))


def due_reading_now(state: JobState, question: Question, _context: Context) -> Decision:
    """The reading was confirmed: every open follow-up is due then, too."""
    if question.unit == "hours":
        due: dict[str, Any] = {"due_hours": question.number}
    else:
        due = {"due_distance": question.number, "distance_unit": question.unit}
    open_ones = (note for note in follow_ups_of(state) if note.done_on is None)
    return tell("follow-ups due", *(FollowUpScheduled(follow_up=note.id, **due) for note in open_ones), _ALIVE)


def _later(today: date, command: c.FollowUpsDue) -> date:
    if command.unit != "months":
        return today + timedelta(days=command.count * (7 if command.unit == "weeks" else 1))
    month = today.month - 1 + command.count
    year, month = today.year + month // 12, month % 12 + 1
    return date(year, month, min(today.day, monthrange(year, month)[1]))
