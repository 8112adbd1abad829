"""The model's own solver on published variance components (restricted maximum likelihood).

Published: Pinheiro & Bates 2000 (Rail, Machines, ergoStool) and the lme4 documentation (Dyestuff, Dyestuff2,
Penicillin); Dyestuff's sds are from memory and were recomputed.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.stats import norm, t

from outside import published_data as published
from outside.mixed_model import Study, components, grouped
from sparehand.labour.fitting.priors import JOB, PHASE, RESIDUAL, TECHNICIAN

RELATIVE = 2e-5


def test_rail_as_jobs() -> None:
    found = components(grouped(published.RAIL, 3), (JOB, RESIDUAL))
    assert found.fixed[0] == pytest.approx(66.5, rel=RELATIVE)
    assert found.sds[JOB] == pytest.approx(24.80547, rel=RELATIVE)
    assert found.sds[RESIDUAL] == pytest.approx(4.020779, rel=RELATIVE)
    assert -found.criterion / 2 == pytest.approx(-61.0885, abs=1e-4)


def test_rail_as_people_gives_the_same_as_rail_as_jobs() -> None:
    units = []
    for rail, travel in enumerate(np.array(published.RAIL).reshape(6, 3)):
        for value in travel:
            x = np.zeros((1, 7))
            x[0, 0] = x[0, 1 + rail] = 1
            units.append((x, np.array([value])))
    found = components(Study(tuple(units), fixed=1, people=6), (TECHNICIAN, RESIDUAL))
    assert found.sds[TECHNICIAN] == pytest.approx(24.80547, rel=RELATIVE)
    assert found.sds[RESIDUAL] == pytest.approx(4.020779, rel=RELATIVE)


def test_machines_nested() -> None:
    scores = np.array(published.MACHINES).reshape(6, 3, 3)
    units = []
    for worker, machine in np.ndindex(6, 3):
        x = np.zeros((3, 9))
        x[:, machine] = x[:, 3 + worker] = 1
        units.append((x, scores[worker, machine]))
    found = components(Study(tuple(units), fixed=3, people=6), (TECHNICIAN, JOB, RESIDUAL))
    assert found.sds[TECHNICIAN] == pytest.approx(4.78105, rel=RELATIVE)
    assert found.sds[JOB] == pytest.approx(3.729532, rel=RELATIVE)
    assert found.sds[RESIDUAL] == pytest.approx(0.961577, rel=RELATIVE)
    assert -found.criterion / 2 == pytest.approx(-107.8438, abs=1e-4)


def test_ergo_stool_with_fixed_types() -> None:
    efforts = np.array(published.ERGO_STOOL).reshape(9, 4)
    found = components(Study(tuple((np.eye(4), row) for row in efforts), fixed=4), (JOB, RESIDUAL))
    assert found.sds[JOB] == pytest.approx(1.332465, rel=RELATIVE)
    assert found.sds[RESIDUAL] == pytest.approx(1.100295, rel=RELATIVE)


def test_dyestuff() -> None:
    found = components(grouped(published.DYESTUFF, 5), (JOB, RESIDUAL))
    assert found.fixed[0] == pytest.approx(1527.5, rel=RELATIVE)
    assert found.sds[JOB] == pytest.approx(42.0006, rel=RELATIVE)
    assert found.sds[RESIDUAL] == pytest.approx(49.5101, rel=RELATIVE)
    assert found.criterion == pytest.approx(319.65428, abs=1e-4)


def test_dyestuff_2_lies_on_the_boundary() -> None:
    found = components(grouped(published.DYESTUFF_2, 5), (JOB, RESIDUAL))
    assert found.sds[JOB] < 0.01
    assert found.sds[RESIDUAL] == pytest.approx(3.71568, rel=RELATIVE)


def test_penicillin_crossed() -> None:
    diameters = np.array(published.PENICILLIN).reshape(24, 6)
    units = []
    for plate, sample in np.ndindex(24, 6):
        x = np.zeros((1, 31))
        x[0, 0] = x[0, 1 + plate] = x[0, 25 + sample] = 1
        units.append((x, diameters[plate, sample : sample + 1]))
    found = components(Study(tuple(units), fixed=1, people=24, phases=6), (TECHNICIAN, PHASE, RESIDUAL))
    assert found.sds[TECHNICIAN] == pytest.approx(0.846704, rel=RELATIVE)
    assert found.sds[PHASE] == pytest.approx(1.931558, rel=RELATIVE)
    assert found.sds[RESIDUAL] == pytest.approx(0.549923, rel=RELATIVE)
    assert found.criterion == pytest.approx(330.86059, abs=1e-4)


def test_prediction_of_a_new_rail_needs_satterthwaites_t() -> None:
    """Variance 734.928 on 5.1495 degrees of freedom: -2.583 to 135.583; the normal plug-in is narrower (recomputed)."""
    found = components(grouped(published.RAIL, 3), (JOB, RESIDUAL))
    rows = np.array(published.RAIL).reshape(6, 3)
    among, within = 3 * rows.mean(axis=1).var(ddof=1), rows.var(axis=1, ddof=1).mean()
    variance = float(found.fixed_variance[0]) + found.sds[JOB] ** 2 + found.sds[RESIDUAL] ** 2
    parts = ((7 / 18 * among, 5), (2 / 3 * within, 12))
    degrees = sum(part for part, _ in parts) ** 2 / sum(part**2 / count for part, count in parts)
    assert variance == pytest.approx(734.928, rel=1e-4)
    assert degrees == pytest.approx(5.1495, rel=1e-4)
    reach = t.ppf(0.975, degrees) * math.sqrt(variance)
    assert (66.5 - reach, 66.5 + reach) == pytest.approx((-2.583, 135.583), abs=0.01)
    plain = norm.ppf(0.975) * math.sqrt(found.sds[JOB] ** 2 + found.sds[RESIDUAL] ** 2)
    assert (66.5 - plain, 66.5 + plain) == pytest.approx((17.248, 115.752), abs=0.01)
