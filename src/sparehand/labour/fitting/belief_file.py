"""What is believed of the shop, kept in a file beside the log, so that it is not fitted again while nothing changed.

It is a copy of what can always be computed: a file that is missing, damaged, of another version or of other times is
computed anew, and one that cannot be written is done without. People stand in it by their ids in the log.
"""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Callable, Mapping
from contextlib import suppress
from dataclasses import asdict, dataclass
from pathlib import Path
from zipfile import BadZipFile

import numpy as np

from sparehand.labour.fitting.belief import Belief
from sparehand.labour.fitting.effect_layout import ConditionShares
from sparehand.labour.fitting.holds import Delay
from sparehand.labour.fitting.snags import Durations, ShopSnags
from sparehand.labour.fitting.solver import Shared
from sparehand.labour.fitting.time_blocks import TimeBlocks

VERSION = 9
"""Raised whenever the model or its priors change, so that no belief outlives the model that made it."""
_SHARED = ("log_sds", "mean", "covariance")


@dataclass(frozen=True)
class Basis:
    """What a belief was made from: the log, the revision of the tallies in each log, a stamp of the procedure files."""

    log: str
    revisions: tuple[int, ...]
    files: str

    @property
    def text(self) -> str:
        """The basis and the model's version, to be compared whole."""
        return json.dumps([VERSION, asdict(self)])


@dataclass(frozen=True)
class Planned:
    """The plans that a belief took: a digest for each procedure timed, and the one whose plan no installed file has."""

    digests: Mapping[str, str]
    outside: str | None

    def hold_for(self, procedure: str, digest: str) -> bool:
        """Whether a question about `procedure` with a plan of that digest would take the same plans."""
        return self.digests.get(procedure, digest) == digest and self.outside in (None, procedure)


def write_belief(path: Path, basis: Basis, planned: Planned, belief: Belief, id_of: Callable[[str], str]) -> None:
    """Write a belief; `id_of` gives the id of a technician."""
    header = {
        "basis": basis.text,
        "planned": asdict(planned),
        "jobs": belief.jobs,
        "jobs_by": [[id_of(name), count] for name, count in belief.jobs_by.items()],
        "technicians": [id_of(name) for name in belief.technicians],
        "blocks": asdict(belief.blocks),
        "shares": asdict(belief.shares),
        "differences": belief.differences,
        "effective": belief.effective,
        "kinds": belief.snags.kinds,
        "durations": [asdict(each) for each in belief.snags.durations],
        "delay": asdict(belief.delay),
    }
    arrays = {f"{part}_{name}": getattr(getattr(belief, part), name) for part in ("mode", "points") for name in _SHARED}
    arrays |= {"weights": belief.weights, "snag_weights": belief.snags.weights, "kind_shares": belief.snags.kind_shares}
    half = path.with_name(path.name + ".part")
    try:
        with half.open("wb") as file:
            np.savez(file, header=np.frombuffer(json.dumps(header).encode(), dtype=np.uint8), **arrays)
        half.replace(path)
    except OSError:
        with suppress(OSError):
            half.unlink(missing_ok=True)


def read_belief(
    path: Path, basis: Basis, procedure: str, plan_digest: str, name_of: Callable[[str], str]
) -> Belief | None:
    """The belief kept, if it was made from this basis and from the plans that a question about `procedure` takes.

    `name_of` gives the name of an id.
    """
    try:
        with np.load(path, allow_pickle=False) as file:
            header = json.loads(file["header"].tobytes())
            if header["basis"] != basis.text or not Planned(**header["planned"]).hold_for(procedure, plan_digest):
                return None
            mode, points = (Shared(*(file[f"{part}_{name}"] for name in _SHARED)) for part in ("mode", "points"))
            return Belief(
                jobs=header["jobs"],
                jobs_by=Counter({name_of(id): count for id, count in header["jobs_by"]}),
                technicians=tuple(name_of(id) for id in header["technicians"]),
                blocks=TimeBlocks(
                    tuple(header["blocks"]["starts"]), tuple(header["blocks"]["middles"]), header["blocks"]["latest"]
                ),
                shares=ConditionShares(**header["shares"]),
                differences=header["differences"],
                mode=mode,
                points=points,
                weights=file["weights"],
                effective=header["effective"],
                snags=ShopSnags(
                    weights=file["snag_weights"],
                    kinds=tuple(header["kinds"]),
                    kind_shares=file["kind_shares"],
                    durations=tuple(Durations(**each) for each in header["durations"]),
                ),
                delay=Delay(**header["delay"]),
            )
    except (OSError, EOFError, ValueError, KeyError, TypeError, BadZipFile):
        return None
