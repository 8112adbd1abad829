"""A thread that fails is told of and begins again, later each time; one that returns is done."""

from __future__ import annotations

from itertools import islice

from sparehand.ground.supervision import LONGEST_WAIT_SECONDS, growing_waits, supervised


def test_waits_double_up_to_the_longest() -> None:
    assert list(islice(growing_waits(1.0, 8.0), 6)) == [1.0, 2.0, 4.0, 8.0, 8.0, 8.0]
    assert max(islice(growing_waits(), 50)) == LONGEST_WAIT_SECONDS


def test_what_a_thread_raises_is_told_and_it_begins_again_until_it_returns() -> None:
    told: list[str] = []
    waited: list[float] = []
    failures = [ValueError("a bad byte"), OSError("no such device"), None]

    def work() -> None:
        if (failure := failures.pop(0)) is not None:
            raise failure

    supervised("the keyboard", work, told.append, waited.append).join()
    assert failures == []
    assert [text.split(" (")[0] for text in told] == ["the keyboard failed and is started again"] * 2
    assert "a bad byte" in told[0]
    assert waited == list(islice(growing_waits(), 2))
