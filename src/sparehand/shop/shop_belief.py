"""What the shop's times say to a question about one procedure: from what the logs add up, and without doing it twice.

Two logs may hold times: the bench's own, and the copy of the other benches'. Where they may hold the same jobs, or
where a procedure has renamed its phases since, the times themselves are read.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from hashlib import sha256
from pathlib import Path

from sparehand.ground.errors import FailureError
from sparehand.ground.places import bundled
from sparehand.job.events import JobOpened
from sparehand.labour.evidence.shop_evidence import Evidence, gather_evidence
from sparehand.labour.evidence.tally_evidence import tallied_evidence
from sparehand.labour.fitting.belief import QuoteInputs, believe_shop, inputs_of
from sparehand.labour.fitting.belief_file import Basis, Planned, read_belief, write_belief
from sparehand.labour.fitting.priors import Priors
from sparehand.log.sqlite import SqliteEventStore
from sparehand.procedures.earlier_names import FILE as RENAMED_FILE
from sparehand.procedures.library import installed_folder, shared_folder
from sparehand.procedures.model import Procedure
from sparehand.sharing.read_shop_copy import open_shop_copy
from sparehand.shop.earlier_jobs import other_procedures, shop_times
from sparehand.times.sample import Plans, clean_jobs
from sparehand.times.tally import Tally

FILE = "belief.npz"


def quote_inputs(store: SqliteEventStore, procedure: Procedure | None, name: str, folder: Path) -> QuoteInputs:
    """How the shop's times stand to the procedure of that name; without a file they are all there is of it."""
    with _logs(store, folder) as logs:
        return _Logs(logs, folder).quote_inputs(procedure, name)


def times_basis(store: SqliteEventStore, procedure: Procedure | None, folder: Path) -> str:
    """A text that changes when the shop's times do, or a procedure file, or the one asked about."""
    with _logs(store, folder) as logs:
        both = _Logs(logs, folder)
        return f"{both.basis.text} {_digest(procedure)}"


def inputs_for_job(opened: JobOpened, store: SqliteEventStore) -> QuoteInputs:
    """How the shop's times stand to a job that was opened."""
    return quote_inputs(store, opened.procedure, opened.procedure.id, store.path.parent)


def believe_ahead(store: SqliteEventStore, folder: Path) -> None:
    """Fit the shop now that its times have changed, so that the next question finds it done."""
    with _logs(store, folder) as logs:
        both = _Logs(logs, folder)
        if names := sorted(both.procedures()):
            both.quote_inputs(next(iter(other_procedures(names[:1], "", folder)), None), names[0])


def has_times(store: SqliteEventStore, name: str, folder: Path) -> bool:
    """Whether there are times of a procedure, here or fetched from the shop's other benches."""
    with _logs(store, folder) as logs:
        return any(name in log.times.status().procedures for log in logs)


def judge_imported(store: SqliteEventStore, installed: Iterable[Procedure]) -> bool:
    """Judge the imported jobs by the plans of these procedures; False where that was done, or cannot be written."""
    before, of_files = store.times.status(), Plans.of(installed)
    plans = {procedure: of_files.of_procedure(procedure) for procedure in before.procedures}
    if before.judged_otherwise(plans):
        _bring_up(store.path, plans)
    return store.times.status() != before


@contextmanager
def _logs(store: SqliteEventStore, folder: Path) -> Iterator[list[SqliteEventStore]]:
    """The bench's own log, and the copy of the other benches' if there is one."""
    copy = open_shop_copy(folder)
    try:
        yield [store, *([copy] if copy else [])]
    finally:
        if copy:
            copy.close()


class _Logs:
    """The bench's own log, first, and the copy of the others'."""

    def __init__(self, logs: list[SqliteEventStore], folder: Path) -> None:
        self._logs, self._folder = logs, folder
        for log in logs:
            if log.times.status().uncounted:
                _bring_up(log.path, {})
        self._stand = [log.times.status() for log in logs]
        self._names = {id: name for each in self._stand for id, name in each.names.items()}

    def quote_inputs(self, procedure: Procedure | None, name: str) -> QuoteInputs:
        own_plans = Plans.of([procedure] if procedure else [])
        if self._logs[0].times.closed_without_times():
            return self._from_rows(procedure, name)
        own = self._evidence([name], [procedure] if procedure else [], own_plans)
        basis = self.basis
        path = self._folder / FILE
        belief = read_belief(path, basis, name, _digest(procedure), self._name_of)
        if belief is None or not belief.covers(own):
            installed = other_procedures({*self.procedures(), name}, "", self._folder)
            if judge_imported(self._logs[0], installed):
                self._stand[0] = self._logs[0].times.status()
                return self.quote_inputs(procedure, name)
            files = [*([procedure] if procedure else []), *(file for file in installed if file.id != name)]
            plans = Plans.of(files)
            belief = believe_shop(self._evidence(self.procedures(), files, plans), plans, Priors())
            ids = {called: id for id, called in self._names.items()}
            if len(ids) == len(self._names):
                of_files = {file.id: _digest(file) for file in files}
                there = next((file for file in installed if file.id == name), None)
                outside = name if _digest(there) != _digest(procedure) else None
                planned = Planned({each: of_files.get(each, "") for each in self.procedures()}, outside)
                write_belief(path, basis, planned, belief, lambda called: ids.get(called, called))
        return QuoteInputs(belief, own, own_plans)

    def _from_rows(self, procedure: Procedure | None, name: str) -> QuoteInputs:
        jobs = shop_times(self._logs[0])
        others = other_procedures({job.procedure for job in jobs}, name, self._folder)
        files = [*([procedure] if procedure else []), *others]
        return inputs_of(name, jobs, files)

    @property
    def basis(self) -> Basis:
        """What any answer is made from."""
        return Basis(str(self._logs[0].path.resolve()), self._revisions(), self._files_stamp())

    def procedures(self) -> set[str]:
        """Every procedure that has times."""
        return {name for each in self._stand for name in each.procedures}

    def _revisions(self) -> tuple[int, ...]:
        """What each log adds up to, as numbers: each change makes others, and so does another log in its place."""
        return tuple(number for each in self._stand for number in (each.revision, each.seals))

    def _evidence(self, names: Iterable[str], files: Iterable[Procedure], plans: Plans) -> Evidence:
        by_id = {file.id: file for file in files}
        evidence = Evidence()
        for name in names:
            evidence += self._evidence_of(name, by_id.get(name), plans)
        return evidence

    def _evidence_of(self, name: str, file: Procedure | None, plans: Plans) -> Evidence:
        having = [log for log, stand in zip(self._logs, self._stand, strict=True) if name in stand.procedures]
        tallies = [log.times.tallies(name).tallies[0] for log in having]
        if (len(having) > 1 and having[0].times.imported(name)) or any(_renamed(tally, file) for tally in tallies):
            return gather_evidence(clean_jobs(shop_times(self._logs[0], name), [file] if file else []), plans)
        return tallied_evidence(tallies, plans, self._name_of)

    def _name_of(self, id: str) -> str:
        """The name of a technician; the id itself where a damaged log has lost who that is."""
        return self._names.get(id, id)

    def _files_stamp(self) -> str:
        """What changes when a procedure file does that is found by its id, or the names that its phases had."""
        places = (bundled("procedures"), installed_folder(self._folder), shared_folder(self._folder))
        found = [path for place in places for path in sorted(place.glob("*.y*ml"))]
        files = [(path.name, path.stat()) for path in (*found, *self._folder.glob(RENAMED_FILE))]
        return json.dumps([[name, stat.st_mtime_ns, stat.st_size] for name, stat in files])


def _digest(file: Procedure | None) -> str:
    """A short text that changes when a plan of the procedure does, or a name under which it was timed before."""
    if file is None:
        return ""
    own = [[phase.id, phase.planned_minutes, *phase.was] for phase in file.phases]
    own += [[operation.id, *operation.was] for operation in file.operations]
    return sha256(json.dumps(own).encode()).hexdigest()[:16]


def _bring_up(path: Path, plans: Mapping[str, Mapping[str, float]]) -> None:
    """Judge by plans and count what was set aside, if the log can be written; otherwise it is counted when read."""
    try:
        log = SqliteEventStore(path)
    except FailureError:
        return
    try:
        log.times.judge(plans)
        log.times.recount()
    except FailureError:
        pass
    finally:
        log.close()


def _renamed(tally: Tally, file: Procedure | None) -> bool:
    """Whether the tally knows a phase or operation by a name that it had before."""
    if file is None:
        return False
    before = {was for phase in file.phases for was in phase.was}
    before |= {was for operation in file.operations for was in operation.was}
    operations = {operation for shape in tally.shapes for operation in json.loads(shape)[0]}
    return bool(before & (set(tally.bins) | operations))
