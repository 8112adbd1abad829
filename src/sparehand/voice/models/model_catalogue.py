"""Which speech models there are, where they come from and how they are recognised: data, checked when read."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from pydantic import BaseModel, ConfigDict, Field

from sparehand.ground.errors import FailureError, InputError
from sparehand.ground.places import bundled
from sparehand.ground.toml_file import read_toml

CATALOGUE_FILE = "catalogue.toml"


class _Row(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")


class Archive(_Row):
    """One published file that holds the model: its size in bytes, its hash, and the folder in it."""

    file: str = Field(min_length=1)
    url: str | None = Field(default=None, pattern=r"^https://")
    package: str | None = None
    bytes: int = Field(gt=0)
    sha256: str = Field(pattern=r"^[0-9a-f]{64}$")
    folder: str = Field(min_length=1)


class CatalogueModel(_Row):
    """A model that can be installed. `files` are those it needs, with their least sizes in bytes."""

    language: str = Field(pattern=r"^[a-z][a-z-]*$")
    name: str = Field(min_length=1)
    description: str = Field(min_length=1)
    licence: str = Field(min_length=1)
    archives: tuple[Archive, ...] = Field(min_length=1)
    files: Mapping[str, int]

    @property
    def download(self) -> Archive | None:
        """The archive that can be fetched, if there is one."""
        return next((archive for archive in self.archives if archive.url), None)


class Catalogue(_Row):
    """Every model that can be installed, one a language."""

    model: tuple[CatalogueModel, ...]

    def of(self, language: str) -> CatalogueModel:
        """The model of a language. Raises InputError for a language that has none."""
        found = next((entry for entry in self.model if entry.language == language.lower()), None)
        if found is None:
            languages = ", ".join(entry.language for entry in self.model)
            raise InputError(f"there is no speech model for '{language}'; there are: {languages}")
        return found


def load_catalogue(folder: Path | None = None) -> Catalogue:
    """The catalogue in `folder`, or the one that comes with Sparehand. Raises FailureError where it is damaged."""
    path = (folder or bundled("models")) / CATALOGUE_FILE
    try:
        return read_toml(path, Catalogue, "catalogue of models", lambda _: "install Sparehand again")
    except InputError as error:
        raise FailureError(f"{error}") from error
