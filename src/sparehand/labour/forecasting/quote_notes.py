"""What an answer leans on, in plain sentences, its weakest points named."""

from __future__ import annotations

from collections.abc import Mapping

from sparehand.ground.near_names import said_to_be_new
from sparehand.labour.evidence.shop_evidence import Evidence
from sparehand.labour.forecasting.forecast import Knowledge
from sparehand.times.sample import Plans

FEWEST_POINTS = 4.0


def notes(
    procedure: str,
    technician: str | None,
    finished: Mapping[str, int],
    known: Knowledge | None,
    plans: Plans,
    evidence: Evidence,
    all_jobs: int,
) -> tuple[str, ...]:
    """The sentences. `finished` counts, for each phase needed, the jobs that timed it to its end.

    `evidence` is that of the procedure, `all_jobs` how many the shop has of any.
    """
    own = evidence.jobs_of(procedure)
    never = [phase for phase, count in finished.items() if not count]
    unplanned = [phase for phase in never if not plans.has(procedure, phase)]
    lines = [_basis(own, all_jobs)]
    if own and len(never) > len(unplanned):
        planned = [phase for phase in never if phase not in unplanned]
        lines.append(f"Never timed to the end, so mostly the plan: {', '.join(planned)}.")
    if unplanned:
        lines.append(f"Neither planned nor timed to the end, so a wide guess: {', '.join(unplanned)}.")
    if known and technician and (new := said_to_be_new(technician, known.fit.layout.technicians)):
        lines.append(new)
    doubtful = round(sum(job.copies for job in evidence.rows if job.procedure == procedure))
    if doubtful:
        lines.append(f"{doubtful} of the jobs {_hold(doubtful)} unfinished or doubtful times, which count for less.")
    if known and known.fit.effective < FEWEST_POINTS:
        lines.append("The times fit the model badly: take the range as rough.")
    return tuple(lines)


def _basis(own: int, everything: int) -> str:
    if not everything:
        return "Nothing has been timed: this repeats the plan, four in five jobs between 0.7 and 2.3 times of it."
    if not own:
        return f"No job of this procedure has been timed: the plan, as {everything} other jobs bear it out."
    return f"{own} job{'s' if own > 1 else ''} of this procedure, and the plan where they are few."


def _hold(count: int) -> str:
    return "hold" if count > 1 else "holds"
