"""The flat-rate hours of an estimate, operation by operation, and what may change them, from the shop's times."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from pathlib import Path

import numpy as np

from sparehand.desk.estimate_work import Piece
from sparehand.desk.run_options import asked_sides
from sparehand.job.events import Corrosion, Support
from sparehand.labour.fitting.holds import Delay
from sparehand.labour.forecasting.allowance import with_allowance
from sparehand.labour.forecasting.between_jobs import common_variance
from sparehand.labour.forecasting.quote import flat_rate, quote_from_belief
from sparehand.labour.forecasting.quote_records import Quote, QuoteRequest
from sparehand.log.sqlite import SqliteEventStore
from sparehand.shop.past_forecasts import past_widening
from sparehand.shop.shop_belief import quote_inputs
from sparehand.visit.estimate import Outlook
from sparehand.visit.joint_hours import Floats, JobHours, joint_draws
from sparehand.visit.tenths import added_tenths, tenths

DRAWS, SEED = 16_384, 20_261_103
NAMED_SNAGS, WORTH_A_LINE = 2, 0.05


@dataclass(frozen=True)
class Circumstances:
    """What the hours depend on besides the work."""

    sides: str
    technician: str | None
    corrosion: Corrosion
    support: Support
    risk: float
    allowance_percent: float | None


class ShopHours:
    """Quotes from the shop's times, added up over the pieces of a sheet."""

    def __init__(self, asked: Circumstances, store: SqliteEventStore, folder: Path) -> None:
        self._asked, self._store, self._folder = asked, store, folder

    def added(self, pieces: Sequence[Piece]) -> tuple[Decimal, ...]:
        """What each operation adds to the flat-rate hours, in the order of the sheet."""
        totals, before = [], list[Quote]()
        for piece in pieces:
            for count in range(1, len(piece.operations) + 1):
                operations = piece.operations[:count]
                last = [self._quote(piece, operations, self._asked.corrosion)] if piece.has_work(operations) else []
                totals.append(self._flat_rate([*before, *last]))
            before.extend(last)
        return added_tenths(totals)

    def outlook(self, pieces: Sequence[Piece], hours: Decimal) -> Outlook:
        """How sure the hours are, what they lean on, and what would add to them."""
        working = [piece for piece in pieces if piece.has_work(piece.operations)]
        quotes = [self._quote(piece, piece.operations, self._asked.corrosion) for piece in working]
        heavy = [self._quote(piece, piece.operations, "heavy") for piece in working]
        rust = tenths(self._flat_rate(heavy)) - hours
        may_add = [("rust", rust)] if self._asked.corrosion != "heavy" and rust > 0 else []
        follow_ups = tuple(text for piece in pieces for text in piece.follow_ups)
        return Outlook(
            chance_over=float(np.mean(self._total(quotes) > float(hours))),
            jobs_used=min(quote.jobs_used for quote in quotes),
            shared_minutes=round(sum(quote.shared_minutes for quote in quotes) + self._access(pieces)),
            may_add=(*may_add, *_snags(working, quotes)),
            follow_ups=tuple(dict.fromkeys(follow_ups)),
            demo=any(piece.whole is not None and piece.whole.demo for piece in pieces),
        )

    def forecast(self, pieces: Sequence[Piece]) -> tuple[JobHours, Delay | None]:
        """Sorted draws of the labour hours, with what they share with other jobs, and the wait that is likeliest."""
        working = [piece for piece in pieces if piece.has_work(piece.operations)]
        quotes = [self._quote(piece, piece.operations, self._asked.corrosion) for piece in working]
        inputs = quote_inputs(self._store, pieces[0].whole, pieces[0].name, self._folder)
        common = common_variance(inputs.belief, self._asked.technician)
        delays = [quote.delay for quote in quotes if quote.delay is not None]
        hours = JobHours(self._total(quotes), common.shop, common.person)
        return hours, max(delays, key=lambda delay: delay.chance, default=None)

    def _quote(self, piece: Piece, operations: tuple[str, ...], corrosion: Corrosion) -> Quote:
        asked = self._asked
        sides = asked_sides(asked.sides)
        request = QuoteRequest(
            procedure=piece.name,
            operations=operations,
            sides=tuple(side for side in sides if piece.whole is None or side in piece.whole.sides),
            technician=asked.technician,
            corrosion=corrosion,
            support=asked.support,
            risk=asked.risk,
        )
        inputs = quote_inputs(self._store, piece.whole, piece.name, self._folder)
        past = past_widening(self._store, piece.whole, piece.name, self._folder)
        return quote_from_belief(request, piece.file, inputs.own, inputs.belief, inputs.plans, widening=past)

    def _flat_rate(self, quotes: Sequence[Quote]) -> float:
        """The flat-rate hours of all quotes together, the allowance on top."""
        allowed = with_allowance(self._total(quotes), self._asked.allowance_percent, "of the time")
        return flat_rate(allowed, self._asked.risk)

    def _total(self, quotes: Sequence[Quote]) -> Floats:
        """Sorted draws of the labour hours of all quotes together: one technician does them."""
        draws = [np.asarray(quote.draws_hours) for quote in quotes]
        hours = draws[0]
        if len(draws) > 1:
            inputs = quote_inputs(self._store, None, quotes[0].procedure, self._folder)
            common = common_variance(inputs.belief, self._asked.technician)
            jobs = [JobHours(each, common.shop, common.person, "who does it") for each in draws]
            hours = joint_draws(jobs, DRAWS, SEED).sum(axis=1)
        return np.sort(hours)

    def _access(self, pieces: Sequence[Piece]) -> float:
        """Median minutes of the phases that a piece does not need again because an earlier one has done them."""
        return math.fsum(
            row.median_minutes
            for piece in pieces
            if piece.shared and piece.whole is not None
            for row in self._quote(replace(piece, file=piece.whole), piece.operations, self._asked.corrosion).phases
            if row.phase in piece.shared
        )


def _snags(pieces: Sequence[Piece], quotes: Sequence[Quote]) -> list[tuple[str, Decimal]]:
    """The costliest snags that are not rare, in plain words, with about how long they take."""
    found = []
    for piece, quote in zip(pieces, quotes, strict=True):
        titles = {phase.id: phase.title for phase in piece.whole.phases} if piece.whole else {}
        for snag in quote.snags[:NAMED_SNAGS]:
            if snag.chance >= WORTH_A_LINE:
                words = f"{snag.kind}, in {snag.chance:.0%} of jobs: {titles.get(snag.phase, snag.phase)}"
                found.append((words, tenths(math.ceil(snag.minutes / 6) / 10)))
    return found
