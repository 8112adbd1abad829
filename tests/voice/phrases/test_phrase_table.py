from pathlib import Path

import pytest
from hypothesis import given, strategies as st

from sparehand.ground.errors import InputError
from sparehand.job import commands as c
from sparehand.job.situation import SITUATIONS, Situation
from sparehand.voice.phrases.phrase_file import load_phrases
from sparehand.voice.phrases.phrase_table import PhraseTable, SpokenNames
from sparehand.voice.phrases.word_graph import START

NAMES = SpokenNames(
    {"lower joint": "lower-joint", "Roll-Link": "roll-link"},
    {"remove wheel": "remove-wheel", "axle 2": "axle"},
    conditions={"at ride height": "ride-height"},
    fasteners={"wheel bolts": "wheel-bolts"},
    components={"wheel": "wheel"},
    parts={"dust boot": "boot"},
    ways={"short key": "short-key"},
    things={"hub boot": "boot"},
)
TABLE = load_phrases(NAMES)


STEP = set(SITUATIONS) - {"opening", "working", "hold", "question"}
"""What a step or something that runs can make sayable."""


@pytest.mark.parametrize("command", sorted(set(c.COMMANDS) - c.UNSPOKEN))
def test_every_command_but_those_that_the_bench_itself_sends_can_be_said(command: str) -> None:
    assert command in {pattern.command for pattern in TABLE.patterns}


@pytest.mark.parametrize(
    ("said", "situation", "meant"),
    [
        ("next", "working", c.Next()),
        ("mark done", "working", c.MarkDone()),
        ("mark done three", "working", c.MarkDone(3)),
        ("do roll link", "opening", c.ChooseOperation("roll-link")),
        ("both sides", "opening", c.ChooseSides(("left", "right"))),
        ("go to axle two", "working", c.GoTo("axle")),
        ("take the way short key", "choosing", c.ChooseWay("short-key")),
        ("found torn hub boot left now", "working", c.FoundFault("torn", "boot", "now", "left")),
        ("found a worn hub boot watch", "hold", c.FoundFault("worn", "boot", "watch")),
        ("hold for approval", "working", c.Hold("customer approval")),
        ("timer twenty five minutes", "working", c.StartTimer(25)),
        ("torque reading four six decimal five", "working", c.Reading("46.5")),
        ("one oh five", "reading", c.Reading("105")),
        ("in foot pounds", "working", c.RepeatTorque("lbf·ft")),
        ("use newton metres", "hold", c.UseUnit("N·m")),
        ("it's seized", "working", c.Snag("seized")),
        ("condition worn", "working", c.Finding("worn")),
        ("close with parts on order", "working", c.Close("parts on order")),
        ("yes confirm", "question", c.Confirm()),
    ],
)
def test_what_is_said_means_what_the_file_says(said: str, situation: Situation, meant: c.Command) -> None:
    assert TABLE.command_for(said, {situation, *STEP}) == meant


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("Mark done 3", c.MarkDone(3)),
        ("timer 45 minutes", c.StartTimer(45)),
        ("torque reading 110", c.Reading("110")),
        ("torque reading 46.5", c.Reading("46.5")),
        ("What is loose?", c.WhatIsLoose()),
    ],
)
def test_a_typed_line_may_hold_figures_and_signs(typed: str, meant: c.Command) -> None:
    assert TABLE.command_for(typed, SITUATIONS) == meant


@pytest.mark.parametrize("said", ["say again", "go back", "be quiet now", "what can i say"])
@pytest.mark.parametrize("situation", ["opening", "working", "hold", "question"])
def test_some_phrases_count_in_every_kind_of_talk(said: str, situation: Situation) -> None:
    assert TABLE.command_for(said, [situation]) is not None


def test_a_phrase_of_another_situation_means_nothing() -> None:
    assert TABLE.command_for("yes confirm", ["working"]) is None
    assert TABLE.command_for("next", ["question"]) is None


@given(st.text(max_size=40))
def test_any_text_at_all_has_a_meaning_or_none(text: str) -> None:
    TABLE.command_for(text, SITUATIONS)


@pytest.mark.parametrize("said", ["repeat", "mark done", "torque reading one one", "close the job"])
def test_a_prefix_of_another_phrase_may_go_on(said: str) -> None:
    expected = said != "close the job"
    assert TABLE.may_go_on(said, SITUATIONS) is expected


@pytest.mark.parametrize("situation", SITUATIONS)
def test_every_text_of_the_graph_means_a_command(situation: Situation) -> None:
    graph = TABLE.graph([situation])
    first_way: dict[int, list[str]] = {START: []}
    for arc in sorted(graph.arcs, key=lambda arc: arc.source):
        if arc.source in first_way:
            first_way.setdefault(arc.target, [*first_way[arc.source], arc.word])
    ends = [words for state, words in first_way.items() if state in graph.ends]
    assert ends
    assert all(TABLE.command_for(" ".join(words), [situation]) for words in ends)


def test_without_names_no_operation_can_be_chosen() -> None:
    assert load_phrases().command_for("do roll link", ["opening"]) is None


def test_the_hash_of_a_table_is_that_of_what_can_be_said() -> None:
    assert load_phrases(NAMES).sha256 == TABLE.sha256
    assert load_phrases().sha256 != TABLE.sha256


def test_two_names_for_two_things_in_the_same_words_are_refused() -> None:
    with pytest.raises(InputError, match="go to skipped"):
        load_phrases(SpokenNames({}, {"skipped": "skipped-things"}))


def _table(folder: Path, text: str) -> PhraseTable:
    file = folder / "phrases.toml"
    file.write_text(f'call_word = "spare hand"\n{text}', encoding="utf-8")
    return load_phrases(file=file)


NEXT = '[[phrase]]\ncommand = "Next"\nsay = ["next"]\ndoes = "moves on"\nsituations = ["working"]\n'


@pytest.mark.parametrize(
    ("text", "complaint"),
    [
        (NEXT + NEXT.replace("Next", "Undo"), "'next' means two things"),
        (NEXT.replace("Next", "Nxt"), "no command Nxt"),
        (NEXT.replace("Next", "Hold"), "do not fit Hold"),
        (NEXT + 'fields = { reason = "lunch" }\n', "do not fit Next"),
        (NEXT.replace('"Next"', '"Hold"') + 'fields = { reason = "lunch" }\n', "do not fit Hold"),
        (NEXT.replace("working", "sleeping"), "situations"),
        (NEXT.replace('say = ["next"]', "say = []"), "say"),
        ("[[phrase", "is a TOML file"),
    ],
)
def test_a_wrong_phrase_file_is_refused_in_one_line(tmp_path: Path, text: str, complaint: str) -> None:
    with pytest.raises(InputError, match=complaint) as refusal:
        _table(tmp_path, text)
    assert "\n" not in str(refusal.value)


def test_a_missing_phrase_file_is_refused(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="cannot be read"):
        load_phrases(file=tmp_path / "none.toml")


@pytest.mark.parametrize("typed", ["9" * 5_000, "mark done " + "9" * 400, "\u0663", "9" * 30 + ".5", "x" * 10**6])
def test_a_number_that_nobody_says_means_nothing_and_ends_nothing(typed: str) -> None:
    assert TABLE.match(typed, SITUATIONS) is None
