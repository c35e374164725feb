"""Chances of nameless plants against simulated losses, in short; the long form is `benchmarks/finding_calibration.py`."""

from __future__ import annotations

import importlib.util
import sys
from pathlib import Path
from types import ModuleType

import numpy as np
import numpy.typing as npt
import pytest

ROOT = Path(__file__).resolve().parent.parent.parent
ENOUGH, POINTS = 100, 0.07


@pytest.fixture(scope="module")
def calibration() -> ModuleType:
    spec = importlib.util.spec_from_file_location("finding_calibration", ROOT / "benchmarks" / "finding_calibration.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = module
    spec.loader.exec_module(module)
    return module


@pytest.fixture(scope="module")
def rows(calibration: ModuleType) -> npt.NDArray[np.float64]:
    found: npt.NDArray[np.float64] = calibration.told_and_true(40, 150, calibration.SEED)
    return found


@pytest.fixture(scope="module")
def cultivars(calibration: ModuleType) -> npt.NDArray[np.float64]:
    found: npt.NDArray[np.float64] = calibration.cultivars_told(40, 150, calibration.SEED + 1)
    return found


def off(calibration: ModuleType, rows: npt.NDArray[np.float64]) -> list[float]:
    return [abs(told - true) for _, _, number, told, true in calibration.bins(rows) if number >= ENOUGH]


@pytest.mark.slow
def test_a_chance_is_what_it_says(calibration: ModuleType, rows: npt.NDArray[np.float64]) -> None:
    found = off(calibration, rows)
    assert len(found) == 10
    assert max(found) <= POINTS


@pytest.mark.slow
def test_so_is_a_cultivars_where_looks_must_tell(calibration: ModuleType, cultivars: npt.NDArray[np.float64]) -> None:
    found = off(calibration, cultivars)
    assert len(found) == 10
    assert max(found) <= POINTS


@pytest.mark.slow
def test_looks_say_more_than_place_pot_and_height_alone(calibration: ModuleType, cultivars: npt.NDArray[np.float64]) -> None:
    blind = calibration.cultivars_told(40, 150, calibration.SEED + 1, blind=True)
    with_looks, without = (found[found[:, 2] == 1.0][:, 1].mean() for found in (cultivars, blind))
    assert with_looks > without + 0.1


@pytest.mark.slow
def test_none_of_these_is_told_about_as_often_as_it_is_so(rows: npt.NDArray[np.float64]) -> None:
    none = rows[rows[:, 3] == 1.0]
    assert len(none) == 6_000
    assert none[:, 0].mean() == pytest.approx(none[:, 1].mean(), abs=0.03)


@pytest.mark.slow
def test_chances_that_are_too_sure_would_be_found(calibration: ModuleType, rows: npt.NDArray[np.float64]) -> None:
    surer = rows.copy()
    surer[:, 0] = rows[:, 0] ** 0.6
    assert max(off(calibration, surer)) > POINTS
