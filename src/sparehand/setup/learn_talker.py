"""Learning how a technician speaks: twenty phrases said twice, and kept only where that helps."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field
from itertools import islice
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Literal, Protocol

from sparehand.ground.errors import InputError
from sparehand.ground.places import GRAMMARS_FOLDER, MODELS_FOLDER
from sparehand.job.situation import SITUATIONS
from sparehand.setup.device_trials import Devices
from sparehand.shop.talker_file import write_talker
from sparehand.voice.models.model_store import installed_model
from sparehand.voice.phrases.phrase_table import PhraseTable
from sparehand.voice.recognising.near_words import Pronunciations
from sparehand.voice.recognising.recogniser import Recogniser, Recognition
from sparehand.voice.recognising.rejection import SENSITIVITIES
from sparehand.voice.recognising.talker_profile import Reading, Take, TalkerProfile, learned
from sparehand.voice.segmenting.activity import SileroActivity, VoiceActivity
from sparehand.voice.segmenting.segments import Segmenter
from sparehand.voice.sound.clean_sound import CleanSound
from sparehand.voice.sound.samples import Samples, Utterance
from sparehand.voice.sound.sources import SoundSource

ROUNDS = 2
TRIES = 3
LONGEST_SECONDS = 4.0
LEAST_PHRASES = 15
"""Fewer phrases heard in either round are no lesson."""
MOST_WORDINGS = 2
Outcome = Literal["right", "wrong", "missed"]
_LEAST_CONFIDENCE = SENSITIVITIES["normal"].least_confidence


class Lesson(Protocol):
    """What the model hears in a phrase of the lesson."""

    @property
    def sounds(self) -> Pronunciations:
        """How the words of the model sound."""

    def readings(self, phrase: str, samples: Samples) -> tuple[Reading, ...]:
        """The ways to hear `phrase`; none where it was not said."""


@dataclass(frozen=True)
class Said:
    """A phrase as it was said once; its sound stays in memory."""

    phrase: str
    utterance: Utterance = field(repr=False)
    readings: tuple[Reading, ...] = field(repr=False)


@dataclass(frozen=True)
class Learned:
    """The profile, or None where it does not help; phrases heard without and with it, and those still missed twice."""

    profile: TalkerProfile | None
    without: int
    with_it: int
    of: int
    missed: tuple[str, ...]


def learn_talker(
    name: str, microphone: str | None, folder: Path, devices: Devices, tell: Callable[[str], None]
) -> None:
    """Let `name` say the lesson, and keep what helps. Raises InputError without the recommended recogniser."""
    model = installed_model("english", folder / MODELS_FOLDER)
    if model is None:
        raise InputError("a voice is learned by the recommended recogniser; get it with `sparehand models get english`")
    from sparehand.voice.phrases.phrase_file import load_phrases
    from sparehand.voice.recognising.talker_lesson import LESSON, TalkerLesson
    from sparehand.voice.recognising.vosk_engine import VoskRecogniser

    table = load_phrases()
    grammars = model.parent / GRAMMARS_FOLDER
    lesson = TalkerLesson(model, grammars, table)
    source = devices.source(microphone)
    try:
        rounds = hear_rounds(LESSON, utterances(source, SileroActivity()), lesson, tell)
    finally:
        source.close()
    tell("Checking whether it helps ...")
    # What a round teaches is written where it does not last, for nothing of it is kept that does not help.
    with TemporaryDirectory(prefix=".judging-", dir=grammars) as scratch:
        found = judged(rounds, lesson, VoskRecogniser(model, Path(scratch)), table)
    write_talker(folder, name, found.profile.model_dump() if found.profile else None)
    for line in told(found, table, name):
        tell(line)


def utterances(source: SoundSource, activity: VoiceActivity) -> Iterator[Utterance]:
    """What is said into `source`, cut out as the ears cut it."""
    clean, segmenter = CleanSound(), Segmenter(activity, LONGEST_SECONDS)
    for block in source.blocks():
        pause = segmenter.hear(clean.feed(block))
        if pause is not None and pause.over:
            yield pause.utterance
    if last := segmenter.finish():
        yield last.utterance


def hear_rounds(
    phrases: Sequence[str], said: Iterator[Utterance], lesson: Lesson, tell: Callable[[str], None]
) -> tuple[tuple[Said, ...], ...]:
    """Every phrase of each round, prompted and tried up to TRIES times. Raises InputError where too few are heard."""
    rounds = tuple(tuple(_round(turn, phrases, said, lesson, tell)) for turn in range(1, ROUNDS + 1))
    if min(map(len, rounds)) < LEAST_PHRASES:
        raise InputError("too few phrases were understood to learn from; try the microphone with `sparehand setup`")
    return rounds


def _round(
    turn: int, phrases: Sequence[str], said: Iterator[Utterance], lesson: Lesson, tell: Callable[[str], None]
) -> Iterator[Said]:
    """What was said of one round. A recording goes on, whether a phrase was heard or not: then the next one counts."""
    place, tries = 0, 0
    while place < len(phrases):
        if not tries:
            tell(f'{turn}.{place + 1}  Say "{phrases[place]}".')
        utterance = next(said, None)
        if utterance is None:
            return
        for later, phrase in enumerate(phrases[place : place + 2]):
            if readings := lesson.readings(phrase, utterance.samples):
                yield Said(phrase, utterance, readings)
                place, tries = place + later + 1, 0
                break
        else:
            tries = (tries + 1) % TRIES
            tell(f'Not understood: "{phrases[place]}".' + " Once more." * (tries > 0))
            place += not tries


def judged(rounds: Sequence[Sequence[Said]], lesson: Lesson, recogniser: Recogniser, table: PhraseTable) -> Learned:
    """What all rounds teach, if more of each is heard by what the other teaches alone, and no more is taken wrongly.

    So no profile is judged by the takes that it was learned from.
    """
    first, second = rounds
    said = (*second, *first)
    plain = _outcomes(said, None, recogniser, table)
    helped = (
        *_outcomes(second, learned(_takes(first), lesson.sounds, least_takes=1), recogniser, table),
        *_outcomes(first, learned(_takes(second), lesson.sounds, least_takes=1), recogniser, table),
    )
    helps = helped.count("right") > plain.count("right") and helped.count("wrong") <= plain.count("wrong")
    profile = learned(_takes(said), lesson.sounds) if helps else None
    last = helped if helps else plain
    missed = Counter(one.phrase for one, outcome in zip(said, last, strict=True) if outcome != "right")
    twice = tuple(phrase for phrase, count in missed.items() if count == ROUNDS)
    return Learned(profile, plain.count("right"), helped.count("right"), len(said), twice)


def told(found: Learned, table: PhraseTable, name: str) -> Iterator[str]:
    """What came of it, and other wordings for what is not heard well."""
    yield f"Of {found.of} phrases {found.without} are heard as you are, {found.with_it} with what was learned."
    if found.profile is None:
        yield "So it does not help, and nothing is kept: you are heard as anybody is."
    else:
        yield f"So it is kept for {name}. `sparehand person forget` deletes it with all else; learn again to renew it."
    for phrase in found.missed:
        wordings = _other_wordings(phrase, table)
        instead = f"; say {' or '.join(wordings)}" if wordings else "; speak it slowly, or use a key"
        yield f'"{phrase}" is not heard well{instead}.'


def _other_wordings(phrase: str, table: PhraseTable) -> tuple[str, ...]:
    matched = table.match(phrase, SITUATIONS)
    same = (one.phrase for one in table.patterns if matched and one.meaning == matched[0].meaning)
    return tuple(f'"{other}"' for other in islice((one for one in same if one != phrase), MOST_WORDINGS))


def _takes(said: Sequence[Said]) -> list[Take]:
    return [(one.phrase, one.readings) for one in said]


def _outcomes(
    said: Sequence[Said], profile: TalkerProfile | None, recogniser: Recogniser, table: PhraseTable
) -> tuple[Outcome, ...]:
    """What becomes of each phrase where the recogniser hears by `profile`."""
    recogniser.attune(profile)
    recogniser.prepare(table)
    return tuple(_outcome(one, recogniser.recognise(one.utterance, SITUATIONS, call_word=False), table) for one in said)


def _outcome(said: Said, recognition: Recognition, table: PhraseTable) -> Outcome:
    if recognition.confidence < _LEAST_CONFIDENCE:
        return "missed"
    meant = table.command_for(said.phrase, SITUATIONS)
    return "right" if table.command_for(recognition.text, SITUATIONS) == meant else "wrong"
