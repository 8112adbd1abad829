"""A stand-in for a speech model: the right files with a few bytes each, its archives, and their catalogue."""

from __future__ import annotations

import zipfile
from hashlib import sha256
from pathlib import Path

from sparehand.voice.models.model_catalogue import Archive, Catalogue, CatalogueModel

FILES = {"am/final.mdl": b"sound" * 400, "conf/model.conf": b"--beam=10.0\n", "graph/Gr.fst": bytes(range(256)) * 200}
FOLDER = "small-model"


def write_zip(path: Path, files: dict[str, bytes]) -> Path:
    """An archive at `path` that holds `files`."""
    with zipfile.ZipFile(path, "w") as archive:
        for name, content in files.items():
            archive.writestr(name, content)
    return path


def published(path: Path) -> Archive:
    """The catalogue's row for the archive at `path`."""
    content = path.read_bytes()
    digest = sha256(content).hexdigest()
    return Archive(file=path.name, url="https://example.invalid/m", bytes=len(content), sha256=digest, folder=FOLDER)


def catalogue_of(*archives: Archive) -> Catalogue:
    """A catalogue with one language, whose model these archives hold."""
    files = {name: len(content) for name, content in FILES.items()}
    model = CatalogueModel(
        language="english", name="small", description="demo", licence="none", archives=archives, files=files
    )
    return Catalogue(model=(model,))


def small_archive(folder: Path) -> Path:
    """The stand-in's archive in `folder`."""
    folder.mkdir(parents=True, exist_ok=True)
    return write_zip(folder / "small.zip", {f"{FOLDER}/{name}": content for name, content in FILES.items()})
