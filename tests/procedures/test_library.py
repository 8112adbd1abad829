"""Procedures are found by path or id; the data folder's come before those that come with Sparehand."""

from __future__ import annotations

from pathlib import Path

import pytest

from procedures.seeding import DEMOS, changed, demo_text
from sparehand.ground.errors import FailureError, InputError
from sparehand.ground.places import bundled, data_folder
from sparehand.procedures.library import find_procedure, list_procedures, origin_words


def test_a_bundled_procedure_is_found_by_its_id(tmp_path: Path) -> None:
    assert find_procedure("brake-discs-epb", tmp_path).procedure.id == "brake-discs-epb"


def test_a_procedure_is_found_by_its_path(tmp_path: Path) -> None:
    path = tmp_path / "mine.yaml"
    path.write_text(demo_text("brake-discs-epb"), encoding="utf-8")
    assert find_procedure(str(path), tmp_path).path == path


def test_an_installed_procedure_comes_before_the_bundled_one(tmp_path: Path) -> None:
    installed = tmp_path / "procedures" / "brake-discs-epb.yaml"
    installed.parent.mkdir()
    text = changed(demo_text("brake-discs-epb"), "title: Rear brake discs and pads", "title: Ours for discs and pads")
    installed.write_text(text, encoding="utf-8")
    assert find_procedure("brake-discs-epb", tmp_path).procedure.title.startswith("Ours")
    assert [loaded.procedure.id for loaded in list_procedures(tmp_path)] == list(DEMOS)


def test_one_of_another_bench_comes_between_its_own_and_the_bundled_one_and_says_so(tmp_path: Path) -> None:
    assert origin_words(find_procedure("brake-discs-epb", tmp_path), tmp_path) == ""
    text = demo_text("brake-discs-epb")
    for folder, told in (
        ("shared/procedures", "from another bench of the shop in place of the bundled demonstration"),
        ("procedures", ""),
    ):
        (tmp_path / folder).mkdir(parents=True)
        (tmp_path / folder / "brake-discs-epb.yaml").write_text(text, encoding="utf-8")
        found = find_procedure("brake-discs-epb", tmp_path)
        assert (found.path.parent, origin_words(found, tmp_path)) == (tmp_path / folder, told)


def test_a_file_that_is_not_sound_stops_the_list_only_where_the_bench_has_it_itself(tmp_path: Path) -> None:
    for folder, stops in (("shared/procedures", False), ("procedures", True)):
        (tmp_path / folder).mkdir(parents=True)
        (tmp_path / folder / "our-own-joint.yaml").write_text("a: [", encoding="utf-8")
        with pytest.raises(InputError, match=r"our-own-joint\.yaml"):
            find_procedure("our-own-joint", tmp_path)
        if not stops:
            assert [loaded.procedure.id for loaded in list_procedures(tmp_path)] == list(DEMOS)
    with pytest.raises(InputError, match=r"our-own-joint\.yaml"):
        list_procedures(tmp_path)


def test_an_unknown_id_is_answered_with_near_ones(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="no procedure 'brake-disc-epb'; there are: brake-discs-epb"):
        find_procedure("brake-disc-epb", tmp_path)


def test_the_option_names_the_data_folder_before_the_environment(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("SPAREHAND_DATA", str(tmp_path / "environment"))
    assert data_folder(tmp_path / "option") == tmp_path / "option"
    assert data_folder() == tmp_path / "environment"
    assert (tmp_path / "option").is_dir()


def test_a_data_folder_that_cannot_be_made_is_one_line(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way", encoding="utf-8")
    with pytest.raises(FailureError, match=r"cannot be made .*; name another with --data or SPAREHAND_DATA"):
        data_folder(tmp_path / "file" / "data")


def test_both_bundles_are_there() -> None:
    assert {path.stem for path in bundled("procedures").glob("*.yaml")} == set(DEMOS)
    assert bundled("models").is_dir()
