"""The ears by themselves: what they make of a file, everything that can be said, and what names they can tell apart."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, get_args

from rich.table import Table

from sparehand.ground.choices import one_of
from sparehand.ground.errors import InputError
from sparehand.ground.places import MODELS_FOLDER, data_folder
from sparehand.ground.terminal import new_console
from sparehand.job.situation import Situation
from sparehand.procedures.model import Procedure
from sparehand.procedures.rules.spoken import NameJudge
from sparehand.procedures.shop_wrenches import ShopWrench
from sparehand.procedures.spoken_names import (
    names_of,
    names_of_components,
    names_of_places,
    names_of_things,
    names_of_ways,
    names_of_work,
)
from sparehand.settings import Settings, load_settings
from sparehand.voice.phrases.phrase_file import check_clashes, load_phrases
from sparehand.voice.phrases.phrase_table import PhraseTable, SpokenNames
from sparehand.voice.recognising.heard import snake_case

if TYPE_CHECKING:
    from sparehand.voice.recognising.recogniser import Recogniser


def spoken_names(
    procedure: Procedure,
    people: Mapping[str, str] | None = None,
    wrenches: Iterable[ShopWrench] = (),
    others: Iterable[Procedure] = (),
) -> SpokenNames:
    """What a procedure adds to the phrase table, the technicians by what each is called aloud, and the wrenches.

    `others` are the procedures whose operations may join the job.
    """
    return SpokenNames(
        work=names_of_work(procedure, others),
        operations={name: operation.id for operation in procedure.operations for name in operation.spoken},
        phases={name: phase.id for phase in procedure.phases for name in phase.spoken},
        technicians=people or {},
        wrenches={wrench.name: wrench.name for wrench in wrenches},
        conditions=_pronounced((words, one.id) for one in procedure.conditions for words in one.sayings),
        endings=_pronounced((words, one.id) for one in procedure.conditions for words in one.said_when_over),
        fasteners=names_of(procedure.fasteners),
        components=names_of_components(procedure),
        parts=names_of(procedure.parts),
        places=names_of_places(procedure),
        ways=names_of_ways(procedure),
        things=names_of_things(procedure),
    )


def _pronounced(names: Iterable[tuple[str, str]]) -> dict[str, str]:
    """The names that can be said, each for the first thing of that name: no job stops for a word without a sound."""
    from sparehand.voice.phrases.soundalike import words_without_pronunciation

    said: dict[str, str] = {}
    for words, id in names:
        said.setdefault(words.lower(), id)
    return {words: id for words, id in said.items() if not words_without_pronunciation(words.split(), {})}


def procedure_hearing() -> NameJudge:
    """What the embedded recogniser can tell of the names that a procedure gives to be spoken."""
    from sparehand.voice.phrases.soundalike import names_alike
    from sparehand.voice.recognising.pocketsphinx_engine import PocketsphinxRecogniser

    return NameJudge(PocketsphinxRecogniser().unknown_words, names_alike)


def print_heard(
    file: Path,
    engine: str | None,
    listen: str,
    situation: str,
    *,
    as_json: bool,
    why: bool,
    own: Path | None,
    data: Path | None,
) -> None:
    """One line a phrase heard in `file`. Raises InputError for a file that is none, or holds no speech."""
    from sparehand.settings import Listening
    from sparehand.voice.hear_file import hear_file

    folder = data_folder(data)
    table = phrase_table(load_settings(folder), folder, own)
    recogniser = _recogniser(engine, folder)
    listening = one_of(listen, Listening, "the way of listening")
    any_speech = False
    for heard in hear_file(file, recogniser, listening, _situations(situation), table=table):
        any_speech = True
        print(heard.json_line(why=why) if as_json or why else heard.line(), flush=True)
    if not any_speech:
        raise InputError(f"{file}: no speech was found in it; record nearer to the mouth, or louder")


def phrase_table(
    settings: Settings, folder: Path, own: Path | None = None, names: SpokenNames | None = None
) -> PhraseTable:
    """Everything that can be said at this bench: the bundled phrases, its own wordings, and a procedure's names.

    `own` comes before the phrase file of the settings, whose place is told from the data folder. Raises InputError
    for a phrase file that is wrong, and for names that clash.
    """
    file = own or (folder / Path(settings.phrase_file).expanduser() if settings.phrase_file else None)
    table = replace(load_phrases(), call_word=settings.call_word)
    if file is not None:
        from sparehand.voice.phrases.shop_phrases import with_own_phrases

        table = with_own_phrases(table, file)
    if names is not None:
        table = table.with_names(names)
        check_clashes(table)
    return table


def print_phrases(situation: str, *, as_json: bool, own: Path | None, data: Path | None) -> None:
    """Every pattern that can be said in `situation`, with what it does."""
    folder = data_folder(data)
    table = phrase_table(load_settings(folder), folder, own)
    wanted = _situations(situation)
    patterns = [pattern for pattern in table.patterns if pattern.situations & wanted]
    if as_json:
        for pattern in patterns:
            print(
                json.dumps(
                    {
                        "phrase": pattern.phrase,
                        "command": snake_case(pattern.command),
                        "situations": sorted(pattern.situations),
                        "does": pattern.does,
                    }
                )
            )
        return
    new_console().print(_phrase_table(table, wanted))


def _phrase_table(table: PhraseTable, wanted: frozenset[Situation]) -> Table:
    shown = Table("say", "does", "when", box=None)
    for does, sayings, when in _meanings(table, wanted):
        shown.add_row(", ".join(sayings), does, ", ".join(when))
    return shown


def _meanings(
    table: PhraseTable, wanted: frozenset[Situation]
) -> Iterator[tuple[str, tuple[str, ...], tuple[str, ...]]]:
    """The wordings of each meaning together."""
    grouped: dict[tuple[str, frozenset[Situation]], list[str]] = {}
    for pattern in table.patterns:
        if pattern.situations & wanted:
            grouped.setdefault((pattern.does, pattern.situations), []).append(pattern.phrase)
    for (does, situations), sayings in grouped.items():
        yield does, tuple(sayings), tuple(sorted(situations))


def _situations(given: str) -> frozenset[Situation]:
    if given == "all":
        return frozenset(get_args(Situation))
    return frozenset({one_of(given, Situation, "the situation")})


def _recogniser(engine: str | None, folder: Path) -> Recogniser:
    from sparehand.voice.recognising.engines import open_recogniser
    from sparehand.voice.recognising.recogniser import EngineName

    named: EngineName | None = one_of(engine, EngineName, "the engine") if engine else None
    return open_recogniser(named, folder / MODELS_FOLDER)
