"""Effects are found where the times hold them, and people are never shown on little."""

from __future__ import annotations

from labour.examples import job, procedure
from sparehand.labour.forecasting.effects import effects
from sparehand.times.job_times import JobTimes


def jobs(count: int) -> list[JobTimes]:
    """Heavy corrosion costs 1.5 times, and ben takes 1.3 times as long as ana."""
    made = []
    for number in range(count):
        heavy, ben = number % 3 == 0, number % 2 == 1
        factor = (1.5 if heavy else 1.0) * (1.3 if ben else 1.0) * (1 + 0.05 * (number % 4 - 1.5))
        made.append(
            job(
                number,
                {"access": 20 * factor, "link/left": 30 * factor, "refit": 25 * factor},
                technician="ben" if ben else "ana",
                corrosion="heavy" if heavy else "none",
            )
        )
    return made


def test_heavy_corrosion_is_found_within_its_range() -> None:
    found = {effect.name: effect for effect in effects("front-end", jobs(40), [procedure()]).conditions}
    assert found["heavy corrosion"].low < 1.5 < found["heavy corrosion"].high
    assert found["heavy corrosion"].jobs == 14
    assert "light corrosion" not in found
    assert "on stands" not in found


def test_technicians_only_when_asked_and_in_the_order_of_their_names() -> None:
    assert effects("front-end", jobs(40), [procedure()]).technicians == ()
    people = effects("front-end", jobs(40), [procedure()], technicians=True).technicians
    assert [effect.name for effect in people] == ["ana", "ben"]
    assert people[0].median < 1 < people[1].median


def test_a_technician_with_few_jobs_is_not_shown() -> None:
    assert effects("front-end", jobs(4), [procedure()], technicians=True).technicians == ()


def test_nothing_timed_gives_no_effects() -> None:
    assert effects("front-end", [], [procedure()]).conditions == ()
