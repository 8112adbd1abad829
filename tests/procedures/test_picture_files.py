"""A step's picture lies beside its file, inside its folder, whatever the path says."""

from __future__ import annotations

from pathlib import Path

import pytest

from ground.pictured import as_file, drawn
from procedures.seeding import changed, demo, demo_text, written
from sparehand.ground.errors import InputError
from sparehand.procedures.check import check_file
from sparehand.procedures.findings import BrokenProcedureError
from sparehand.procedures.load import load_procedure
from sparehand.procedures.picture_files import picture_copy, read_picture

NAMED = "picture: engine-mounts/bush-in.png"


def naming(path: str) -> str:
    return changed(demo_text("engine-mounts"), NAMED, f"picture: {path}")


def test_the_demonstration_names_a_picture_that_can_be_shown() -> None:
    pictures = [step.picture for phase in demo("engine-mounts").procedure.phases for step in phase.steps]
    named = [picture for picture in pictures if picture]
    assert named
    assert all(picture_copy(demo("engine-mounts").path, picture)[:2] == b"\xff\xd8" for picture in named)


@pytest.mark.parametrize(
    "path",
    [
        "../other.png",
        "a/../../other.png",
        "/etc/picture.png",
        "'C:\\pictures\\x.png'",
        "'..\\x.png'",
        "./x.png",
        ".hidden.png",
        "a//b.png",
        "x.svg",
        "x.png.exe",
        "https://example.org/x.png",
        "'x.png\\n'",
        "ｘ.png",
        "''",
    ],
)
def test_a_path_that_leads_out_is_refused_with_its_line(path: str, tmp_path: Path) -> None:
    text = naming(path)
    with pytest.raises(BrokenProcedureError) as refused:
        load_procedure(written(tmp_path, text))
    line = next(number for number, words in enumerate(text.splitlines(), 1) if "picture: " in words)
    assert [(one.line, one.name) for one in refused.value.findings] == [(line, "wrong-value")]
    assert "\n" not in str(refused.value)


def test_a_link_out_of_the_folder_is_refused(tmp_path: Path) -> None:
    outside = tmp_path / "outside.png"
    outside.write_bytes(as_file(drawn(), "PNG"))
    folder = tmp_path / "here"
    folder.mkdir()
    (folder / "link.png").symlink_to(outside)
    (folder / "linked").symlink_to(tmp_path)
    for path in ("link.png", "linked/outside.png"):
        (found,) = check_file(written(folder, naming(path)))
        assert (found.name, found.severity) == ("picture-not-usable", "error")
        assert "link out of the folder" in found.message


@pytest.mark.parametrize("content", [b"<svg><script>alert(1)</script></svg>", None])
def test_check_names_a_picture_that_is_none_or_not_there(content: bytes | None, tmp_path: Path) -> None:
    if content:
        (tmp_path / "x.png").write_bytes(content)
    (found,) = check_file(written(tmp_path, naming("x.png")))
    assert (found.name, found.severity) == ("picture-not-usable", "error")


def test_what_is_no_file_is_not_waited_for(tmp_path: Path) -> None:
    (tmp_path / "x.png").mkdir()
    with pytest.raises(InputError, match="not beside"):
        read_picture(tmp_path / "procedure.yaml", "x.png")
