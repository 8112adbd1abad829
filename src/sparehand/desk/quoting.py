"""Hours to quote for one procedure, on screen, as JSON and as a report."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from sparehand.desk.page_file import write_page
from sparehand.desk.run_options import asked_procedure, asked_sides
from sparehand.ground.choices import listed, one_of
from sparehand.ground.errors import InputError
from sparehand.ground.places import LOG_FILE, data_folder
from sparehand.ground.terminal import new_console
from sparehand.job.events import Corrosion, Support
from sparehand.labour.forecasting.quote import quote_from_belief
from sparehand.labour.forecasting.quote_records import QuoteRequest
from sparehand.log.sqlite import SqliteEventStore
from sparehand.shop.earlier_jobs import other_procedures, shop_times
from sparehand.shop.past_forecasts import past_widening
from sparehand.shop.shop_belief import quote_inputs
from sparehand.visit.calibration import calibration


@dataclass(frozen=True)
class QuoteOptions:
    """A quote as it was asked for on the command line."""

    procedure: str
    operations: str = ""
    sides: str = ""
    technician: str | None = None
    corrosion: str = "unknown"
    support: str = "unknown"
    risk: float = 0.3
    hours: float | None = None
    allowance: str = "none"


def print_quote(asked: QuoteOptions, *, as_json: bool, report: Path | None, data: Path | None) -> None:
    """Hours to quote, on screen or as JSON, and as a page where `report` names one."""
    from sparehand.screens.quote_table import quote_table

    quoted = _Quoted(asked, data_folder(data))
    if as_json:
        print(quoted.given.model_dump_json())
    else:
        new_console().print(quote_table(quoted.given))
    if report:
        write_page(report, quoted.page())
        new_console(stderr=as_json).print(f"Labour report: {report}")


def labour_page(asked: QuoteOptions, folder: Path) -> str:
    """The labour report as HTML."""
    return _Quoted(asked, folder).page(at_desk=True)


class _Quoted:
    """A quote with what its report needs besides."""

    def __init__(self, asked: QuoteOptions, folder: Path) -> None:
        self._folder, self._store = folder, SqliteEventStore(folder / LOG_FILE, read_only=True)
        self._procedure = asked_procedure(asked.procedure, self._store, folder)
        self._name = self._procedure.id if self._procedure else asked.procedure
        request = QuoteRequest(
            procedure=self._name,
            operations=listed(asked.operations),
            sides=asked_sides(asked.sides),
            technician=asked.technician,
            corrosion=one_of(asked.corrosion, Corrosion, "the corrosion"),
            support=one_of(asked.support, Support, "the support"),
            risk=_share(asked.risk),
            hours=asked.hours,
            allowance_percent=_allowance(asked.allowance),
        )
        inputs = quote_inputs(self._store, self._procedure, self._name, folder)
        past = past_widening(self._store, self._procedure, self._name, folder)
        self.given = quote_from_belief(request, self._procedure, inputs.own, inputs.belief, inputs.plans, widening=past)

    def page(self, *, at_desk: bool = False) -> str:
        """The report as HTML, with how the promises of the procedure's jobs were kept."""
        from sparehand.desk.promise_list import outcomes_of
        from sparehand.screens.labour_report import labour_report

        jobs = shop_times(self._store)
        others = other_procedures({job.procedure for job in jobs}, self._name, self._folder)
        outcomes = outcomes_of(self._folder, datetime.now().astimezone())
        bands = calibration([one for one in outcomes if one.procedure == self._name])
        return labour_report(self.given, jobs, self._procedure, others, bands=bands, at_desk=at_desk)


def _share(risk: float) -> float:
    if not 0 < risk < 1:
        raise InputError(f"the risk {risk} is no share; give one between 0 and 1, such as 0.3")
    return risk


def _allowance(given: str) -> float | None:
    if given == "none":
        return None
    try:
        return float(given)
    except ValueError as error:
        raise InputError(f"the allowance '{given}' is no percentage; say none or a number such as 15") from error
