"""Whether the assistant acts on its own voice, and whether a command spoken over it is heard.

    PYTHONPATH=tests python -m bench.hearing.self_hearing --engine vosk --models DIR

The demo's job is played: a talker says a line, the assistant answers, and its answer comes back into the microphone,
so many dB relative to the talker, 60 ms late and with the room's reverberation. Then the same with the next line of the
script spoken over the answer. Set to a headset, the ears stay open; set to a loudspeaker, they are deaf while it
speaks, as the bench makes them. What is acted on while only the assistant speaks is its own voice.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

import numpy as np

from bench.hearing.noises import in_a_room
from bench.hearing.stream import blocks_of
from bench.hearing.voices import REPORTING, Talker, missing_programs
from job.table import demo_procedure, open_job
from sparehand.conversation.active_phrases import situations
from sparehand.conversation.self_echo import SelfEcho
from sparehand.demo.noise import active_level
from sparehand.demo.run import ASSISTANT_VOICE
from sparehand.demo.script import JOB, PROCEDURE
from sparehand.job.commands import Command
from sparehand.job.situation import SITUATIONS, Situation
from sparehand.setup.hearing_trials import spoken_names
from sparehand.voice.ears import Ears
from sparehand.voice.phrases.phrase_file import load_phrases
from sparehand.voice.phrases.phrase_table import PhraseTable
from sparehand.voice.recognising.engines import open_recogniser
from sparehand.voice.recognising.heard import Heard
from sparehand.voice.recognising.recogniser import Recogniser
from sparehand.voice.recognising.rejection import Listening
from sparehand.voice.sound.samples import SAMPLE_RATE, Samples, SoundBlock
from sparehand.voice.speaking.speech import Speech
from sparehand.voice.speaking.synthesis import Synthesiser

LEVELS_DB = (0.0, -10.0, -20.0, -30.0)
ANSWERS_AFTER_SECONDS = 1.0
LATE_SECONDS = 0.06
SPOKEN_OVER_AFTER_SECONDS = 1.0
QUIET_SECONDS = 1.5


@dataclass(frozen=True)
class Turn:
    """A line of the script, what is answered to it, what counts then, and the line that comes next."""

    say: str
    answer: str
    counts: frozenset[Situation]
    next_say: str
    next_means: Command


@dataclass(frozen=True)
class Scene:
    """One turn as sound, in samples: the talker's line and perhaps the next over the answer; the answer apart."""

    talker: Samples
    assistant: Samples
    answer_from: int
    answer_to: int


def turns(table: PhraseTable) -> Iterator[Turn]:
    """Every fourth turn of the demo's job that is answered in words."""
    job = open_job(demo_procedure(PROCEDURE))
    found = []
    for line, following in pairwise(JOB):
        command, then = (table.command_for(one.say, SITUATIONS) for one in (line, following))
        assert command is not None
        assert then is not None
        spoken = job.do(command, after_ms=5_000).spoken
        if spoken.strip():
            found.append(Turn(line.say, spoken, situations(job.state), following.say, then))
    yield from found[::4]


class Stage:
    """The voices, and the room in which they mix."""

    def __init__(self, call_word: str) -> None:
        self._call_word = call_word
        self._synthesiser = Synthesiser(ASSISTANT_VOICE, timeout_seconds=30.0)

    def scene(self, turn: Turn, talker: Talker, level_db: float, *, over: bool) -> Scene:
        """The turn with the answer at `level_db` relative to the talker; with `over` the next line is said over it."""
        line = self._said(talker, turn.say)
        spoken = self._synthesiser.synthesise(turn.answer)
        assert isinstance(spoken, Speech), spoken
        answer = spoken.samples * np.float32(active_level(line) / active_level(spoken.samples) * 10 ** (level_db / 20))
        lead = np.zeros(SAMPLE_RATE, np.float32)
        begins = len(lead) + len(line) + round(ANSWERS_AFTER_SECONDS * SAMPLE_RATE)
        ends = begins + len(answer)
        interruption = self._said(talker, turn.next_say) if over else np.zeros(0, np.float32)
        cuts_in = begins + round(SPOKEN_OVER_AFTER_SECONDS * SAMPLE_RATE)
        total = max(ends, cuts_in + len(interruption)) + round(QUIET_SECONDS * SAMPLE_RATE)
        talking, answering = np.zeros(total, np.float32), np.zeros(total, np.float32)
        talking[len(lead) : len(lead) + len(line)] = line
        talking[cuts_in : cuts_in + len(interruption)] += interruption
        late = begins + round(LATE_SECONDS * SAMPLE_RATE)
        answering[late : late + len(answer)] = answer
        return Scene(talking, in_a_room(answering, 0.3)[:total], begins, ends)

    def close(self) -> None:
        """End the assistant's voice."""
        self._synthesiser.close()

    def _said(self, talker: Talker, text: str) -> Samples:
        return talker.says(f"{self._call_word}, {text}" if self._call_word else text)


@dataclass
class Count:
    """What happened in all turns of one condition."""

    turns: int = 0
    own_voice: int = 0
    heard: int = 0
    wrong: int = 0


class Bench:
    """One recogniser in one way of listening."""

    def __init__(self, recogniser: Recogniser, listen: Listening) -> None:
        self.table = load_phrases(spoken_names(demo_procedure(PROCEDURE)))
        self._ears = Ears(recogniser, self.table, listen=listen)
        self._stage = Stage(self.table.call_word if listen == "call" else "")
        self._turns = list(turns(self.table))
        self._at = 0.0

    def measure(self, level_db: float, *, over: bool, deaf: bool) -> Count:
        """Play every turn."""
        count = Count()
        for number, turn in enumerate(self._turns):
            scene = self._stage.scene(turn, REPORTING[number % 3], level_db, over=over)
            count.turns += 1
            acted = [heard for heard in self._played(turn, scene, deaf=deaf) if heard.accepted]
            if not over:
                count.own_voice += bool(acted)
            elif acted and acted[0].command == turn.next_means:
                count.heard += 1
            else:
                count.wrong += bool(acted)
            if acted and not (over and acted[0].command == turn.next_means):
                print(f"    {level_db:g} dB over={over} {turn.answer!r}: {[h.text for h in acted]}", file=sys.stderr)
        return count

    def close(self) -> None:
        """End the voices."""
        self._stage.close()

    def _played(self, turn: Turn, scene: Scene, *, deaf: bool) -> Iterator[Heard]:
        """What is decided from the beginning of the answer on; what came before is only listened to."""
        self._ears.situations = turn.counts
        echo = SelfEcho()
        echo.say(turn.answer)
        began = self._at
        for block in blocks_of(scene.talker + scene.assistant):
            first = round(block.start_seconds * SAMPLE_RATE)
            samples = block.samples
            if deaf and scene.answer_from <= first < scene.answer_to:
                samples = np.zeros_like(samples)
            self._at = began + block.end_seconds
            self._ears.bench_speaks = scene.answer_from <= first < scene.answer_to
            block = SoundBlock(samples, began + block.start_seconds, block.moment)
            if self._ears.bench_speaks:
                echo.sounding(block)
            heard = self._ears.hear(block)
            if first > scene.answer_from:
                yield from map(echo.rejected, heard)


def main() -> None:
    """Measure what the command line asks for."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--engine", choices=("vosk", "pocketsphinx"), required=True)
    parser.add_argument("--models", type=Path, default=Path(), help="the folder with the installed models, for vosk")
    chosen = parser.parse_args()
    if missing := missing_programs():
        parser.error(f"this machine lacks {', '.join(missing)}")
    bench = Bench(open_recogniser(chosen.engine, chosen.models), "always" if chosen.engine == "vosk" else "call")
    print("| its voice, to the talker's | turns | set to | acts on its own voice | heard over it % | wrong % |")
    print("| --- | --- | --- | --- | --- | --- |")
    for level_db in LEVELS_DB:
        alone = bench.measure(level_db, over=False, deaf=False)
        over = bench.measure(level_db, over=True, deaf=False)
        heard, wrong = (100 * value / over.turns for value in (over.heard, over.wrong))
        print(
            f"| {level_db:g} dB | {alone.turns} | headset | {alone.own_voice} | {heard:.0f} | {wrong:.0f} |", flush=True
        )
        deaf = bench.measure(level_db, over=False, deaf=True)
        print(f"| {level_db:g} dB | {deaf.turns} | loudspeaker | {deaf.own_voice} | by key | – |", flush=True)
    bench.close()


if __name__ == "__main__":
    main()
