"""Where the time of a job goes: an account for each technician on it. A fold, like the rest of the state."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Literal

from sparehand.ground.clock import Moment
from sparehand.job.account import Account, Label, Span
from sparehand.job.corrected import corrected
from sparehand.job.events import GapAnswer, TimeCorrected


@dataclass(frozen=True)
class Ledger:
    """The accounts in the order of joining; who leaves and joins again has two. Each sums up to its elapsed time."""

    latest: Moment
    accounts: tuple[Account, ...]
    corrections: tuple[TimeCorrected, ...] = ()

    @classmethod
    def of(cls, label: Label, now: Moment) -> Ledger:
        """The ledger of one technician who begins now."""
        return cls(now, (Account(label, now),))

    def up_to(self, now: Moment) -> Ledger:
        """The same ledger with every running span carried on to `now`."""
        return self._changed(lambda account: account.up_to(now), now)

    def under(self, labels: Mapping[str, Label]) -> Ledger:
        """Go on under these labels, one a technician: who has none leaves, who has no open account joins."""
        accounts = [account if account.ended else _under(account, labels) for account in self.accounts]
        there = {account.label.technician for account in accounts if not account.ended}
        accounts.extend(Account(label, self.latest) for name, label in labels.items() if name not in there)
        return replace(self, accounts=tuple(accounts))

    def across_stop(self, now: Moment) -> Ledger:
        """Carry on over a time when the bench was off."""
        return self._changed(lambda account: account.across_stop(now), now)

    def across_sleep(self, now: Moment, asleep_ms: int) -> Ledger:
        """Carry on to `now` over a time of which the bench slept the last `asleep_ms`."""
        asleep = min(asleep_ms, self.latest.milliseconds_until(now))
        return self._changed(lambda account: account.across_sleep(now, asleep), now)

    def clock_stepped(self, step_ms: int, now: Moment) -> Ledger:
        """Carry on to `now`, when the wall clock was found to have stepped."""
        return self._changed(lambda account: account.up_to(now).clock_stepped(step_ms, now), now)

    def explained(self, technician: str, was: GapAnswer) -> Ledger:
        """The same time with the last gap of one technician told."""
        return self._changed(
            lambda account: account.explained(was) if account.label.technician == technician else account, self.latest
        )

    def gap_ms(self, technician: str) -> int:
        """How long the last gap of a technician was that waits for its explanation; 0 where none does."""
        return self.of_technician(technician).gap_ms()

    def of_technician(self, technician: str) -> Account:
        """The latest account of a technician."""
        return next(account for account in reversed(self.accounts) if account.label.technician == technician)

    def all_spans(self) -> tuple[Span, ...]:
        """Every span of everybody, each account in order, as the corrections tell it."""
        return corrected(tuple(span for account in self.accounts for span in account.all_spans()), self.corrections)

    def corrected(self, correction: TimeCorrected) -> Ledger:
        """The same time with some of it counted elsewhere; what was recorded first stays in the accounts."""
        return replace(self, corrections=(*self.corrections, correction))

    def taken_back_to(self, earlier: Ledger) -> Ledger:
        """After an undo: the time since `earlier` counts under the labels of then; who joined since was never there."""
        pairs = zip(earlier.accounts, self.accounts, strict=False)
        accounts = tuple(now.taken_back_to(then) if not then.ended else now for then, now in pairs)
        return replace(self, accounts=accounts, corrections=earlier.corrections)

    def _changed(self, change: Callable[[Account], Account], now: Moment) -> Ledger:
        accounts = tuple(account if account.ended else change(account) for account in self.accounts)
        return replace(self, latest=now, accounts=accounts)


def _under(account: Account, labels: Mapping[str, Label]) -> Account:
    label = labels.get(account.label.technician)
    return account.under(label) if label else account.end()


def milliseconds(spans: Iterable[Span], kind: Literal["work", "hold", "gap"] | None = None) -> int:
    """The total of the spans of one kind, or of all."""
    return sum(span.milliseconds for span in spans if kind is None or span.label.kind == kind)
