"""Moving through the steps: next, back, skip, go to."""

from __future__ import annotations

from dataclasses import replace

from sparehand.job import commands as c
from sparehand.job.advance import advance
from sparehand.job.conditions import axle_of
from sparehand.job.decision import Context, Decision, Topic, refuse, tell
from sparehand.job.events import ConditionChanged, Event, Question, QuestionAsked, StepDone, StepReached, TimerStarted
from sparehand.job.obligations import Obligation, obligations
from sparehand.job.open_items import left_behind
from sparehand.job.state import JobState
from sparehand.job.work_order import comes_first, following, place_elsewhere
from sparehand.procedures.plan import StepKey


def next_step(state: JobState, _command: c.Next, _context: Context) -> Decision:
    """Move on, counting the present step as done; ask instead where something is open."""
    open_now = obligations(state)
    if open_now:
        return ask_for(open_now[0])
    here = state.progress.at
    target = following(state)
    if target is not None:
        return tell("arrived", *_leaving(state, target))
    if here not in state.progress.done:
        return tell("done", StepDone(step=here), *_finishing(state))
    return _at_the_end(state)


def mark_step_done(state: JobState) -> Decision:
    """Confirm the present step, which has nothing open."""
    here = state.progress.at
    if here in state.progress.done:
        return refuse("This step is done already.", "next, or do this step again")
    return with_step_done(state)


def with_step_done(state: JobState, *before: Event) -> Decision:
    """Confirm the present step after events that led up to it."""
    return tell("done", *before, StepDone(step=state.progress.at), *_finishing(state))


def next_phase(state: JobState, _command: c.NextPhase, _context: Context) -> Decision:
    """Leave the phase. Only its last open step counts as done by that; others are asked about, this one among them."""
    open_now = obligations(state)
    if open_now:
        return ask_for(open_now[0])
    last = state.phase.step_keys()[-1]
    target = following(state, last) if not _open_between(state, last) else state.plan.after(last)
    if target is None:
        return _at_the_end(state)
    if _open_between(state, target):
        return tell("question", _asking_to_skip(target))
    return tell("arrived", *_leaving(state, target))


def go_back(state: JobState, _command: c.GoBack, _context: Context) -> Decision:
    """To the step before, without finishing this one."""
    before = state.plan.before(state.progress.at)
    if before is None:
        return refuse("This is the first step.", "repeat")
    return tell("arrived", StepReached(step=before))


def skip_step(state: JobState, _command: c.SkipStep, _context: Context) -> Decision:
    """Leave this step for later; past an unread warning only after a yes."""
    target = following(state)
    if target is None:
        return refuse("This is the last step.", "close the job")
    open_now = obligations(state)
    if open_now and open_now[0].duty == "warning":
        question = Question(kind="skip warning", about=open_now[0].about, side=state.side)
        return tell("question", QuestionAsked(question=question))
    gate = any(duty.duty == "gate" for duty in open_now)
    event = StepReached(step=target, skipped=(state.progress.at,))
    return tell("past a gate" if gate else "arrived", event)


def go_to(state: JobState, command: c.GoTo, _context: Context) -> Decision:
    """To the first open step of a phase, on this side if it has one."""
    wanted = [planned for planned in state.plan.phases if planned.key.phase == command.phase]
    if not wanted:
        return refuse("That phase is not part of this job.", "where am i")
    planned = next((phase for phase in wanted if phase.key.side == state.side), wanted[0])
    first = comes_first(state, planned.key)
    if first is not None and not state.phase_complete(planned):
        return refuse(f"{planned.phase.title} comes after {first.phase.title}, which is not done.", "where am i")
    keys = planned.step_keys()
    target = next((key for key in keys if key not in state.progress.done), keys[0])
    here = state.progress.at
    left = to_skip(state, target)
    if state.plan.steps.index(target) <= state.plan.steps.index(here) or not set(left) - set(state.progress.skipped):
        return tell("arrived", StepReached(step=target))
    return tell("question", _asking_to_skip(target))


def skip_now(state: JobState, question: Question, _context: Context) -> Decision:
    """The steps on the way are skipped, and met again later."""
    target = next(key for key in state.plan.steps if str(key) == question.about)
    return tell("arrived", StepReached(step=target, skipped=to_skip(state, target)))


def to_skip(state: JobState, target: StepKey) -> tuple[StepKey, ...]:
    """The steps from the present one up to `target` that are not done."""
    here = state.progress.at
    return (*(() if here in state.progress.done else (here,)), *_open_between(state, target))


def other_side(state: JobState, _command: c.OtherSide, _context: Context) -> Decision:
    """To the place where the work goes on at another side; nothing is skipped by it."""
    others = [planned for planned in state.plan.phases if planned.key.side not in (None, state.side)]
    if len(state.plan.sides) < 2 or not others:
        return refuse("This job has one side only.", "where am i")
    target = place_elsewhere(state)
    if target is None:
        waiting = next((first for one in others if (first := comes_first(state, one.key))), None)
        if waiting is not None:
            return refuse(f"{waiting.phase.title} comes first.", "where am i")
        target = others[0].step_keys()[0]
    return tell("other side", StepReached(step=target), about=state.side or "")


def go_to_skipped(state: JobState, _command: c.GoToSkipped, _context: Context) -> Decision:
    """To the first step that was skipped."""
    left = left_behind(state)
    if not left:
        return refuse("Nothing was skipped.", "what is loose")
    return tell("arrived", StepReached(step=left[0]))


def answering(state: JobState, topic: Topic, event: Event, context: Context, about: str = "") -> Decision:
    """Record `event`, and the step as done where that was the last thing it waited for."""
    here = state.progress.at
    after = replace(state, progress=advance(state.progress, event, context.now, state.plan))
    done = not obligations(after) and here not in state.progress.done
    return tell(topic, event, *((StepDone(step=here), *_finishing(state)) if done else ()), about=about)


def ask_for(obligation: Obligation) -> Decision:
    """Refuse to go on, saying what is open."""
    return refuse(obligation.asks, obligation.instead)


def _leaving(state: JobState, target: StepKey) -> tuple[Event, ...]:
    here = state.progress.at
    if here in state.progress.done:
        return (StepReached(step=target),)
    return (StepReached(step=target, finished=here), *_finishing(state))


def _finishing(state: JobState) -> tuple[Event, ...]:
    """What follows from finishing the present step: its wait begins, a condition ends."""
    step = state.step
    found: list[Event] = []
    name = step_timer(state)
    if step.timer and name and all(timer.name != name for timer in state.progress.timers):
        found.append(TimerStarted(name=name, minutes=step.timer.minutes))
    if step.ends and any(id == step.ends for id, _ in state.progress.conditions):
        found.append(ConditionChanged(condition=step.ends, holds=False, axle=axle_of(state.side)))
    return tuple(found)


def step_timer(state: JobState) -> str | None:
    """What the timer of the present step is called, with its side where the phase has one."""
    timer = state.step.timer
    return None if timer is None else f"{timer.name}, {state.side}" if state.side else timer.name


def _open_between(state: JobState, target: StepKey) -> tuple[StepKey, ...]:
    """The steps behind the present one and before `target` that are not done."""
    steps = state.plan.steps
    between = steps[steps.index(state.progress.at) + 1 : steps.index(target)]
    return tuple(key for key in between if key not in state.progress.done)


def _asking_to_skip(target: StepKey) -> Event:
    return QuestionAsked(question=Question(kind="skip steps", about=str(target), side=target.at.side))


def _at_the_end(state: JobState) -> Decision:
    if left_behind(state):
        return refuse("That was the last step, but some were left out.", "go to skipped")
    return refuse("That was the last step.", "close the job")
