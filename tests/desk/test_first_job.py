"""A first job from its beginning to a file that the check reads, and that nobody can mistake for a released one."""

from __future__ import annotations

import io
import shutil
from pathlib import Path
from uuid import UUID

import numpy as np
import pytest

from ground.pictured import as_file, drawn
from sparehand.cli.command_line import main
from sparehand.conversation.session import amend
from sparehand.desk.first_job import unwritten, write_draft
from sparehand.desk.transcription import write_down
from sparehand.ground.clock import LiveClock
from sparehand.ground.errors import InputError
from sparehand.ground.places import LOG_FILE
from sparehand.job.events import NameKept, PictureTaken
from sparehand.job.job_notes import notes
from sparehand.log.memos import PICTURE, MemoFolder
from sparehand.log.sqlite import SqliteEventStore
from sparehand.procedures.check import check_file
from sparehand.procedures.format_fields import LEVEL, LEVEL_OF
from sparehand.procedures.load import load_procedure
from sparehand.procedures.model import FollowUp, Inspection, Phase, Procedure, Step, Tool
from sparehand.procedures.plan import plan_run
from sparehand.voice.sound.wav import as_wav

FIRST_JOB = """\
name this step
raise the vehicle
new phase
remove the arm
undo the clamp bolt
new fastener
clamp bolt
it comes out
1
yes confirm
12
yes confirm
1.5
yes confirm
18
yes confirm
new step
put the arm in and the bolt by hand
fastener one goes in
must be new every time
new part fitted
new step
lower it
at ride height
new step
tighten the clamp bolt
fastener one is tightened
110
yes confirm
wait for ride height
mark done
close the job
yes confirm
"""


def typed(lines: str, arguments: list[str], data: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("sys.stdin", io.StringIO(lines))
    given = ["--ears", "keyboard", "--mute", "--technician", "Ada Brook", "--vehicle", "invented estate"]
    with pytest.raises(SystemExit) as ended:
        main(["work", *arguments, *given, "--data", str(data)])
    assert not ended.value.code


@pytest.fixture(scope="module")
def worked(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A data folder after one first job."""
    data = tmp_path_factory.mktemp("worked")
    with pytest.MonkeyPatch.context() as patched:
        typed(FIRST_JOB, ["--new", "Front arm"], data, patched)
    return data


@pytest.fixture
def done(worked: Path, tmp_path: Path) -> tuple[Path, str]:
    """A data folder of its own after a first job, and the job's id."""
    data = tmp_path / "data"
    shutil.copytree(worked, data)
    (header,) = SqliteEventStore(data / LOG_FILE, read_only=True).jobs()
    assert not header.open
    return data, header.id


def test_a_first_job_typed_line_by_line_becomes_a_procedure_file(done: tuple[Path, str]) -> None:
    data, job = done
    write_draft(job, data / "front-arm.yaml", data)
    procedure = load_procedure(data / "front-arm.yaml").procedure
    assert [phase.title for phase in procedure.phases] == ["Phase one", "Remove the arm"]
    assert [step.say for step in procedure.phases[1].steps] == [
        "Undo the clamp bolt.",
        "Put the arm in and the bolt by hand.",
        "Lower it.",
        "Tighten the clamp bolt.",
    ]
    assert procedure.phases[1].steps[2].establishes == "ride-height"
    (bolt,) = procedure.fasteners
    assert (bolt.name, bolt.thread, bolt.drive_mm, bolt.use_once) == ("clamp bolt", "M12x1.5", 18, True)
    torque = bolt.tightening[0].torque
    assert torque
    assert torque.newton_metres == 110
    assert all(phase.planned_minutes for phase in procedure.phases)
    assert plan_run(procedure).steps
    head = (data / "front-arm.yaml").read_text(encoding="utf-8").partition("\nformat")[0]
    known = {field for kind in (Procedure, Phase, Step, Inspection, Tool, FollowUp) for field in kind.model_fields}
    assert set(LEVEL_OF) <= known
    assert all(f"{field}:" in head or f"{field}," in head for field in LEVEL_OF)


def test_the_check_finds_every_value_to_be_confirmed_and_asks_for_the_warnings_that_nobody_spoke(
    done: tuple[Path, str],
) -> None:
    data, job = done
    write_draft(job, data / "front-arm.yaml", data)
    found = check_file(data / "front-arm.yaml")
    assert [one.name for one in found if one.severity == "error"] == ["hazard-lift"]
    unconfirmed = " ".join(finding.message for finding in found if finding.name == "value-not-confirmed")
    for field in (
        "title",
        "planned_minutes",
        "steps",
        "name",
        "quantity",
        "thread",
        "drive_mm",
        "use_once",
        "tightening",
    ):
        assert f"'{field}'" in unconfirmed


def test_a_draft_that_calls_itself_released_is_refused_by_the_check(done: tuple[Path, str]) -> None:
    data, job = done
    write_draft(job, data / "front-arm.yaml", data)
    text = (data / "front-arm.yaml").read_text(encoding="utf-8")
    (data / "released.yaml").write_text(text.replace("released: false", "released: true"), encoding="utf-8")
    errors = [one for one in check_file(data / "released.yaml") if one.severity == "error"]
    assert {one.name for one in errors} == {"value-not-confirmed", "hazard-lift"}


def test_run_meanwhile_a_draft_withholds_its_torques_and_says_so(
    done: tuple[Path, str], monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    data, job = done
    write_draft(job, data / "front-arm.yaml", data)
    typed("next\n" * 6 + "repeat torque\n", [str(data / "front-arm.yaml")], data, monkeypatch)
    told = " ".join(capsys.readouterr().out.split())
    assert "not released; its torques are withheld" in told
    assert "110" not in told.split("The procedure it wrote")[-1]


def test_a_draft_writes_over_nothing_and_is_made_of_first_jobs_only(
    done: tuple[Path, str], monkeypatch: pytest.MonkeyPatch
) -> None:
    data, job = done
    (data / "there.yaml").write_text("mine", encoding="utf-8")
    with pytest.raises(InputError, match="is there already"):
        write_draft(job, data / "there.yaml", data)
    typed(
        "warning understood\n",
        ["engine-mounts", "--operations", "torque-arm", "--sides", "left"],
        data,
        monkeypatch,
    )
    other = next(header.id for header in SqliteEventStore(data / LOG_FILE).jobs() if header.id != job)
    with pytest.raises(InputError, match="followed a written procedure"):
        write_draft(other, data / "other.yaml", data)
    assert not (data / "other.yaml").exists()


@pytest.mark.parametrize("name", ["", "12", "---"])
def test_a_name_without_a_letter_in_front_is_refused(name: str) -> None:
    with pytest.raises(InputError, match="begin it with a letter"):
        unwritten(name, "")


def test_free_words_are_written_down_after_the_work_with_the_sound_beside_them(done: tuple[Path, str]) -> None:
    data, job = done
    store = SqliteEventStore(data / LOG_FILE)
    step = next(note.at for note in notes(store.events(job)) if note.kind == "step")
    now = LiveClock("test").now()
    amend(store, job, NameKept(of="step", at=step, sound_ms=1_000), "Ada Brook", "bench 1", now)
    spoken = notes(store.events(job))[-1]
    MemoFolder.beside(store.path).keep(spoken.id, as_wav(np.zeros(16_000, np.float32)))
    assert write_down(store, job, "Ada Brook", "bench 1", now, lambda samples: f"lift it {len(samples)}") == 1
    assert write_down(store, job, "Ada Brook", "bench 1", now, lambda _samples: "again") == 0
    write_draft(job, data / "front-arm.yaml", data)
    text = (data / "front-arm.yaml").read_text(encoding="utf-8")
    assert f"say: Lift it 16000. # sound: memos/{spoken.id}.wav" in " ".join(text.split())
    assert load_procedure(data / "front-arm.yaml").procedure.phases[0].steps[0].say == "Lift it 16000."


def test_a_picture_that_was_taken_at_a_step_goes_into_the_draft(done: tuple[Path, str], tmp_path: Path) -> None:
    data, job = done
    store, memos = SqliteEventStore(data / LOG_FILE), MemoFolder.beside(data / LOG_FILE)
    step = next(note.at for note in notes(store.events(job)) if note.kind == "step")
    for id, size in ((UUID(int=1), 40), (UUID(int=2), 60)):
        memos.keep_picture(id, as_file(drawn(size)))
        amend(store, job, PictureTaken(at=step, picture=id), "Ada Brook", "bench 1", LiveClock("test").now())
    to = tmp_path / "there" / "front-arm.yaml"
    write_draft(job, to, data)
    loaded = load_procedure(to)
    (path,) = [one.picture for phase in loaded.procedure.phases for one in phase.steps if one.picture]
    assert (loaded.procedure.level, path.partition("/")[0]) == (LEVEL, loaded.procedure.id)
    assert (to.parent / path).read_bytes() == memos.read(UUID(int=2), PICTURE)
    assert not [found for found in check_file(to) if found.name == "picture-not-usable"]
    to.unlink()
    with pytest.raises(InputError, match="writes over nothing"):
        write_draft(job, to, data)
    assert not to.exists()
