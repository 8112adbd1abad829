"""A procedure edited while its job is open: the job keeps the version that it began with, and says that it does."""

from __future__ import annotations

import io
from pathlib import Path

import pytest

from ground.pictured import segments, with_place
from sparehand.cli.command_line import main
from sparehand.ground.places import LOG_FILE, bundled
from sparehand.job.events import JobOpened
from sparehand.log.memos import PICTURE, MemoFolder
from sparehand.log.sqlite import SqliteEventStore
from sparehand.procedures.library import installed_folder

NEWER = "newer version"


def conversation(data: Path, lines: list[str], *arguments: str, patch: pytest.MonkeyPatch) -> None:
    patch.setattr("sys.stdin", io.StringIO("\n".join(lines) + "\n"))
    with pytest.raises(SystemExit):
        main([*arguments, "--ears", "keyboard", "--mute", "--data", str(data)])


@pytest.fixture
def installed(tmp_path: Path) -> Path:
    """A procedure of the bench's own in the data folder."""
    folder = installed_folder(tmp_path)
    folder.mkdir(parents=True)
    file = folder / "engine-mounts.yaml"
    file.write_bytes((bundled("procedures") / file.name).read_bytes())
    return file


def open_a_job(data: Path, patch: pytest.MonkeyPatch) -> None:
    chosen = ("--operations", "torque-arm", "--sides", "left", "--vehicle", "invented estate", "--technician", "Ada")
    conversation(data, ["warning understood"], "work", "engine-mounts", *chosen, patch=patch)


@pytest.mark.parametrize("edited", [False, True])
def test_resuming_says_so_and_keeps_the_old_one(
    edited: bool, installed: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    open_a_job(tmp_path, monkeypatch)
    if edited:
        installed.write_text(installed.read_text("utf-8").replace("22 N·m", "23 N·m"), encoding="utf-8")
    capsys.readouterr()
    conversation(tmp_path, ["where am i"], "resume", patch=monkeypatch)
    told = " ".join(capsys.readouterr().out.split())
    assert (NEWER in told) is edited
    store = SqliteEventStore(tmp_path / LOG_FILE, read_only=True)
    (header,) = store.jobs()
    (opened, *_) = store.events(header.id)
    assert isinstance(opened.event, JobOpened)
    torque = opened.event.procedure.fastener("hanger-nut").tightening[0].torque
    assert torque is not None
    assert torque.newton_metres == 22


def test_a_file_that_is_gone_says_nothing(
    installed: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    text = installed.read_text("utf-8").replace("id: engine-mounts", "id: own-mounts", 1)
    own = installed.with_name("own-mounts.yaml")
    own.write_text(text, encoding="utf-8")
    chosen = ("--operations", "torque-arm", "--sides", "left", "--vehicle", "invented estate", "--technician", "Ada")
    conversation(tmp_path, ["warning understood"], "work", "own-mounts", *chosen, patch=monkeypatch)
    own.unlink()
    conversation(tmp_path, ["where am i"], "resume", patch=monkeypatch)
    assert NEWER not in capsys.readouterr().out


@pytest.mark.parametrize("there", [True, False])
def test_a_job_keeps_the_pictures_that_it_began_with_and_goes_on_without_one_that_is_missing(
    there: bool, installed: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    picture = installed.parent / "engine-mounts" / "bush-in.png"
    if there:
        picture.parent.mkdir()
        picture.write_bytes(with_place())
    open_a_job(tmp_path, monkeypatch)
    picture.unlink(missing_ok=True)
    store = SqliteEventStore(tmp_path / LOG_FILE, read_only=True)
    (header,) = store.jobs()
    opened = store.events(header.id)[0].event
    assert isinstance(opened, JobOpened)
    kept = [MemoFolder.beside(store.path).read(id, PICTURE) or b"" for id in opened.pictures.values()]
    assert [len(segments(jpeg)) > 0 for jpeg in kept] == [True] * there
    assert ("bush-in.png is not beside" in " ".join(capsys.readouterr().out.split())) is not there
