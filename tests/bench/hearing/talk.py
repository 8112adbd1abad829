"""Ordinary talk in a workshop, made of sentences that hold many of the words of commands."""

from __future__ import annotations

import random
from collections.abc import Iterator, Sequence

_PEOPLE = (
    "the customer", "the owner", "my neighbour", "the apprentice", "the parts driver", "my brother", "the office",
)  # fmt: skip
_THINGS = (
    "the old van", "the next job", "that bolt", "the right side", "the torque wrench", "the warning light",
    "my break", "the whole step", "the timer on the oven", "the loose end", "the phone", "the part we ordered",
    "the lift", "the second hand one", "the mark on the door", "the last reading", "a new socket", "the size of it",
)  # fmt: skip
_TIMES = (
    "tomorrow", "after lunch", "at four", "in twenty minutes", "next week", "on monday", "before we close", "today",
)  # fmt: skip
_DEEDS = (
    "come back", "hold on", "start over", "skip lunch", "repeat himself", "close the door", "check the size",
    "mark it down", "undo all of it", "wait for parts", "go to the shop", "say it again", "stop talking",
    "park outside", "cancel the order", "read the paper", "take a break", "make a note of it",
)  # fmt: skip
_PATTERNS = (
    "{person} said that we should {deed} {time}", "i told {person} to {deed} and then {deed}",
    "you know what is wrong with {thing}", "so what comes next is {thing} and then we {deed}",
    "did you {deed} or did {person} {deed}", "i was waiting for {person} all morning because of {thing}",
    "{number} minutes later {person} wants to {deed}", "well the next step is to {deed} {time}",
    "no that is wrong it was {thing} that he wanted", "yes that is right but {person} has to {deed}",
    "we need about {number} or {number} of those {time}", "what size was {thing} again",
    "how long is left until {person} has to {deed}", "it is {thing} and it is broken again",
    "there is no way that {person} will {deed} {time}", "can you hold {thing} for a moment while i {deed}",
    "he said {thing} is good and the other one is worn", "go and ask {person} where {thing} is", "okay", "yeah right",
    "that is not bad at all", "let me see", "where did you put it", "never mind", "it was a good game last night",
    "no not really", "what do you mean by that", "could be the weather", "i do not think {person} knew about {thing}",
    "the radio said that it will rain {time}", "we had {number} of them in here {time} and not one paid",
    "give me a hand with {thing} will you", "the price went up to {number} and {person} did not like it",
)  # fmt: skip
_JOB_THINGS = (
    "wheel bolts", "the wheel bolt", "the bracket bolts", "the through bolt", "the arm bolts", "the cover screws",
    "the hanger nut", "the engine mount", "the arm bush", "the torque arm",
)  # fmt: skip
"""Things of the demonstration of engine mounts, as its file names them."""
_JOB_PLACES = ("remove wheel", "fit mount", "press the bush", "fit arm", "close it up", "hang the exhaust", "finish")
_JOB_PATTERNS = (
    "what is the torque for {part} again do you know", "he has the torque for {part} on a card",
    "torque for {part} is on the wall over there", "which socket for {part} did you take", "what size for {part} then",
    "{part} what holds {part} in there", "how many {part} did they send us", "how many {part} are there in the box",
    "the part number for {part} was wrong {time}", "i do not know the part number for {part}",
    "what comes after {place} on yours", "after {place} i will {deed}", "which tools for {place} do i need to bring",
    "the time on {place} was not bad {time}", "{person} wants to {place} {time}", "did you {place} or only {deed}",
    "leave {part} on the bench", "{part} is broken and {part} too", "give me {part} and {number} washers",
    "is there a size for {part} in the book", "what is left on this side of the shop", "and after that we {deed}",
)  # fmt: skip


def sentences(seed: int) -> Iterator[str]:
    """Sentences without end, the same for the same seed."""
    return _drawn(_PATTERNS, seed)


def about_the_job(seed: int) -> Iterator[str]:
    """The same of sentences that name things and phases of the job: most hold half of a question by name."""
    return _drawn(_JOB_PATTERNS, seed)


def _drawn(patterns: Sequence[str], seed: int) -> Iterator[str]:
    choose = random.Random(seed)
    while True:
        yield _filled(choose.choice(patterns), choose)


def _filled(pattern: str, choose: random.Random) -> str:
    sources = {
        "{person}": _PEOPLE, "{thing}": _THINGS, "{time}": _TIMES, "{deed}": _DEEDS, "{part}": _JOB_THINGS,
        "{place}": _JOB_PLACES,
    }  # fmt: skip
    for place, words in sources.items():
        while place in pattern:
            pattern = pattern.replace(place, choose.choice(words), 1)
    while "{number}" in pattern:
        pattern = pattern.replace("{number}", _number(choose), 1)
    return pattern


def _number(choose: random.Random) -> str:
    return choose.choice(("two", "three", "four", "five", "six", "eight", "ten", "twelve", "twenty", "thirty five"))
