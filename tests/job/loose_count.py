"""The loose list counted straight from the history, without the state that the program folds from it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from sparehand.job import events as e
from sparehand.procedures.plan import RunPlan, StepKey


@dataclass
class _Counted:
    """One fastener on its side: pieces at each stage, and what else decides whether it is loose."""

    reached: list[int]
    quantity: int
    angles: list[bool]
    fitted: bool = True
    unknown: bool = False
    settled: bool = False

    @property
    def loose(self) -> bool:
        unfinished = bool(self.reached) and self.reached[-1] < self.quantity
        return not self.settled and (not self.fitted or self.unknown or unfinished)

    @property
    def inside_an_angle(self) -> bool:
        stage = next((n for n, count in enumerate(self.reached) if count < self.quantity), None)
        return bool(stage) and self.angles[stage or 0]


class LooseCount:
    """A count over the events of a job, undone ones left out beforehand."""

    def __init__(self, plan: RunPlan, history: Sequence[e.Recorded]) -> None:
        self._plan = plan
        self._met: dict[str, _Counted] = {}
        for recorded in history:
            self._take(recorded.event)

    @property
    def loose(self) -> set[str]:
        """The labels of what is loose: an id, or an id and a side."""
        return {label for label, counted in self._met.items() if counted.loose}

    def _take(self, event: e.Event) -> None:
        match event:
            case e.StepDone(step=key):
                self._finish(key)
            case e.StepReached(finished=key) if key is not None:
                self._finish(key)
            case e.StepsReopened(steps=keys):
                for key in reversed(keys):
                    self._reopen(key)
            case e.HoldStarted() | e.BenchStarted() | e.Undone() | e.JobParked():
                for counted in self._met.values():
                    counted.unknown |= counted.inside_an_angle
            case _:
                self._take_of_fastener(event)

    def _take_of_fastener(self, event: e.Event) -> None:
        match event:
            case e.TighteningConfirmed(fastener=fastener, stage=stage, count=count):
                counted = self._of(str(fastener))
                counted.reached[stage] += count
                counted.fitted = True
            case e.TighteningRestarted(fastener=fastener):
                self._new(str(fastener))
            case e.TightenedByOtherData(fastener=fastener):
                self._of(str(fastener)).settled = True
            case e.DepartureRecorded(fastener=fastener):
                self._of(str(fastener)).settled = False

    def _finish(self, key: StepKey) -> None:
        step = self._plan.step(key)
        for names, fitted in ((step.removes, False), ((*step.slackens, *step.fits), True)):
            for label in _labels(names, key):
                self._new(label).fitted = fitted

    def _reopen(self, key: StepKey) -> None:
        step = self._plan.step(key)
        for label in _labels(dict.fromkeys((*step.tightens, *step.fits)), key):
            self._new(label).fitted = label.split("/")[0] not in step.fits

    def _of(self, label: str) -> _Counted:
        return self._met[label] if label in self._met else self._new(label)

    def _new(self, label: str) -> _Counted:
        fastener = self._plan.procedure.fastener(label.split("/")[0])
        angles = [bool(stage.angle_degrees) for stage in fastener.tightening]
        self._met[label] = _Counted([0] * len(angles), fastener.quantity, angles)
        return self._met[label]


def _labels(names: Sequence[str] | dict[str, None], key: StepKey) -> Iterator[str]:
    return (f"{name}/{key.at.side}" if key.at.side else name for name in names)
