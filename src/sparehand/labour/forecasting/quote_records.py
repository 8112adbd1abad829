"""What is asked of a quote and what it answers, as records: the JSON form is theirs."""

from __future__ import annotations

from typing import Literal

from pydantic import BaseModel, ConfigDict, Field

from sparehand.labour.fitting.holds import Delay
from sparehand.labour.forecasting.allowance import AllowanceConvention
from sparehand.procedures.model import Side


class QuoteRecord(BaseModel):
    """Base: immutable, no unknown field."""

    model_config = ConfigDict(frozen=True, extra="forbid")


class QuoteRequest(QuoteRecord):
    """What is asked. No operations or sides means all of them; no technician means anyone."""

    procedure: str
    operations: tuple[str, ...] = ()
    sides: tuple[Side, ...] = ()
    technician: str | None = None
    corrosion: Literal["none", "light", "heavy", "unknown"] = "unknown"
    support: Literal["lift", "stands", "unknown"] = "unknown"
    risk: float = Field(default=0.3, gt=0, lt=1)
    hours: float | None = Field(default=None, ge=0, allow_inf_nan=False)
    allowance_percent: float | None = Field(default=None, ge=0, lt=100)
    allowance_convention: AllowanceConvention = "of the time"


class Conditions(QuoteRecord):
    """The circumstances the quote is for."""

    corrosion: Literal["none", "light", "heavy", "unknown"]
    support: Literal["lift", "stands", "unknown"]


class PhaseQuote(QuoteRecord):
    """Minutes of one phase, snags included; `jobs` is how many have timed it."""

    phase: str
    side: Side | None
    median_minutes: float
    p10_minutes: float
    p90_minutes: float
    jobs: int


class WayQuote(QuoteRecord):
    """One of the ways past a phase: the chance that this shop takes it, and the hours of the whole run by it."""

    phase: str
    way: str
    title: str
    chance: float
    median_hours: float
    flat_rate_hours: float


class SnagQuote(QuoteRecord):
    """The chance of at least one snag of the kind in the phase, and its median minutes if it comes."""

    kind: str
    phase: str
    chance: float
    minutes: float


class OtherOperation(QuoteRecord):
    """What another operation would add (median hours) if done at the same time."""

    operation: str
    marginal_hours: float


class Quote(QuoteRecord):
    """The answer. Hours are labour hours; only `flat_rate_hours`, which are billed, may hold an allowance.

    `figure_hours` are the hours asked about, otherwise `flat_rate_hours`: the job takes longer with the chance
    `chance_over`, and on average, over all such jobs, `expected_loss_hours` longer. What is not part of the JSON answer
    (`planned_hours`, `delay`, `notes`, `draws_hours`) serves the screen and the report. Where phases offer
    ways, the hours are a mixture of them by how often this shop takes each; `ways` shows each one.
    """

    procedure: str
    operations: tuple[str, ...]
    sides: tuple[Side, ...]
    technician: str | None
    conditions: Conditions
    jobs_used: int
    basis: Literal["plan", "times"]
    median_hours: float
    percentiles: dict[str, float]
    flat_rate_hours: float
    chance_over: float
    phases: tuple[PhaseQuote, ...]
    snags: tuple[SnagQuote, ...]
    shared_minutes: float
    also: tuple[OtherOperation, ...]
    figure_hours: float
    mean_hours: float
    expected_loss_hours: float
    past_forecasts: str = ""
    """What was wrong with the forecasts of this procedure's latest jobs, in one line; "" where they held."""
    ways: tuple[WayQuote, ...] = ()
    planned_hours: float | None = Field(default=None, exclude=True)
    delay: Delay | None = Field(default=None, exclude=True)
    notes: tuple[str, ...] = Field(default=(), exclude=True)
    draws_hours: tuple[float, ...] = Field(default=(), exclude=True, repr=False)
