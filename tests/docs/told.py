"""A job told in the manual, played: each line as if it were said, with the names of its procedure."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

from job.table import Table
from sparehand.conversation.active_phrases import situations
from sparehand.setup.hearing_trials import spoken_names
from sparehand.voice.phrases.phrase_file import load_phrases
from sparehand.voice.phrases.phrase_table import SpokenNames

SECONDS = 60


class StoryJob:
    """The job of a story on a table, with the procedures that may join it; a minute passes between two lines."""

    def __init__(self, table: Table) -> None:
        self.table = table
        self._names: SpokenNames | None = None

    def says(self, words: str) -> str:
        """What is answered, as it is shown. Raises AssertionError for words that do not count now."""
        others = [one.procedure for one in self.table.experience.offers]
        names = spoken_names(self.table.state.plan.procedure, others=others)
        if names != self._names:
            self._names, self._phrases = names, load_phrases(names)
        command = self._phrases.command_for(words, situations(self.table.state))
        assert command is not None, f"'{words}' does not count here"
        return self.table.do(command, after_ms=1_000 * SECONDS).shown


def told(page: Path) -> Iterator[tuple[str, str]]:
    """Each line said in the blocks of a page, after "> ", and the answer below it."""
    said = ""
    for line in page.read_text(encoding="utf-8").splitlines():
        if line.startswith("> ") and not line.startswith("> >"):
            said = line.removeprefix("> ")
        elif said and line and not line.startswith("```"):
            yield said, line
            said = ""
