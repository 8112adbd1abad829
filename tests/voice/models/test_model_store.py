"""A speech model is installed whole or not at all, from nothing but what was published."""

from __future__ import annotations

import stat
import zipfile
from pathlib import Path

import pytest

from sparehand.ground.errors import InputError
from sparehand.voice.models.model_catalogue import load_catalogue
from sparehand.voice.models.model_store import add_model, check_model, installed_model, list_models, remove_model
from voice.small_model import FILES, FOLDER, catalogue_of, published, small_archive, write_zip


def contents(folder: Path) -> dict[str, bytes]:
    return {name: (folder / name).read_bytes() for name in FILES}


def test_the_catalogue_that_comes_along_names_the_english_model() -> None:
    model = load_catalogue().of("english")
    assert model.licence == "Apache-2.0"
    assert model.download is not None
    assert model.download.url is not None
    assert model.download.url.endswith(model.download.file)


def test_an_unknown_language_is_answered_with_those_there_are(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="no speech model for 'klingon'; there are: english"):
        installed_model("klingon", tmp_path)


def test_an_archive_is_installed_found_listed_and_removed(tmp_path: Path) -> None:
    source = small_archive(tmp_path)
    catalogue = catalogue_of(published(source))
    models = tmp_path / "models"
    assert installed_model("english", models) is None
    folder = add_model("english", source, models, catalogue)
    assert installed_model("english", models) == folder
    assert contents(folder) == FILES
    check_model(folder, thorough=True, catalogue=catalogue)
    assert [(status.folder, status.fault) for status in list_models(models, catalogue)] == [(folder, None)]
    remove_model("english", models)
    assert list(models.iterdir()) == []


@pytest.mark.parametrize("inside", ["", FOLDER])
def test_an_unpacked_folder_is_installed_whether_or_not_it_is_the_models_own(tmp_path: Path, inside: str) -> None:
    for name, content in FILES.items():
        path = tmp_path / "stick" / inside / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(content)
    folder = add_model(
        "english", tmp_path / "stick", tmp_path / "models", catalogue_of(published(small_archive(tmp_path)))
    )
    assert contents(folder) == FILES


def test_a_half_copied_folder_is_refused_with_the_file_that_falls_short(tmp_path: Path) -> None:
    catalogue = catalogue_of(published(small_archive(tmp_path)))
    for name, content in FILES.items():
        path = tmp_path / "stick" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(content[: len(content) // 2] if name == "graph/Gr.fst" else content)
    with pytest.raises(InputError, match=r"graph/Gr\.fst has 25,600 of 51,200 bytes; copy the whole folder again"):
        add_model("english", tmp_path / "stick", tmp_path / "models", catalogue)
    assert not (tmp_path / "models" / "english").exists()


def test_a_changed_archive_of_the_right_size_is_refused(tmp_path: Path) -> None:
    source = small_archive(tmp_path)
    catalogue = catalogue_of(published(source))
    content = bytearray(source.read_bytes())
    content[100] ^= 1
    source.write_bytes(content)
    with pytest.raises(InputError, match="another hash: it is damaged"):
        add_model("english", source, tmp_path / "models", catalogue)


@pytest.mark.parametrize("name", ["../outside", "/outside", f"{FOLDER}/../../outside", "..\\outside", "C:\\outside"])
def test_an_archive_that_names_a_path_outside_its_folder_is_refused_and_nothing_remains(
    tmp_path: Path, name: str
) -> None:
    source = write_zip(tmp_path / "evil.zip", {f"{FOLDER}/am/final.mdl": b"x", name: b"x"})
    with pytest.raises(InputError, match="leaves its folder"):
        add_model("english", source, tmp_path / "models", catalogue_of(published(source)))
    assert sorted(path.name for path in tmp_path.rglob("*")) == ["evil.zip", "models"]


def test_an_archive_with_a_link_is_refused(tmp_path: Path) -> None:
    source = tmp_path / "evil.zip"
    with zipfile.ZipFile(source, "w") as archive:
        link = zipfile.ZipInfo(f"{FOLDER}/am")
        link.external_attr = (stat.S_IFLNK | 0o777) << 16
        archive.writestr(link, "/etc")
    with pytest.raises(InputError, match="holds the link"):
        add_model("english", source, tmp_path / "models", catalogue_of(published(source)))


def test_a_published_archive_without_a_needed_file_is_refused(tmp_path: Path) -> None:
    source = write_zip(tmp_path / "thin.zip", {f"{FOLDER}/am/final.mdl": b"x"})
    with pytest.raises(InputError, match=r"there is no conf/model\.conf in it"):
        add_model("english", source, tmp_path / "models", catalogue_of(published(source)))


def test_a_failed_installation_leaves_the_model_of_before(tmp_path: Path) -> None:
    source = small_archive(tmp_path)
    catalogue = catalogue_of(published(source))
    folder = add_model("english", source, tmp_path / "models", catalogue)
    source.write_bytes(b"nothing of the kind")
    with pytest.raises(InputError):
        add_model("english", source, tmp_path / "models", catalogue)
    check_model(folder, thorough=True, catalogue=catalogue)
    assert [path.name for path in (tmp_path / "models").iterdir()] == ["english"]


def test_damage_to_an_installed_model_is_named_with_the_way_out(tmp_path: Path) -> None:
    source = small_archive(tmp_path)
    catalogue = catalogue_of(published(source))
    folder = add_model("english", source, tmp_path / "models", catalogue)
    damaged = bytearray(FILES["am/final.mdl"])
    damaged[7] ^= 1
    (folder / "am/final.mdl").write_bytes(damaged)
    check_model(folder, catalogue=catalogue)
    with pytest.raises(InputError, match=r"am/final\.mdl is damaged; install it again with `sparehand models get`"):
        check_model(folder, thorough=True, catalogue=catalogue)
    (folder / "am/final.mdl").write_bytes(damaged[:9])
    with pytest.raises(InputError, match=r"am/final\.mdl has 9 of 2,000 bytes"):
        check_model(folder, catalogue=catalogue)
    (folder / "am/final.mdl").unlink()
    assert "lacks am/final.mdl" in str(list_models(tmp_path / "models", catalogue)[0].fault)


def test_a_missing_source_is_one_clear_line(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="no such file or folder"):
        add_model("english", tmp_path / "absent.zip", tmp_path / "models")
