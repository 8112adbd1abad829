"""A Vosk model whose grammar is the phrase table's: the publisher's files linked, the grammar and its settings ours."""

from __future__ import annotations

import os
import shutil
import tempfile
from collections.abc import Callable
from hashlib import sha256
from pathlib import Path

from sparehand.ground.errors import FailureError
from sparehand.job.situation import SITUATIONS
from sparehand.voice.models.model_store import MANIFEST
from sparehand.voice.phrases.phrase_table import PhraseTable

GRAMMAR = Path("graph/Gr.fst")
SETTINGS = Path("conf/model.conf")
BEAM = 14.0
"""How far the search looks, in natural logarithms. The publisher's 10 is for long dictation: it loses readings that
tell talk from the phrase near to it."""
LATTICE_BEAM = 5.0
"""How much dearer than the best a reading may be and still be told, in natural logarithms: a little more than is let
off in noise. At 8, tuning voices' 1,680 utterances were judged the same, and talk took twice as long to decode."""
KEPT_MODELS = 4

_FORMAT = 3
_NEVER_SECONDS = 1000


def strict_model(
    model_folder: Path, cache_folder: Path, table: PhraseTable, recipe: str, write: Callable[[Path], None]
) -> Path:
    """The folder of a model that hears the phrases of `table`, from the cache or made by `write(path of the grammar)`.

    `recipe` says how `write` makes it; another recipe, table or model is another folder. Raises FailureError where
    `cache_folder` cannot be written.
    """
    place = cache_folder / _name(model_folder, table, recipe)
    try:
        if place.is_dir():
            os.utime(place)
            return place
        cache_folder.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryDirectory(prefix=".making-", dir=cache_folder) as scratch:
            fresh = Path(scratch) / "model"
            shutil.copytree(model_folder, fresh, ignore=_left_out, copy_function=_link)
            write(fresh / GRAMMAR)
            (fresh / SETTINGS).write_text(_settings((model_folder / SETTINGS).read_text("utf-8")), "utf-8")
            # The copy bears the age of its original, and the oldest are forgotten first.
            os.utime(fresh)
            _put(fresh, place)
        _forget_old(cache_folder)
    except OSError as error:
        raise FailureError(f"{cache_folder}: the grammar cannot be written there ({error.strerror})") from error
    return place


def _put(fresh: Path, place: Path) -> None:
    """Another bench on this machine may have made the same meanwhile: then that one stays."""
    try:
        fresh.rename(place)
    except OSError:
        if not place.is_dir():
            raise


def _name(model_folder: Path, table: PhraseTable, recipe: str) -> str:
    files = sorted(path for path in model_folder.rglob("*") if path.is_file())
    model = [(path.name, path.stat().st_size, path.stat().st_mtime_ns) for path in files]
    situations = len(SITUATIONS)
    return sha256(repr((_FORMAT, situations, BEAM, LATTICE_BEAM, model, table.sha256, recipe)).encode()).hexdigest()[
        :24
    ]


def _left_out(_: str, names: list[str]) -> list[str]:
    return [name for name in names if name in (GRAMMAR.name, SETTINGS.name, MANIFEST)]


def _link(source: str, target: str) -> None:
    """A second name for the file where the disk can, a copy elsewhere."""
    try:
        os.link(source, target)
    except OSError:
        shutil.copyfile(source, target)


def _settings(original: str) -> str:
    """The publisher's settings, with the ends of utterances left to us and a wider choice of readings."""
    ours = ("--endpoint.rule", "--lattice-beam", "--beam")
    kept = [line for line in original.splitlines() if not line.startswith(ours)]
    rules = [f"--endpoint.rule{number}.min-trailing-silence={_NEVER_SECONDS}" for number in range(1, 6)]
    longest = f"--endpoint.rule5.min-utterance-length={_NEVER_SECONDS}"
    return "\n".join([*kept, *rules, longest, f"--beam={BEAM}", f"--lattice-beam={LATTICE_BEAM}"]) + "\n"


def _forget_old(cache_folder: Path) -> None:
    models = sorted(
        (path for path in cache_folder.iterdir() if path.name[0] != "."), key=lambda path: path.stat().st_mtime
    )
    for old in models[:-KEPT_MODELS]:
        shutil.rmtree(old, ignore_errors=True)
