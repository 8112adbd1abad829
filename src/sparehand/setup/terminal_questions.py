"""Questions asked on a terminal, one line each; an empty line, or no line any more, keeps what stands."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence

from sparehand.ground.choices import number_in

YES, AGAIN = "yes", "again"


class Questions:
    """Asks with `show` and reads the answers from `lines`, which may be a script that ends early."""

    def __init__(self, lines: Iterable[str], show: Callable[[str], None]) -> None:
        self._lines = iter(lines)
        self._show = show
        self._ended = False

    def tell(self, text: str) -> None:
        """Show a line that asks nothing."""
        self._show(text)

    def ask(self, question: str, standing: str) -> str:
        """What is typed, or `standing`."""
        if self._ended:
            return standing
        self._show(f"{question} [{standing}]")
        line = next(self._lines, None)
        self._ended = line is None
        return (line or "").strip() or standing

    def choose(self, question: str, options: Sequence[str], standing: str) -> str:
        """One of `options`, by its number or its own words; asked again until it is one."""
        for number, option in enumerate(options, start=1):
            self._show(f"  {number}  {option}")
        while True:
            typed = self.ask(question, standing)
            chosen = number_in(typed, 1, len(options))
            if chosen is not None:
                return options[chosen - 1]
            if typed == standing or typed in options:
                return typed
            self._show(f"'{typed}' is none of them; type a number from 1 to {len(options)}")

    def number(self, question: str, lowest: int, highest: int, standing: int) -> int:
        """A whole number in the limits, asked again until it is one."""
        while True:
            typed = self.ask(f"{question}, {lowest} to {highest}", str(standing))
            number = number_in(typed, lowest, highest)
            if number is not None:
                return number
            if typed == str(standing):
                return standing
            self._show(f"'{typed}' is no number from {lowest} to {highest}")

    def keeps(self, what: str) -> bool:
        """Whether what was tried is kept; asked again until it is yes or again, for nothing else counts as either."""
        while True:
            typed = self.ask(f"Keep {what}, or try again? {YES} or {AGAIN}", YES)
            if typed in (YES, AGAIN):
                return typed == YES
            self._show(f"'{typed}' is neither; type {YES} or {AGAIN}")
