"""What Vosk makes of people who talk to each other: `PYTHONPATH=tests python tests/bench/hearing_conversation.py`.

Two people's short replies should set nothing off. A command that one of them says among them should be heard after
three seconds of quiet, and with the call word; and one person's command after others that were missed is no talk.
Everything counts at once, and loudness varies. An act is what is spoken or recorded; what is asked back stands apart.
"""

from __future__ import annotations

import argparse
import sys
from collections.abc import Iterator, Sequence
from pathlib import Path

import numpy as np

from bench.hearing.sayings import COMMANDS, NATURAL_COMMANDS, REPLIES
from bench.hearing.stream import GAPS_SECONDS, Cell, Outcome, Turn, outcomes, stream_of_turns
from bench.hearing.voices import Talker, add_voices, voices_of
from bench.hearing_vosk import Bench
from sparehand.voice.recognising.engines import open_recogniser
from sparehand.voice.sound.samples import SAMPLE_RATE

TURN_PAUSE_SECONDS = (0.2, 1.6)
OVER = (Cell(), Cell("impact wrench", 15.0), Cell("babble", 15.0))
CALL = "spare hand, "
WAYS = {"after 3 s of quiet": ("", 3.2), "after 1 s of quiet": ("", 1.0), "with the call word": (CALL, 1.0)}
REPLIES_BETWEEN = 4
AFTER_A_COMMAND_SECONDS = 1.5
MOST_MISSED = 3
MISSED = NATURAL_COMMANDS[-2:]
"""What somebody says again and again, and is in no table."""
MEANT = {CALL + text: text for text in COMMANDS}

Pair = tuple[Talker, Talker]


def replies(pair: Pair, seed: int) -> Iterator[Turn]:
    """Short replies of two people in turn."""
    random = np.random.default_rng(seed)
    for number, text in enumerate(random.permutation(REPLIES)):
        yield Turn(pair[number % 2], str(text), random.uniform(*TURN_PAUSE_SECONDS))


def commands_among_talk(pair: Pair, share: int, seed: int) -> Iterator[tuple[Turn, str]]:
    """Replies, and after some of them a command by the first of both, with the way it is said; "" for replies."""
    talk: list[Turn] = []
    for number, text in enumerate(COMMANDS[seed % share :: share]):
        way = tuple(WAYS)[(number + seed) % len(WAYS)]
        call, quiet = WAYS[way]
        while len(talk) < REPLIES_BETWEEN:
            talk += replies(pair, 100 * seed + number)
        *before, last = (talk.pop() for _ in range(REPLIES_BETWEEN))
        yield from ((turn, "") for turn in before)
        yield Turn(last.talker, last.text, quiet), ""
        yield Turn(pair[0], call + text, AFTER_A_COMMAND_SECONDS), way


def commands_said_again(talker: Talker, share: int, seed: int) -> Iterator[tuple[Turn, str]]:
    """One person's commands, before each up to MOST_MISSED that are missed, and how many; "" for those."""
    random = np.random.default_rng(seed)
    for number, text in enumerate(COMMANDS[seed % share :: share]):
        missed = (number + seed) % (MOST_MISSED + 1)
        for _ in range(missed):
            yield Turn(talker, MISSED[number % len(MISSED)], random.uniform(*GAPS_SECONDS)), ""
        yield Turn(talker, text, random.uniform(*GAPS_SECONDS)), f"after {missed} missed"


def measure_replies(bench: Bench, pairs: tuple[Pair, ...], rounds: int) -> None:
    """Print what two people's short replies set off."""
    print("\n| two people's replies over | hours | acts | asked back |\n| --- | --- | --- | --- |")
    for number, cell in enumerate(OVER):
        acts: list[str] = []
        asked, seconds = 0, 0.0
        for at, pair in enumerate(pairs * rounds):
            seed = 10 * number + 2 * at
            stream = stream_of_turns(tuple(replies(pair, seed)), cell, seed)
            seconds += len(stream.samples) / SAMPLE_RATE
            accepted = [heard for heard in bench.hears(stream.samples) if heard.accepted]
            acts += [heard.text for heard in accepted if not heard.asks_back]
            asked += sum(heard.asks_back for heard in accepted)
        print(f"| {cell} | {seconds / 3600:.2f} | {len(acts)} {sorted(acts)} | {asked} |", flush=True)


def measure_commands(bench: Bench, name: str, streams: Sequence[Sequence[tuple[Turn, str]]]) -> None:
    """Print what became of the commands in each cell, by the way they were said, and what else was acted on."""
    print(f"\n| {name} | over | utterances | right % | wrong % | asked back, right % | acts on the rest |")
    print("| --- | --- | --- | --- | --- | --- | --- |")
    for number, cell in enumerate(OVER):
        found: dict[str, list[Outcome]] = {}
        for seed, turns in enumerate(streams):
            stream = stream_of_turns([turn for turn, _ in turns], cell, 10 * number + seed)
            became = outcomes(stream, bench.hears(stream.samples), bench.table, meant=MEANT)
            for (_, way), one in zip(turns, became, strict=True):
                found.setdefault(way, []).append(one)
        rest = sum(bool(one.acted) and not one.asked for one in found.pop("", ()))
        for way, ones in sorted(found.items()):
            right, wrong = (100 * np.mean([getattr(one, what) for one in ones]) for what in ("right", "wrong"))
            asked = 100 * np.mean([one.right and one.asked for one in ones])
            print(f"| {way} | {cell} | {len(ones)} | {right:.1f} | {wrong:.1f} | {asked:.1f} | {rest} |", flush=True)
            for one in ones:
                if not one.right:
                    print(f"    {one.said.talker.voice}: {one.said.text!r} {one.acted} {one.reasons}", file=sys.stderr)


def main() -> None:
    """Measure all of it."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--models", type=Path, required=True, help="the folder with the installed models")
    add_voices(parser)
    parser.add_argument("--rounds", type=int, default=2, help="how often each pair says all replies")
    parser.add_argument("--share", type=int, default=1, help="each says only every so-manieth command")
    chosen = parser.parse_args()
    talkers = voices_of(parser, chosen)
    pairs = tuple((talkers[at], talkers[(at + 1) % len(talkers)]) for at in range(0, len(talkers), 2))
    bench = Bench(open_recogniser("vosk", chosen.models), "always", "normal")
    measure_replies(bench, pairs, chosen.rounds)
    among = [tuple(commands_among_talk(pair, chosen.share, seed)) for seed, pair in enumerate(pairs)]
    measure_commands(bench, "commands among talk", among)
    again = [tuple(commands_said_again(talker, chosen.share, seed)) for seed, talker in enumerate(talkers)]
    measure_commands(bench, "one person, said again", again)


if __name__ == "__main__":
    main()
