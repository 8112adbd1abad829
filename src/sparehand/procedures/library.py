"""The procedures at hand: those installed in the data folder and those that come with Sparehand."""

from __future__ import annotations

import difflib
from dataclasses import replace
from pathlib import Path

from sparehand.ground.errors import InputError
from sparehand.ground.places import bundled
from sparehand.procedures.earlier_names import with_renames
from sparehand.procedures.load import LoadedProcedure, load_procedure
from sparehand.procedures.model import Procedure
from sparehand.procedures.spoken_names import plain_words

_ENDINGS = (".yaml", ".yml")


def find_procedure(name: str, data_folder: Path) -> LoadedProcedure:
    """The procedure at a file's path, or the one of that id: installed, else shared by another bench, else bundled.

    Raises InputError for a name that is neither, and for a file that is not sound.
    """
    return _renamed(load_procedure(procedure_file(name, data_folder)), data_folder)


def procedure_file(name: str, data_folder: Path) -> Path:
    """The file of a procedure, by its path or its id. Raises InputError for an id that there is none of."""
    if name.endswith(_ENDINGS) or "/" in name or "\\" in name:
        return Path(name).expanduser()
    files = _files(data_folder)
    if name in files:
        return files[name]
    near = difflib.get_close_matches(name, files, n=3, cutoff=0.4) or list(files)
    raise InputError(f"there is no procedure '{name}'; there are: {', '.join(near)}; or give a file's path")


def list_procedures(data_folder: Path) -> tuple[LoadedProcedure, ...]:
    """Every installed and bundled procedure in order of id. Raises InputError for one that is not sound.

    One that another bench sent stops nobody here: it is left out, and says what is wrong where it is asked for.
    """
    found: list[LoadedProcedure] = []
    for _, path in sorted(_files(data_folder).items()):
        try:
            found.append(load_procedure(path))
        except InputError:
            if path.parent != shared_folder(data_folder):
                raise
    return tuple(found)


def others_for_vehicle(procedure: Procedure, data_folder: Path) -> tuple[LoadedProcedure, ...]:
    """The other procedures that name the same vehicle, in order of id; one that is not sound is left out."""
    found: list[LoadedProcedure] = []
    for id, path in sorted(_files(data_folder).items()):
        try:
            if id != procedure.id and _names(path, procedure.vehicle):
                found.append(_renamed(load_procedure(path), data_folder))
        except (InputError, OSError):
            continue
    return tuple(one for one in found if plain_words(one.procedure.vehicle) == plain_words(procedure.vehicle))


def _names(path: Path, vehicle: str) -> bool:
    """Whether a file may be for a vehicle, without reading it as a procedure, which takes its time."""
    text = plain_words(path.read_text(encoding="utf-8", errors="replace"))
    return all(word in text for word in plain_words(vehicle).split())


def installed_folder(data_folder: Path) -> Path:
    """Where a bench's own procedures lie."""
    return data_folder / "procedures"


def shared_folder(data_folder: Path) -> Path:
    """Where those lie that came from other benches of the shop."""
    return data_folder / "shared" / "procedures"


def origin_words(loaded: LoadedProcedure, data_folder: Path) -> str:
    """That a procedure came from another bench of the shop, where it did; empty for one of this bench or bundled."""
    if loaded.path.parent != shared_folder(data_folder):
        return ""
    hidden = (bundled("procedures") / loaded.path.name).exists()
    return "from another bench of the shop" + " in place of the bundled demonstration" * hidden


def _renamed(loaded: LoadedProcedure, data_folder: Path) -> LoadedProcedure:
    return replace(loaded, procedure=with_renames(loaded.procedure, data_folder))


def _files(data_folder: Path) -> dict[str, Path]:
    """Files by id; a file bears its procedure's id as its name."""
    folders = (bundled("procedures"), shared_folder(data_folder), installed_folder(data_folder))
    return {path.stem: path for folder in folders for path in sorted(folder.glob("*.y*ml")) if path.suffix in _ENDINGS}
