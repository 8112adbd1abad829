"""No prompt teaches a phrase that would not be taken in the state that it is said in."""

from __future__ import annotations

import re
from collections.abc import Iterator, Set
from functools import cache

import pytest
from hypothesis import given, settings, strategies as st

from job.table import EXPERIENCE, demo_procedure, open_job
from job.test_invariants import PROCEDURES, STEPS, Steps, opened
from sparehand.conversation.active_phrases import situations
from sparehand.conversation.phrase_hints import sayable, typeable
from sparehand.job import commands as c
from sparehand.job.answer import Answer
from sparehand.job.answering import answer_help
from sparehand.job.answering.answer_context import AnswerContext
from sparehand.job.decision import Tell
from sparehand.job.situation import Situation
from sparehand.setup.hearing_trials import spoken_names
from sparehand.voice.phrases.phrase_file import load_phrases
from sparehand.voice.phrases.phrase_table import PhraseTable

OWN_WORDS = re.compile(r"its name|what you do|the digits.*|the reason, and who decided.*", re.IGNORECASE)
"""What a prompt asks for in the technician's own words, or in digits."""
FILLED = {
    "add operation, and its name": "add operation {operation}",
    "use wrench, and its name": "use wrench long one",
    "use wrench, and a name of the list": "use wrench long one",
    "second check by, and a name": "second check by ada brook",
    "hand over to, and a name": "hand over to ada brook",
    "extension in line, and the digits": "extension in line one two zero",
    "mark done, and how many": "mark done two",
    "timer, and how many minutes": "timer ten minutes",
    "that name, then is speaking": "ada brook is speaking",
    "that name, then joins the job": "ada brook joins the job",
}
"""An example of each prompt that leaves a place open."""
ASIDE = re.compile(r", once it is| once the step is done| for the rest")


@cache
def table_of(name: str) -> PhraseTable:
    return load_phrases(spoken_names(PROCEDURES[name], {"Ada Brook": "Ada Brook"}, EXPERIENCE.wrenches))


def taught(answer: Answer, operation: str) -> Iterator[str]:
    """Each phrase that an answer tells to say, an example in its open place."""
    for sentence in re.split(r"(?<=[.?!])\s+", answer.spoken):
        said = re.fullmatch(r"Say (.*)\.", ASIDE.sub("", sentence.replace("Say more", "Say say more")))
        if said and not OWN_WORDS.fullmatch(said[1]):
            words = said[1]
            for prompt, example in FILLED.items():
                words = words.replace(prompt, example.format(operation=operation))
            yield from re.split(r",? or |, ", words.lower())


def unsayable(given: Answer, phrases: PhraseTable, now: Set[Situation]) -> list[str]:
    operation = next(iter(phrases.names.operations))
    return [one for one in taught(given, operation) if phrases.command_for(one, now) is None]


def spoken(command: c.Command, phrases: PhraseTable, now: Set[Situation]) -> bool:
    """Whether it could be said at all now; what could not was typed, and typed lines know no situations."""
    return any(one.command == type(command).__name__ and one.situations & now for one in phrases.patterns)


@pytest.mark.parametrize("name", PROCEDURES)
@settings(max_examples=100, deadline=None, derandomize=True)
@given(steps=STEPS, first_only=st.booleans())
def test_what_a_prompt_teaches_is_taken(name: str, steps: Steps, first_only: bool) -> None:
    table, phrases = opened(name, first_only), table_of(name)
    for command, wait_ms, _ in steps:
        by_voice = spoken(command, phrases, situations(table.state))
        given = table.do(command, after_ms=wait_ms)
        now = situations(table.state) if by_voice or isinstance(command, c.Tick) else typeable(situations(table.state))
        taken = {*now, "memo"} if isinstance(command, c.KeepMemo | c.KeepLesson | c.FoundSomething) else now
        told = Answer() if isinstance(command, c.SayAgain) else given
        assert unsayable(told, phrases, taken) == [], f"after {command}: {given.spoken}"


def test_help_offers_what_fits_the_step_and_names_itself_once() -> None:
    table = open_job(demo_procedure("brake-discs-epb"))
    phrases = table_of("brake-discs-epb")
    first = sayable(phrases, situations(table.state), table.state)
    assert first[:4] == ("next", "mark done", "repeat", "what is loose")
    table.work_until("lower")
    table.do(c.Understood())
    assert sayable(phrases, situations(table.state), table.state)[0] == "wheels on the ground"
    context = AnswerContext(table.clock.now(), EXPERIENCE, table.last, first)
    told = answer_help.phrases_of_now(table.state, Tell("help"), context)
    assert " ".join(line.shown for line in told).count("You can say") == 1
