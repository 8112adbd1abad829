"""The speech models in the data folder: adding, finding, checking and removing them."""

from __future__ import annotations

import json
import shutil
import tempfile
from dataclasses import dataclass
from pathlib import Path

from sparehand.ground.errors import FailureError, InputError
from sparehand.voice.models.model_archive import matching_archive, sha256_of, unpack
from sparehand.voice.models.model_catalogue import Catalogue, CatalogueModel, load_catalogue

MANIFEST = "sparehand-files.json"
"""Lies in an installed model: size and SHA-256 of each of its files, by which damage is noticed."""


@dataclass(frozen=True)
class ModelStatus:
    """A model of the catalogue, where it is installed, and what is wrong with it there."""

    model: CatalogueModel
    folder: Path | None
    fault: str | None = None


def installed_model(language: str, models_folder: Path) -> Path | None:
    """The folder of the language's model, or None where none is installed. It is not checked: see `check_model`."""
    folder = models_folder / load_catalogue().of(language).language
    return folder if folder.is_dir() else None


def list_models(models_folder: Path, catalogue: Catalogue | None = None) -> tuple[ModelStatus, ...]:
    """Every model of the catalogue and how it stands in `models_folder`."""
    catalogue = catalogue or load_catalogue()
    return tuple(_status(model, models_folder, catalogue) for model in catalogue.model)


def add_model(language: str, source: Path, models_folder: Path, catalogue: Catalogue | None = None) -> Path:
    """Install the language's model from its published archive or from an unpacked folder; gives its folder.

    Whatever was installed before stays until the new model is whole. Raises InputError for a source that is not the
    model, and FailureError where `models_folder` cannot be written.
    """
    model = (catalogue or load_catalogue()).of(language)
    if not source.exists():
        raise InputError(f"{source}: there is no such file or folder; give the model's archive or its unpacked folder")
    try:
        models_folder.mkdir(parents=True, exist_ok=True)
        with tempfile.TemporaryDirectory(prefix=".adding-", dir=models_folder) as scratch:
            fresh = Path(scratch) / model.language
            _fill(fresh, source, model)
            _write_manifest(fresh)
            return _swap_in(fresh, models_folder / model.language, Path(scratch) / "before")
    except OSError as error:
        raise FailureError(f"{models_folder}: the model cannot be written there ({error.strerror})") from error


def remove_model(language: str, models_folder: Path) -> Path:
    """Remove the language's model; gives the folder that is gone. Raises InputError where none is installed."""
    folder = installed_model(language, models_folder)
    if folder is None:
        raise InputError(f"no model for '{language}' is installed in {models_folder}; see `sparehand models list`")
    try:
        with tempfile.TemporaryDirectory(prefix=".removing-", dir=models_folder) as scratch:
            folder.rename(Path(scratch) / "model")
    except OSError as error:
        raise FailureError(f"{folder}: the model cannot be removed ({error.strerror})") from error
    return folder


def check_model(folder: Path, *, thorough: bool = False, catalogue: Catalogue | None = None) -> None:
    """Raise InputError, with the file and the fix, for a model that is not whole.

    Sizes are compared always, hashes too if `thorough` (it reads about 70 MB).
    """
    fault = _fault_by_manifest(folder, thorough) if (folder / MANIFEST).is_file() else None
    fault = fault or _fault_by_catalogue(folder, _model_of(folder, catalogue or load_catalogue()))
    if fault:
        raise InputError(f"{folder}: {fault}; install it again with `sparehand models get` or `sparehand models add`")


def _status(model: CatalogueModel, models_folder: Path, catalogue: Catalogue) -> ModelStatus:
    folder = models_folder / model.language
    if not folder.is_dir():
        return ModelStatus(model, None)
    try:
        check_model(folder, catalogue=catalogue)
    except InputError as error:
        return ModelStatus(model, folder, str(error))
    return ModelStatus(model, folder)


def _fill(fresh: Path, source: Path, model: CatalogueModel) -> None:
    if source.is_dir():
        root = _root_of(source, model)
        fault = _fault_by_catalogue(root, model)
        if fault:
            raise InputError(f"{source}: {fault}; copy the whole folder again")
        shutil.copytree(root, fresh, ignore=lambda *_: [MANIFEST], symlinks=False, copy_function=shutil.copyfile)
        return
    archive = matching_archive(source, model.archives)
    fresh.mkdir()
    unpack(source, archive.folder, fresh)
    missing = next((name for name in model.files if not (fresh / name).is_file()), None)
    if missing:
        raise InputError(f"{source}: there is no {missing} in it; it is not the model's archive")


def _root_of(source: Path, model: CatalogueModel) -> Path:
    """The model's own folder: `source`, or what an archive unpacked into `source` made there."""
    inside = (source / archive.folder for archive in model.archives)
    return next((root for root in (source, *inside) if (root / "am").is_dir()), source)


def _swap_in(fresh: Path, place: Path, before: Path) -> Path:
    if place.exists():
        place.rename(before)
    try:
        fresh.rename(place)
    except OSError:
        if before.exists():
            before.rename(place)
        raise
    return place


def _write_manifest(folder: Path) -> None:
    files = sorted(path for path in folder.rglob("*") if path.is_file())
    rows = {path.relative_to(folder).as_posix(): [path.stat().st_size, sha256_of(path)] for path in files}
    (folder / MANIFEST).write_text(json.dumps(rows, indent=1), encoding="utf-8")


def _fault_by_manifest(folder: Path, thorough: bool) -> str | None:
    try:
        rows: dict[str, tuple[int, str]] = json.loads((folder / MANIFEST).read_text(encoding="utf-8"))
        faults = (_fault_of(folder / name, name, size, sha256, thorough) for name, (size, sha256) in rows.items())
        return next((fault for fault in faults if fault), None)
    except (OSError, ValueError, TypeError, AttributeError):
        return f"its list of files, {MANIFEST}, cannot be read"


def _fault_of(path: Path, name: str, size: int, sha256: str, thorough: bool) -> str | None:
    if not path.is_file():
        return f"the model lacks {name}"
    if path.stat().st_size != size:
        return f"{name} has {path.stat().st_size:,} of {size:,} bytes"
    if thorough and sha256_of(path) != sha256:
        return f"{name} is damaged"
    return None


def _fault_by_catalogue(folder: Path, model: CatalogueModel) -> str | None:
    for name, least in model.files.items():
        path = folder / name
        if not path.is_file():
            return f"the model lacks {name}"
        if not _is_archive_checked(folder) and path.stat().st_size < least:
            return f"{name} has {path.stat().st_size:,} of {least:,} bytes"
    return None


def _is_archive_checked(folder: Path) -> bool:
    """Whether sizes were fixed when it was installed; they are then compared with those."""
    return (folder / MANIFEST).is_file()


def _model_of(folder: Path, catalogue: Catalogue) -> CatalogueModel:
    return next((model for model in catalogue.model if model.language == folder.name), catalogue.model[0])
