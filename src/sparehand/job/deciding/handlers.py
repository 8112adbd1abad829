"""Which function decides each command, by what is going on."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from sparehand.job import commands as c
from sparehand.job.deciding import (
    decide_claims,
    decide_conditions,
    decide_departing,
    decide_drafting,
    decide_ending,
    decide_extra,
    decide_finding,
    decide_moving,
    decide_noting,
    decide_people,
    decide_recording,
    decide_redoing,
    decide_tightening,
    decide_timing,
    decide_tooling,
    decide_vehicle,
    decide_visit,
    decide_ways,
)
from sparehand.job.decision import Context, Decision, Topic, refuse, tell
from sparehand.job.state import JobState

Handler = Callable[[JobState, Any, Context], Decision]


def _tells(topic: Topic) -> Handler:
    """A handler that records nothing and answers with a topic."""
    return lambda _state, _command, _context: tell(topic)


def _repeat_torque(_state: JobState, command: c.RepeatTorque, _context: Context) -> Decision:
    return tell("torque", unit=command.unit)


def _by_name(topic: Topic, field: str) -> Handler:
    """A handler that records nothing and answers about what the command names in `field`."""
    return lambda _state, command, _context: tell(topic, about=getattr(command, field))


def _torque_of(_state: JobState, command: c.TorqueOf, _context: Context) -> Decision:
    return tell("torque by name", about=command.fastener, unit=command.unit)


def _already_open(_state: JobState, _command: object, _context: Context) -> Decision:
    return refuse("The job has begun already.", "where am i")


ASKS: dict[type[c.Command], Handler] = {
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
    c.Explain: _by_name("explained", "what"),
    c.Quiet: _tells("quiet"),
    c.StopListening: _tells("not listening"),
    c.VoiceOff: _tells("voice off"),
    c.VoiceOn: _tells("voice on"),
    c.Help: _tells("help"),
    c.WhatWasFound: _tells("findings"),
    c.WhoIsHere: _tells("crew"),
    c.WhichJob: _tells("which job"),
    c.WhichFollowUps: _tells("follow-ups"),
    c.SayMore: _tells("more"),
    c.TorqueOf: _torque_of,
    c.SizeOf: _by_name("size by name", "fastener"),
    c.HeldBy: _by_name("held by", "fastener"),
    c.PartOf: _by_name("part", "part"),
    c.TightenedHere: _tells("tightened here"),
    c.LeftOnThisSide: _tells("left on side"),
    c.WhatAfterThat: _by_name("after that", "place"),
    c.WhichTools: _by_name("tools", "place"),
    c.PhaseTime: _by_name("phase time", "place"),
}
"""Questions to the bench: they change nothing and are answered whatever stands open."""

ANY_TIME: dict[type[c.Command], Handler] = {
    c.Tick: decide_timing.tick,
    c.Confirm: decide_ending.confirm,
    c.Refuse: decide_ending.refuse_question,
    c.UseUnit: decide_recording.use_unit,
    c.WasWork: decide_timing.was_work,
    c.WasHold: decide_timing.was_hold,
    c.NoteTaken: decide_noting.note_taken,
    c.TakePicture: decide_noting.take_picture,
    c.PictureCame: decide_noting.picture_came,
    c.EndMemo: decide_noting.nothing_recorded,
    c.DropMemo: decide_noting.nothing_recorded,
}

UNDER_A_QUESTION: dict[type[c.Command], Handler] = {
    c.Hold: decide_timing.hold,
    c.GoOn: decide_timing.go_on,
    c.Snag: decide_timing.snag,
    c.SnagOver: decide_timing.snag_over,
    c.StartTimer: decide_timing.start_timer,
    c.StopTimer: decide_timing.stop_timer,
}
"""What only moves clocks: it leaves the open question as it is, and the question is asked again after it."""

ON_HOLD: dict[type[c.Command], Handler] = {
    c.Hold: decide_timing.hold,
    c.OtherJob: decide_timing.other_job,
    c.GoOn: decide_timing.go_on,
    c.StartTimer: decide_timing.start_timer,
    c.StopTimer: decide_timing.stop_timer,
    c.Undo: decide_ending.undo,
    c.TechnicianSpeaks: decide_people.speaks,
    c.TechnicianJoins: decide_people.joins,
    c.TechnicianLeaves: decide_people.leaves,
    c.HandOver: decide_people.hand_over,
    c.Park: decide_ending.park,
    c.Close: decide_ending.close,
    c.Lifted: decide_vehicle.lifted,
    c.PartAnswer: decide_claims.part_answer,
    c.SayCorrosion: decide_conditions.corrosion,
    c.SaySupport: decide_conditions.support,
    c.SayOdometer: decide_conditions.odometer,
    c.PracticeOnly: decide_conditions.practice,
    c.KeepMemo: decide_noting.keep_memo,
    c.KeepLesson: decide_noting.keep_lesson,
    c.FoundFault: decide_finding.found_fault,
    c.FoundSomething: decide_finding.found_something,
    c.FindingMeasures: decide_finding.finding_measures,
    c.HelperFor: decide_tooling.helper_for,
    c.AddOperation: decide_extra.add_operation,
    c.Approve: decide_extra.approve,
    c.LimitApproval: decide_extra.limit_approval,
    c.Decline: decide_extra.decline,
    c.DropOperation: decide_extra.drop_operation,
    c.StartLine: decide_visit.start_line,
    c.EndLine: decide_visit.end_line,
    c.RoadTestDistance: decide_visit.road_test_distance,
    c.ChoosePayer: decide_visit.choose_payer,
    c.ChooseOperationPayer: decide_visit.choose_operation_payer,
    c.FollowUpIs: decide_visit.follow_up_is,
    c.FollowUpsDue: decide_visit.follow_ups_due,
    c.FollowUpsDueAt: decide_visit.follow_ups_due_at,
}

AT_WORK: dict[type[c.Command], Handler] = {
    c.Next: decide_moving.next_step,
    c.MarkDone: decide_tightening.mark_done,
    c.NextPhase: decide_moving.next_phase,
    c.GoBack: decide_moving.go_back,
    c.SkipStep: decide_moving.skip_step,
    c.GoTo: decide_moving.go_to,
    c.ChooseWay: decide_ways.choose_way,
    c.GoToSkipped: decide_moving.go_to_skipped,
    c.OtherSide: decide_moving.other_side,
    c.Redo: decide_redoing.redo,
    c.Understood: decide_recording.understood,
    c.Finding: decide_recording.finding,
    c.Renewed: decide_recording.renewed,
    c.KeepOldPart: decide_recording.keep_old_part,
    c.MarkIsMade: decide_recording.mark_is_made,
    c.MarkIsFound: decide_recording.mark_is_found,
    c.ConditionHolds: decide_vehicle.condition_holds,
    c.ConditionOver: decide_vehicle.condition_over,
    c.AlreadyFitted: decide_claims.already_fitted,
    c.AlreadyOn: decide_claims.already_on,
    c.MarkWasMade: decide_claims.mark_was_made,
    c.CheckPassed: decide_recording.check_passed,
    c.Reading: decide_tightening.reading,
    c.Depart: decide_departing.depart,
    c.ExplainDeparture: decide_departing.explain,
    c.DepartureDecidedBy: decide_departing.decided_by,
    c.TightenedOtherwise: decide_departing.tightened_otherwise,
    c.StartTightening: decide_tightening.start_tightening,
    c.ToolsBack: decide_tooling.tools_back,
    c.PressSizeFits: decide_tooling.press_size_fits,
    c.UseWrench: decide_tooling.use_wrench,
    c.ExtensionInLine: decide_tooling.extension_in_line,
    c.ExtensionAtRightAngle: decide_tooling.at_right_angle,
    c.ExtensionOff: decide_tooling.extension_off,
    c.SecondCheck: decide_tooling.second_check,
    c.Snag: decide_timing.snag,
    c.SnagOver: decide_timing.snag_over,
    c.NewPhase: decide_drafting.new_phase,
    c.NewStep: decide_drafting.new_step,
    c.NameStep: decide_drafting.name_step,
    c.NewFastener: decide_drafting.new_fastener,
    c.FastenerAgain: decide_drafting.fastener_again,
    c.FastenerDoes: decide_drafting.fastener_does,
    c.FastenerUse: decide_drafting.fastener_use,
    c.FastenerWaits: decide_drafting.fastener_waits,
    c.NotKnown: decide_drafting.not_known,
    c.ChooseOperation: _already_open,
    c.ChooseSides: _already_open,
    c.Begin: _already_open,
}
