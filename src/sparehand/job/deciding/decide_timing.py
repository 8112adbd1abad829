"""Clocks: holds, snags, timers, and what the passing of time brings."""

from __future__ import annotations

from sparehand.job import commands as c
from sparehand.job.deciding.decide_forgotten import asks_at_a_quiet_moment
from sparehand.job.deciding.decide_moving import step_timer
from sparehand.job.decision import Context, Decision, refuse, tell
from sparehand.job.events import (
    Event,
    GapExplained,
    HoldEnded,
    HoldStarted,
    Question,
    QuestionAnswered,
    QuestionAsked,
    SnagEnded,
    SnagStarted,
    TimerRang,
    TimerStarted,
    TimerStopped,
)
from sparehand.job.obligations import present_tightening
from sparehand.job.state import JobState

OWN_TIMER = "timer"
"""What a timer is called that belongs to no step."""

_MINUTES_TOO = "timer, and how many minutes"


def hold(state: JobState, command: c.Hold, _context: Context) -> Decision:
    """Work stops; another reason while on hold begins a new one."""
    if state.progress.hold == command.reason:
        return refuse(f"On hold for {command.reason} already.", "back to work")
    ending = (HoldEnded(),) if state.progress.hold else ()
    return tell("hold", *ending, HoldStarted(reason=command.reason), *_angle_asked(state), about=command.reason)


def _angle_asked(state: JobState) -> tuple[Event, ...]:
    """Whether the angle that comes next had been begun: only then nobody knows how far it went."""
    present = None if state.progress.hold else present_tightening(state)
    if present is None or present.angle_unknown or present.stage == 0 or present.target.angle_degrees is None:
        return ()
    question = Question(kind="angle begun", about=str(present.key), side=present.key.side)
    return (QuestionAsked(question=question),)


def other_job(state: JobState, _command: c.OtherJob, context: Context) -> Decision:
    """Work stops here for another job; which one is for the bench to know."""
    return hold(state, c.Hold("other job"), context)


def go_on(state: JobState, _command: c.GoOn, _context: Context) -> Decision:
    """Work goes on."""
    if not state.progress.hold:
        return refuse("The work is not on hold.", "where am i")
    return tell("back to work", HoldEnded())


def snag(state: JobState, command: c.Snag, _context: Context) -> Decision:
    """Something costs worked time; another kind ends the one before."""
    if state.progress.snag == command.kind:
        return refuse(f"The snag {command.kind} is running already.", "snag over")
    ending = (SnagEnded(),) if state.progress.snag else ()
    return tell("snag", *ending, SnagStarted(snag=command.kind), about=command.kind)


def snag_over(state: JobState, _command: c.SnagOver, _context: Context) -> Decision:
    """The snag is over."""
    if not state.progress.snag:
        return refuse("No snag is running.", "time check")
    return tell("snag over", SnagEnded(), about=state.progress.snag)


def start_timer(state: JobState, command: c.StartTimer, _context: Context) -> Decision:
    """The step's own timer, or one of so many minutes."""
    own = state.step.timer
    own_name = step_timer(state)
    name = own_name if own_name and command.minutes is None else OWN_TIMER
    minutes = own.minutes if own and command.minutes is None else command.minutes
    if minutes is None:
        return refuse("This step has no timer of its own.", _MINUTES_TOO)
    names = {timer.name for timer in state.progress.timers}
    if name == own_name and name in names:
        return refuse(f"The timer {name} runs already.", "how long left")
    number = 2
    free = name
    while free in names:
        free, number = f"{name} {number}", number + 1
    return tell("timer", TimerStarted(name=free, minutes=float(minutes)), about=free)


def stop_timer(state: JobState, _command: c.StopTimer, context: Context) -> Decision:
    """Stop the timer that would be due next."""
    if not state.progress.timers:
        return refuse("No timer is running.", "start the timer" if state.step.timer else _MINUTES_TOO)
    soonest = min(state.progress.timers, key=lambda timer: timer.remaining_ms(context.now))
    return tell("timer stopped", TimerStopped(name=soonest.name), about=soonest.name)


def was_work(state: JobState, _command: c.WasWork, _context: Context) -> Decision:
    """The last gap was work."""
    if not state.gap_ms:
        return refuse("There is no gap to explain.", "time check")
    return tell("gap", GapExplained(was="work"), about="work")


def was_hold(state: JobState, _command: c.WasHold, _context: Context) -> Decision:
    """The last gap was a hold."""
    if not state.gap_ms:
        return refuse("There is no gap to explain.", "time check")
    return tell("gap", GapExplained(was="hold"), about="hold")


def tick(state: JobState, _command: c.Tick, context: Context) -> Decision:
    """Due timers ring; a question that nobody answered lapses to the safe answer, which is no."""
    events: list[Event] = []
    rung = [timer.name for timer in state.progress.timers if timer.remaining_ms(context.now) <= 0]
    events.extend(TimerRang(name=name) for name in rung)
    asked = state.progress.question
    if asked and asked.asked.milliseconds_until(context.now) >= asked.question.lapses_after_ms:
        events.append(QuestionAnswered(answer="lapsed"))
    if rung:
        return tell("rang", *events, about=", ".join(rung))
    if events:
        return tell("lapsed", *events)
    return asks_at_a_quiet_moment(state, context) or tell("nothing")
