"""From one event to the progress after it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from sparehand.clock import Moment
from sparehand.job import events as e
from sparehand.job.folding import (
    departing,
    drafting,
    ending,
    extra,
    moving,
    order,
    people,
    recording,
    redoing,
    tightening,
    timing,
    tooling,
)
from sparehand.job.progress import Progress
from sparehand.procedures.plan import RunPlan

Handler = Callable[[Any, Progress, Moment, RunPlan], Progress]

_AFTER: dict[type[e.Event], Handler] = {
    e.StepReached: moving.step_reached,
    e.StepDone: moving.step_done,
    e.StepsReopened: redoing.steps_reopened,
    e.TighteningConfirmed: tightening.tightening_confirmed,
    e.OutOfLimitsRead: tightening.out_of_limits_read,
    e.TighteningRestarted: tightening.tightening_restarted,
    e.WrenchChosen: tooling.wrench_chosen,
    e.ExtensionChanged: tooling.extension_changed,
    e.TighteningChecked: tooling.tightening_checked,
    e.DepartureRecorded: departing.departure_recorded,
    e.DepartureExplained: departing.departure_explained,
    e.DepartureDecided: departing.departure_decided,
    e.TightenedByOtherData: departing.tightened_by_other_data,
    e.PartRenewed: recording.part_renewed,
    e.OrderNoted: order.order_noted,
    e.PartNumberNoted: order.part_number_noted,
    e.OldPartKept: order.old_part_kept,
    e.ReworkLinked: order.rework_linked,
    e.WarningUnderstood: recording.warning_understood,
    e.WarningSkipped: recording.warning_skipped,
    e.ConditionChanged: recording.condition_changed,
    e.GatePassed: recording.gate_passed,
    e.FindingRecorded: recording.finding_recorded,
    e.MeasurementRecorded: recording.measurement_recorded,
    e.MarkMade: recording.mark_made,
    e.MarkFound: recording.mark_found,
    e.UnitChosen: recording.unit_chosen,
    e.ExtraWorkProposed: extra.noted,
    e.ExtraWorkApproved: extra.approved,
    e.ApprovalLimited: extra.limited,
    e.ExtraWorkDeclined: extra.noted,
    e.OperationDropped: extra.dropped,
    e.BenchStarted: timing.bench_started,
    e.BenchSlept: timing.bench_slept,
    e.TechnicianJoined: people.technician_joined,
    e.TechnicianLeft: people.technician_left,
    e.TechnicianActs: people.technician_acts,
    e.HoldStarted: timing.hold_started,
    e.HoldEnded: timing.hold_ended,
    e.SnagStarted: timing.snag_started,
    e.SnagEnded: timing.snag_ended,
    e.TimerStarted: timing.timer_started,
    e.TimerRang: timing.timer_ended,
    e.TimerStopped: timing.timer_ended,
    e.QuestionAsked: ending.question_asked,
    e.QuestionAnswered: ending.question_answered,
    e.TimeCorrected: ending.time_corrected,
    e.FirstJobBegun: drafting.first_job_begun,
    e.PhaseOpened: drafting.phase_opened,
    e.StepOpened: drafting.step_opened,
    e.FastenerNamed: drafting.fastener_named,
    e.FastenerTold: drafting.fastener_told,
    e.NameKept: drafting.name_kept,
    e.JobParked: ending.job_parked,
    e.JobClosed: ending.job_closed,
}
"""What each kind of event changes; those that are not here move time alone, which is the ledger's."""


def advance(progress: Progress, event: e.Event, at: Moment, plan: RunPlan) -> Progress:
    """The progress after `event`, which happened at `at`."""
    handler = _AFTER.get(type(event))
    return progress if handler is None else handler(event, progress, at, plan)
