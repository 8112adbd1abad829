"""From a command to what happens: a pure function of the state, the command and the time."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from sparehand.job import commands as c
from sparehand.job.deciding import (
    departing,
    drafting,
    ending,
    extra,
    moving,
    noting,
    people,
    recording,
    redoing,
    tightening,
    timing,
    tooling,
)
from sparehand.job.decision import Context, Decision, Topic, refuse, tell
from sparehand.job.state import JobState

Handler = Callable[[JobState, Any, Context], Decision]


def _tells(topic: Topic) -> Handler:
    """A handler that records nothing and answers with a topic."""
    return lambda _state, _command, _context: tell(topic)


def _repeat_torque(_state: JobState, command: c.RepeatTorque, _context: Context) -> Decision:
    return tell("torque", unit=command.unit)


def _already_open(_state: JobState, _command: object, _context: Context) -> Decision:
    return refuse("The job has begun already.", "where am i")


_ASKS: dict[type[c.Command], Handler] = {
    c.SayAgain: _tells("again"),
    c.RepeatStep: _tells("step"),
    c.RepeatTorque: _repeat_torque,
    c.WhatSize: _tells("size"),
    c.WhatNext: _tells("what next"),
    c.WhatIsLoose: _tells("loose"),
    c.WhereAmI: _tells("where"),
    c.WhatWasSkipped: _tells("skipped"),
    c.WhichParts: _tells("parts"),
    c.WhatDoINeed: _tells("kit"),
    c.TimeCheck: _tells("time"),
    c.TimerLeft: _tells("timers"),
    c.ReadWarning: _tells("warning"),
    c.Quiet: _tells("quiet"),
    c.StopListening: _tells("not listening"),
    c.VoiceOff: _tells("voice off"),
    c.VoiceOn: _tells("voice on"),
    c.Help: _tells("help"),
    c.WhoIsHere: _tells("crew"),
    c.WhichJob: _tells("which job"),
}
"""Questions to the bench: they change nothing and are answered whatever stands open."""

_ANY_TIME: dict[type[c.Command], Handler] = {
    c.Tick: timing.tick,
    c.Confirm: ending.confirm,
    c.Refuse: ending.refuse_question,
    c.UseUnit: recording.use_unit,
    c.WasWork: timing.was_work,
    c.WasHold: timing.was_hold,
    c.NoteTaken: noting.note_taken,
    c.EndMemo: noting.nothing_recorded,
    c.DropMemo: noting.nothing_recorded,
}

_ON_HOLD: dict[type[c.Command], Handler] = {
    c.Hold: timing.hold,
    c.OtherJob: timing.other_job,
    c.GoOn: timing.go_on,
    c.StartTimer: timing.start_timer,
    c.StopTimer: timing.stop_timer,
    c.Undo: ending.undo,
    c.TechnicianSpeaks: people.speaks,
    c.TechnicianJoins: people.joins,
    c.TechnicianLeaves: people.leaves,
    c.HandOver: people.hand_over,
    c.Park: ending.park,
    c.Close: ending.close,
    c.Lifted: recording.lifted,
    c.KeepMemo: noting.keep_memo,
    c.KeepLesson: noting.keep_lesson,
    c.AddOperation: extra.add_operation,
    c.Approve: extra.approve,
    c.LimitApproval: extra.limit_approval,
    c.Decline: extra.decline,
    c.DropOperation: extra.drop_operation,
}

_AT_WORK: dict[type[c.Command], Handler] = {
    c.Next: moving.next_step,
    c.MarkDone: tightening.mark_done,
    c.NextPhase: moving.next_phase,
    c.GoBack: moving.go_back,
    c.SkipStep: moving.skip_step,
    c.GoTo: moving.go_to,
    c.GoToSkipped: moving.go_to_skipped,
    c.OtherSide: moving.other_side,
    c.Redo: redoing.redo,
    c.Understood: recording.understood,
    c.Finding: recording.finding,
    c.Renewed: recording.renewed,
    c.KeepOldPart: recording.keep_old_part,
    c.MarkIsMade: recording.mark_is_made,
    c.MarkIsFound: recording.mark_is_found,
    c.AtRideHeight: recording.at_ride_height,
    c.CheckPassed: recording.check_passed,
    c.Reading: tightening.reading,
    c.Depart: departing.depart,
    c.ExplainDeparture: departing.explain,
    c.DepartureDecidedBy: departing.decided_by,
    c.TightenedOtherwise: departing.tightened_otherwise,
    c.StartTightening: tightening.start_tightening,
    c.UseWrench: tooling.use_wrench,
    c.ExtensionInLine: tooling.extension_in_line,
    c.ExtensionAtRightAngle: tooling.at_right_angle,
    c.ExtensionOff: tooling.extension_off,
    c.SecondCheck: tooling.second_check,
    c.Snag: timing.snag,
    c.SnagOver: timing.snag_over,
    c.NewPhase: drafting.new_phase,
    c.NewStep: drafting.new_step,
    c.NameStep: drafting.name_step,
    c.NewFastener: drafting.new_fastener,
    c.FastenerAgain: drafting.fastener_again,
    c.FastenerDoes: drafting.fastener_does,
    c.FastenerUse: drafting.fastener_use,
    c.FastenerWaits: drafting.fastener_waits,
    c.NotKnown: drafting.not_known,
    c.ChooseOperation: _already_open,
    c.ChooseSides: _already_open,
    c.Begin: _already_open,
}


def decide(state: JobState, command: c.Command, context: Context) -> Decision:
    """What `command` does to a job in `state`: events, or a refusal that says why and what to say instead."""
    kind = type(command)
    if kind in _ASKS:
        return _ASKS[kind](state, command, context)
    if state.progress.closed:
        return _on_a_closed_job(state, command, context)
    if kind in _ANY_TIME:
        return _ANY_TIME[kind](state, command, context)
    if state.progress.question:
        return _with_a_question_open(state, command, context)
    if kind in _ON_HOLD:
        return _ON_HOLD[kind](state, command, context)
    if state.progress.hold:
        return refuse(f"The work is on hold for {state.progress.hold}.", "back to work")
    return _AT_WORK[kind](state, command, context)


def _on_a_closed_job(state: JobState, command: c.Command, context: Context) -> Decision:
    if isinstance(command, c.Tick):
        return tell("nothing")
    if isinstance(command, c.Undo):
        return ending.undo(state, command, context)
    return refuse("The job is closed.", "time check")


def _with_a_question_open(state: JobState, command: c.Command, context: Context) -> Decision:
    """Going back, undoing or stopping takes the question away; a reading heard anew takes its place."""
    if isinstance(command, c.GoBack | c.Undo):
        return ending.refuse_question(state, c.Refuse(), context)
    if isinstance(command, c.Reading):
        return tightening.reading(state, command, context)
    return refuse("A question is open.", "yes confirm or no cancel")
