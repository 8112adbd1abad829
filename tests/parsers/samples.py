"""Every parser of what comes from outside, with a sound sample of its input; a sample is bytes, whatever it holds."""

from __future__ import annotations

import functools
import json
import tempfile
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

import numpy as np

from ground.pictured import as_file, drawn
from log.demo import MORNING, closing, long_job, recorded
from sparehand.ground.bounds import read_json
from sparehand.ground.errors import SparehandError
from sparehand.ground.picture_cleaning import clean_picture
from sparehand.ground.places import bundled
from sparehand.log.archive import backup, restore
from sparehand.log.jsonl import export_log, import_log
from sparehand.log.marks import Mark, Marks
from sparehand.log.rescue import rescue
from sparehand.log.sqlite import SqliteEventStore
from sparehand.log.times_csv import import_times
from sparehand.log.wire import from_wire, to_wire
from sparehand.page.page_address import parse_address
from sparehand.procedures.check import check_procedure
from sparehand.procedures.earlier_names import FILE as RENAMES_FILE, renames
from sparehand.procedures.load import load_procedure
from sparehand.procedures.quantities import read_torque
from sparehand.settings import SETTINGS_FILE, load_settings, write_default
from sparehand.sharing.database_address import read_address
from sparehand.sharing.sync_state import FOLDER, SyncStates, new_sync_state
from sparehand.shop.technicians import read_technicians
from sparehand.shop.wrench_list import WRENCHES_FILE, load_wrenches
from sparehand.visit.day_plan import load_plan
from sparehand.visit.rates import load_rates
from sparehand.voice.phrases.phrase_file import BUNDLED_PHRASES, load_phrases
from sparehand.voice.sound.wav import as_wav, from_wav

JOB = "261125-k7qm"
PLAN = b"""format = 1
at = 2026-11-30T08:00:00+01:00
technicians = ["Ada Brook", "Ben Field"]
bays = ["lift", "yard"]

[[open]]
from = 2026-11-30T08:00:00+01:00
until = 2026-11-30T17:00:00+01:00

[[job]]
name = "estate"
work = "brake-discs-epb:brake-pads"
sides = ["left"]
promised = 2026-11-30T12:00:00+01:00
"""
WRENCHES = b"""[[wrench]]
name = "small"
range_low = "5 N*m"
range_high = "25 N*m"
calibration_due = 2027-03-01
"""
RATES = b"""format = 1
currency = "EUR"

[labour]
customer = 92.00
warranty = 78.50
goodwill = 46.00
internal = 0
training = 0

[parts]
pads = 58.00
"""


@dataclass(frozen=True)
class Parser:
    """What reads a file (or the text in it), and a sample that it may take or refuse in one line."""

    sample: Callable[[], bytes]
    reads: Callable[[Path], object]
    refuses: type[Exception] = SparehandError


@functools.cache
def _made(what: str) -> bytes:
    """A file that the program itself writes."""
    with tempfile.TemporaryDirectory() as scratch:
        folder = Path(scratch)
        store = SqliteEventStore(folder / "log.sqlite")
        store.append(JOB, 0, (*long_job(JOB, 6), *recorded(JOB, 6, closing())))
        export_log(store, folder / "log.jsonl")
        backup(folder, folder / "bench.zip", MORNING)
        store.close()
        SyncStates(folder).write("shop", new_sync_state())
        Marks(folder / "marks").write(JOB, Mark(5, bytes(32)))
        Marks(folder / "marks").intend({JOB: Mark(5, bytes(32))})
        write_default(folder)
        return (folder / what).read_bytes()


def _fresh(path: Path) -> SqliteEventStore:
    return SqliteEventStore(path.with_suffix(".sqlite"))


def _text(path: Path) -> str:
    return path.read_bytes().decode("utf-8", "replace")


def _in_its_place(path: Path, name: str) -> Path:
    """The folder in which the file has the name that its reader looks for."""
    place = path.parent / "placed" / name
    place.parent.mkdir(parents=True, exist_ok=True)
    place.write_bytes(path.read_bytes())
    return path.parent / "placed"


def _plan(path: Path) -> object:
    return load_plan(path, datetime(2026, 11, 30, 12, 0, tzinfo=UTC))


def _damaged_log(path: Path) -> object:
    """A log that is opened, and rescued whatever came of it."""
    rescue(path, path.with_name("rescued.sqlite"))
    store = SqliteEventStore(path)
    try:
        return [store.events(header.id) for header in store.jobs()], store.times.imported()
    finally:
        store.close()


def _intended(path: Path) -> object:
    return Marks(_in_its_place(path, "intended.json")).intended()


PARSERS: dict[str, Parser] = {
    "times (CSV)": Parser(
        lambda: (bundled("procedures") / "engine-mounts.times.csv").read_bytes()[:2_000],
        lambda path: import_times(path, _fresh(path), skip_bad=True),
    ),
    "exported log (JSON lines)": Parser(lambda: _made("log.jsonl"), lambda path: import_log(path, _fresh(path))),
    "backup (ZIP)": Parser(lambda: _made("bench.zip"), lambda path: restore(path, path.parent / "there")),
    "log (SQLite)": Parser(lambda: _made("log.sqlite"), _damaged_log),
    "event": Parser(
        lambda: to_wire(long_job(JOB, 1)[0], str).encode(), lambda path: from_wire(_text(path), str).event.kind
    ),
    "procedure (YAML)": Parser(
        lambda: (bundled("procedures") / "wheel-bearing-press.yaml").read_bytes(),
        lambda path: check_procedure(load_procedure(path)),
    ),
    "settings": Parser(lambda: _made(SETTINGS_FILE), lambda path: load_settings(_in_its_place(path, SETTINGS_FILE))),
    "rates": Parser(lambda: RATES, load_rates),
    "plan of a day": Parser(lambda: PLAN, _plan),
    "wrenches": Parser(lambda: WRENCHES, lambda path: load_wrenches(_in_its_place(path, WRENCHES_FILE))),
    "phrases": Parser(BUNDLED_PHRASES.read_bytes, lambda path: load_phrases(file=path)),
    "earlier names": Parser(
        lambda: json.dumps({"engine-mounts": {"strip": "dismantle"}}).encode(),
        lambda path: renames(_in_its_place(path, RENAMES_FILE)),
    ),
    "what was shared": Parser(
        lambda: _made(f"{FOLDER}/standing.json"),
        lambda path: SyncStates(_in_its_place(path, f"{FOLDER}/standing.json")).of("shop"),
    ),
    "marks": Parser(
        lambda: _made(f"marks/{JOB}.mark"), lambda path: Marks(_in_its_place(path, f"{JOB}.mark")).read_all()
    ),
    "marks intended": Parser(lambda: _made("marks/intended.json"), _intended),
    "sound (WAV)": Parser(lambda: as_wav(np.zeros(800, dtype=np.float32)), lambda path: from_wav(path.read_bytes())),
    **{
        f"picture ({kind})": Parser(
            lambda kind=kind: as_file(drawn(), kind),  # type: ignore[misc]
            lambda path: clean_picture(path.read_bytes()),
        )
        for kind in ("JPEG", "PNG", "WEBP")
    },
    "torque": Parser(lambda: b"120 N*m", lambda path: read_torque(_text(path)), ValueError),
    "technicians": Parser(lambda: b"Ada Brook: ada, Ben Field: ben", lambda path: read_technicians(_text(path))),
    "address of a database": Parser(
        lambda: b"postgresql://bay3@db.example/shop?sslmode=require", lambda path: read_address(_text(path))
    ),
    "JSON": Parser(lambda: b'{"a":[1,2.5,"x",{"b":null}]}', lambda path: read_json(_text(path)), ValueError),
    "address of the page": Parser(lambda: b"127.0.0.1:8080", lambda path: parse_address(_text(path))),
}
