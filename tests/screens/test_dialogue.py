"""The conversation as lines: who said what, what was made of it, and what came back."""

from __future__ import annotations

import io
from dataclasses import dataclass

from rich.console import Console

from sparehand.job.answer import Answer, plain
from sparehand.job.commands import GoBack, MarkDone
from sparehand.screens.dialogue import DialogueView
from sparehand.voice.recognising.heard import Source


@dataclass(frozen=True)
class Said:
    text: str
    command: object | None = None
    accepted: bool = True
    reason: str = ""
    confidence: float = 0.93
    near_miss: bool = False
    asks_back: bool = False
    source: Source = "heard"


class Stage:
    """A dialogue on a console of its own."""

    def __init__(self, terminal: bool = False) -> None:
        self._file = io.StringIO()
        self.view = DialogueView(Console(file=self._file, width=70, force_terminal=terminal, legacy_windows=False))

    @property
    def text(self) -> str:
        return self._file.getvalue()

    @property
    def lines(self) -> list[str]:
        return [line.strip() for line in self.text.splitlines()]


def test_what_was_said_heard_and_answered_stand_under_each_other() -> None:
    stage = Stage()
    stage.view.said("Mark done.")
    stage.view.heard(Said("mark done", MarkDone()))
    stage.view.answered(Answer((plain("Confirmed."),), "heard"))
    assert stage.lines == ["technician Mark done.", "heard “mark done”, sure 93 %", "assistant Confirmed."]


def test_a_misheard_phrase_is_shown_as_misheard_with_what_it_did() -> None:
    stage = Stage()
    stage.view.said("mark done")
    stage.view.heard(Said("go back", GoBack(), confidence=0.7))
    assert stage.lines[-1] == "misheard as “go back”, fairly sure 70 % (go back)"


def test_a_refusal_is_told_by_a_word() -> None:
    stage = Stage()
    stage.view.answered(Answer((plain("Cam bolt waits for ride height."),), "refused"))
    assert stage.lines == ["refused Cam bolt waits for ride height."]


def test_a_near_miss_is_shown_with_the_reason() -> None:
    stage = Stage()
    stage.view.heard(Said("next", accepted=False, reason="too short", confidence=0.4, near_miss=True))
    assert stage.lines == ["heard “next”, unsure 40 %, not acted on: too short"]


def test_words_of_talk_are_not_shown() -> None:
    stage = Stage()
    stage.view.heard(Said("the customer owes us", accepted=False))
    assert "customer" not in stage.text
    assert "left alone" in stage.text


def test_what_was_said_and_never_heard_is_told() -> None:
    stage = Stage()
    stage.view.said("mark done")
    stage.view.said("mark done")
    stage.view.close()
    assert [line.split()[0] for line in stage.lines] == ["technician", "not", "technician", "not"]


def test_an_answer_without_words_prints_nothing() -> None:
    stage = Stage()
    stage.view.answered(Answer(tone="timer"))
    stage.view.answered(Answer((plain(""),)))
    assert stage.text == ""


def test_brackets_are_text_and_not_styles() -> None:
    stage = Stage()
    stage.view.note("[bold]written to[/bold] [link]")
    assert stage.lines == ["[bold]written to[/bold] [link]"]


def test_the_bar_over_the_sound_shows_only_on_a_terminal_and_leaves_the_lines_whole() -> None:
    piped, terminal = Stage(), Stage(terminal=True)
    for stage in (piped, terminal):
        stage.view.progress(30, 120)
        stage.view.note("two hours later")
        stage.view.progress(60, 120)
        stage.view.close()
    assert piped.lines == ["two hours later"]
    assert "█" * 12 + "░" * 12 in terminal.text
    assert "1:00 of 2:00" in terminal.text
    assert "two hours later" in terminal.text
