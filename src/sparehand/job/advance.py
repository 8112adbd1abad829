"""From one event to the progress after it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from sparehand.ground.clock import Moment
from sparehand.job import events as e
from sparehand.job.folding import (
    fold_conditions,
    fold_departing,
    fold_drafting,
    fold_ending,
    fold_extra,
    fold_finding,
    fold_moving,
    fold_order,
    fold_people,
    fold_recording,
    fold_redoing,
    fold_tightening,
    fold_timing,
    fold_tooling,
    fold_visit,
)
from sparehand.job.progress import Progress
from sparehand.procedures.plan import RunPlan

Handler = Callable[[Any, Progress, Moment, RunPlan], Progress]

_AFTER: dict[type[e.Event], Handler] = {
    e.StepReached: fold_moving.step_reached,
    e.StepDone: fold_moving.step_done,
    e.StepsReopened: fold_redoing.steps_reopened,
    e.WayChosen: fold_extra.way_chosen,
    e.TighteningConfirmed: fold_tightening.tightening_confirmed,
    e.OutOfLimitsRead: fold_tightening.out_of_limits_read,
    e.TighteningRestarted: fold_tightening.tightening_restarted,
    e.WrenchChosen: fold_tooling.wrench_chosen,
    e.ExtensionChanged: fold_tooling.extension_changed,
    e.ToolsCounted: fold_tooling.tools_counted,
    e.PressSizeFitted: fold_tooling.press_size_fitted,
    e.TighteningChecked: fold_tooling.tightening_checked,
    e.DepartureRecorded: fold_departing.departure_recorded,
    e.DepartureExplained: fold_departing.departure_explained,
    e.DepartureDecided: fold_departing.departure_decided,
    e.TightenedByOtherData: fold_departing.tightened_by_other_data,
    e.PiecesCounted: fold_tightening.pieces_counted,
    e.AngleAnswered: fold_tightening.angle_answered,
    e.PartRenewed: fold_recording.part_renewed,
    e.PartNotRenewed: fold_recording.part_not_renewed,
    e.ToldWithoutStep: fold_recording.told_without_step,
    e.StanceChanged: fold_recording.stance_changed,
    e.OrderNoted: fold_order.order_noted,
    e.PartNumberNoted: fold_order.part_number_noted,
    e.OldPartKept: fold_order.old_part_kept,
    e.ReworkLinked: fold_order.rework_linked,
    e.ConditionsSeen: fold_conditions.conditions_seen,
    e.PracticeMarked: fold_conditions.practice_marked,
    e.WarningUnderstood: fold_recording.warning_understood,
    e.WarningSkipped: fold_recording.warning_skipped,
    e.ConditionChanged: fold_recording.condition_changed,
    e.GatePassed: fold_recording.gate_passed,
    e.FindingRecorded: fold_recording.finding_recorded,
    e.FaultFound: fold_finding.fault_found,
    e.FaultMeasured: fold_finding.fault_measured,
    e.PictureTaken: fold_finding.picture_taken,
    e.MeasurementRecorded: fold_recording.measurement_recorded,
    e.MarkMade: fold_recording.mark_made,
    e.MarkFound: fold_recording.mark_found,
    e.UnitChosen: fold_recording.unit_chosen,
    e.ProcedureJoined: fold_extra.joined,
    e.ThingsAreOne: fold_extra.things_are_one,
    e.ExtraWorkProposed: fold_extra.noted,
    e.ExtraWorkApproved: fold_extra.approved,
    e.ApprovalLimited: fold_extra.limited,
    e.ExtraWorkDeclined: fold_extra.noted,
    e.OperationDropped: fold_extra.dropped,
    e.BenchStarted: fold_timing.bench_started,
    e.BenchSlept: fold_timing.bench_slept,
    e.TechnicianJoined: fold_people.technician_joined,
    e.TechnicianLeft: fold_people.technician_left,
    e.TechnicianActs: fold_people.technician_acts,
    e.HoldStarted: fold_timing.hold_started,
    e.HoldEnded: fold_timing.hold_ended,
    e.SnagStarted: fold_timing.snag_started,
    e.SnagEnded: fold_timing.snag_ended,
    e.TimerStarted: fold_timing.timer_started,
    e.TimerRang: fold_timing.timer_ended,
    e.TimerStopped: fold_timing.timer_ended,
    e.QuestionAsked: fold_ending.question_asked,
    e.QuestionAnswered: fold_ending.question_answered,
    e.TimeCorrected: fold_ending.time_corrected,
    e.FirstJobBegun: fold_drafting.first_job_begun,
    e.PhaseOpened: fold_drafting.phase_opened,
    e.StepOpened: fold_drafting.step_opened,
    e.FastenerNamed: fold_drafting.fastener_named,
    e.FastenerTold: fold_drafting.fastener_told,
    e.NameKept: fold_drafting.name_kept,
    e.LineStarted: fold_visit.line_started,
    e.LineEnded: fold_visit.line_ended,
    e.LineAdded: fold_visit.line_added,
    e.LineNoted: fold_visit.line_noted,
    e.PayerChosen: fold_visit.payer_chosen,
    e.FollowUpScheduled: fold_visit.follow_up_scheduled,
    e.FollowUpDone: fold_visit.follow_up_done,
    e.EstimateApproved: fold_visit.estimate_approved,
    e.JobParked: fold_ending.job_parked,
    e.JobClosed: fold_ending.job_closed,
}
"""What each kind of event changes; those that are not here move time alone, which is the ledger's."""


def advance(progress: Progress, event: e.Event, at: Moment, plan: RunPlan) -> Progress:
    """The progress after `event`, which happened at `at`."""
    handler = _AFTER.get(type(event))
    return progress if handler is None else handler(event, progress, at, plan)
