"""Reading a phrase file: every row checked against the commands there are, and no text with two meanings."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

from pydantic import BaseModel, ConfigDict, Field, TypeAdapter, ValidationError

from sparehand.ground.errors import InputError
from sparehand.ground.toml_file import read_toml
from sparehand.job.commands import COMMANDS, UNSPOKEN, Command
from sparehand.job.situation import SITUATIONS, Situation
from sparehand.voice.phrases.edges import Edges
from sparehand.voice.phrases.phrase_table import NameKind, Pattern, PhraseTable, SpokenNames
from sparehand.voice.phrases.slots import WORDS, Slot
from sparehand.voice.phrases.word_graph import START, WordGraph

BUNDLED_PHRASES = Path(__file__).with_name("phrases.toml")

_SAMPLES: dict[Slot, object] = {
    "digits": "1",
    "count": 1,
    "minutes": 1,
    "name": "x",
    **{k: v[0] for k, v in WORDS.items()},
}


class _Row(BaseModel):
    model_config = ConfigDict(extra="forbid")

    command: str
    say: tuple[str, ...] = Field(min_length=1)
    does: str
    situations: tuple[Situation, ...] = Field(min_length=1)
    fields: dict[str, Any] = Field(default_factory=dict)
    names: NameKind | None = None
    among_talk: tuple[str, ...] | None = None
    lasting: bool = False
    decides: bool = False


class _File(BaseModel):
    model_config = ConfigDict(extra="forbid")

    call_word: str
    before: tuple[str, ...] = ()
    after: tuple[str, ...] = ()
    pronunciations: dict[str, str] = Field(default_factory=dict)
    phrase: tuple[_Row, ...]


def load_phrases(names: SpokenNames | None = None, file: Path | None = None) -> PhraseTable:
    """The phrase table from `file`, or the one that comes with Sparehand, with the names of a procedure.

    Raises InputError for a file that cannot be read, a row that means nothing, and two meanings of one text.
    """
    table = _read(file or BUNDLED_PHRASES)
    if names is not None:
        table = table.with_names(names)
    check_clashes(table)
    return table


def _read(path: Path) -> PhraseTable:
    content = read_toml(path, _File, "phrase file")
    patterns = tuple(pattern for row in content.phrase for pattern in _patterns(row, path))
    return PhraseTable(
        patterns, content.call_word, pronunciations=content.pronunciations, edges=Edges(content.before, content.after)
    )


def check_clashes(table: PhraseTable) -> None:
    """Raises InputError that names a text with two meanings, and both. Situations hold together, so none may clash."""
    graph = table.graph(SITUATIONS)
    for state, indices in graph.ends.items():
        meanings = {table.patterns[index].meaning: table.patterns[index] for index in indices}
        if len(meanings) > 1:
            first, second, *_ = meanings.values()
            text = " ".join(_way_to(graph, state))
            raise InputError(
                f"phrases: '{text}' means two things: '{first.phrase}' ({first.does}) and '{second.phrase}' "
                f"({second.does}); change one of them"
            )


def _patterns(row: _Row, path: Path) -> Iterator[Pattern]:
    fields = tuple((key, tuple(value) if isinstance(value, list) else value) for key, value in row.fields.items())
    for phrase in row.say:
        pattern = Pattern(
            phrase=phrase,
            command=row.command,
            does=row.does,
            situations=frozenset(row.situations),
            fields=fields,
            names=row.names,
            main=phrase == row.say[0],
            among_talk=phrase in (row.say[:1] if row.among_talk is None else row.among_talk),
            lasting=row.lasting,
            decides=row.decides,
        )
        _check_command(pattern, path)
        yield pattern


def _check_command(pattern: Pattern, path: Path) -> None:
    where = f"the phrase file {path}, '{pattern.phrase}'"
    if pattern.command not in COMMANDS or pattern.command in UNSPOKEN:
        raise InputError(f"{where}: there is no command {pattern.command} to say; see `sparehand phrases`")
    try:
        command = pattern.build({slot: _SAMPLES[slot] for slot in pattern.slots})
        kind: TypeAdapter[Command] = TypeAdapter(type(command))
        kind.validate_python({key: getattr(command, key) for key in command.__dataclass_fields__})
    except (TypeError, ValidationError) as error:
        reason = str(error).splitlines()[-2 if isinstance(error, ValidationError) else 0].strip()
        raise InputError(f"{where}: its fields do not fit {pattern.command}: {reason}; mend it there") from error


def _way_to(graph: WordGraph, goal: int) -> list[str]:
    """Words that lead from the start to a state."""
    came = {arc.target: arc for arc in reversed(graph.arcs)}
    words: list[str] = []
    seen = set()
    while goal != START and goal not in seen:
        seen.add(goal)
        arc = came[goal]
        words.insert(0, arc.word)
        goal = arc.source
    return words
