"""What learning each talker's voice changes: `PYTHONPATH=tests python tests/bench/hearing_learned.py --help`.

Each talker says the lesson twice, in a quiet room and over pink noise, a little slower and a little faster; then
commands and natural ways, at other paces, heard as anybody is and as learned. Prints one row a talker and condition;
then what near-commands and talk set off, of that talker and of the next one, who was not learned.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from pathlib import Path

from bench.hearing.sayings import COMMANDS, NATURAL_COMMANDS, NEAR_COMMANDS, OPPOSITE_COMMANDS
from bench.hearing.stream import Cell, Outcome, blocks_of, outcomes, stream_of
from bench.hearing.talk import sentences
from bench.hearing.voices import Talker, add_voices, voices_of
from bench.hearing_vosk import Bench, talk_of
from sparehand.ground.clock import start_of_run
from sparehand.ground.places import GRAMMARS_FOLDER
from sparehand.setup.learn_talker import Said, judged, utterances
from sparehand.voice.models.model_store import installed_model
from sparehand.voice.phrases.phrase_file import load_phrases
from sparehand.voice.recognising.talker_lesson import LESSON, TalkerLesson
from sparehand.voice.recognising.talker_profile import TalkerProfile
from sparehand.voice.recognising.vosk_engine import VoskRecogniser
from sparehand.voice.segmenting.activity import SileroActivity
from sparehand.voice.sound.samples import Samples, SoundBlock

TAKES = ((Cell(), 0.94), (Cell("pink", 20.0), 1.07))
"""Where and how fast the lesson is said."""
CELLS = (Cell(), Cell("pink", 20.0), Cell("impact wrench", 10.0))
NOT_IN_THE_TABLE = 9
"""The last natural ways mean nothing to the bench, or too nearly something else."""


@dataclass(frozen=True)
class Recording:
    """A sound as a source."""

    samples: Samples
    overruns = 0
    clock = start_of_run(datetime(2024, 1, 1, tzinfo=UTC), "bench")

    def blocks(self) -> Iterator[SoundBlock]:
        """It in blocks, as a microphone gives them."""
        return blocks_of(self.samples)

    def close(self) -> None:
        """Nothing to let go of."""


def taught(talker: Talker, lesson: TalkerLesson) -> tuple[tuple[Said, ...], ...]:
    """The rounds of the lesson, as far as they are understood; each phrase is said alone."""

    def heard(cell: Cell, pace: float, seed: int) -> Iterator[Said]:
        for phrase in LESSON:
            sound = stream_of(replace(talker, pace=pace), (phrase,), cell, seed).samples
            for utterance in utterances(Recording(sound), SileroActivity()):
                if readings := lesson.readings(phrase, utterance.samples):
                    yield Said(phrase, utterance, readings)
                    break

    return tuple(tuple(heard(cell, pace, seed)) for seed, (cell, pace) in enumerate(TAKES, 11))


class Pair:
    """The same ears twice: for anybody, and for a talker who was learned."""

    def __init__(self, model: Path, profile: TalkerProfile) -> None:
        learned = VoskRecogniser(model)
        learned.attune(profile)
        self._benches = tuple(Bench(one, "always", "normal") for one in (VoskRecogniser(model), learned))

    def commands(self, talker: Talker, texts: Sequence[str], cell: Cell, seed: int) -> tuple[list[Outcome], ...]:
        """What becomes of each text, for anybody and as learned."""
        stream = stream_of(talker, texts, cell, seed)
        return tuple(list(outcomes(stream, bench.hears(stream.samples), bench.table)) for bench in self._benches)

    def acts(self, sound: Samples) -> tuple[list[str], ...]:
        """What is acted on."""
        return tuple([one.text for one in bench.hears(sound) if one.accepted] for bench in self._benches)


def report(
    talker: Talker, other: Talker, model: Path, lesson: TalkerLesson, texts: Sequence[str], hours: float
) -> None:
    """The rows of one talker."""
    found = judged(taught(talker, lesson), lesson, VoskRecogniser(model), load_phrases())
    print(
        f"{talker.voice}: of {found.of} phrases of the lesson {found.without} without, {found.with_it} with; ", end=""
    )
    print(f"kept: {dict(found.profile.heard_as)}" if found.profile else "not kept, and so nothing changes", flush=True)
    if found.profile is None:
        return
    pair = Pair(model, found.profile)
    for seed, cell in enumerate(CELLS):
        without, with_it = pair.commands(talker, texts, cell, seed)
        counts = [(sum(one.right for one in all), sum(one.wrong for one in all)) for all in (without, with_it)]
        print(f"| {talker.voice} | {cell} | {len(texts)} | {counts[0]} | {counts[1]} |", flush=True)
        for before, after in zip(without, with_it, strict=True):
            if before.right != after.right:
                print(f"    {after.said.text!r}: {before.acted} -> {after.acted} {after.reasons}", file=sys.stderr)
    near = (*NEAR_COMMANDS, *OPPOSITE_COMMANDS)[::2]
    for speaker, seed in ((talker, 100), (other, 101)):
        print(f"    near-commands by {speaker.voice}: {pair.acts(stream_of(speaker, near, Cell(), seed).samples)}")
        if hours:
            talk = talk_of(speaker, hours, Cell(), seed, sentences(seed))
            print(f"    {hours} h of talk by {speaker.voice}: {pair.acts(talk)}", flush=True)


def main() -> None:
    """Measure what the command line asks for."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--models", type=Path, required=True, help="the folder with the installed models")
    add_voices(parser)
    parser.add_argument("--share", type=int, default=3, help="only every so-manieth natural way")
    parser.add_argument("--hours", type=float, default=0.0, help="hours of talk of each, for false acts")
    chosen = parser.parse_args()
    model = installed_model("english", chosen.models)
    if model is None:
        parser.error(f"{chosen.models} holds no English model")
    talkers = voices_of(parser, chosen)
    texts = (*COMMANDS, *NATURAL_COMMANDS[: -NOT_IN_THE_TABLE : chosen.share])
    lesson = TalkerLesson(model, chosen.models / GRAMMARS_FOLDER, load_phrases())
    for talker, other in zip(talkers, (*talkers[1:], talkers[0]), strict=True):
        report(talker, other, model, lesson, texts, chosen.hours)


if __name__ == "__main__":
    main()
