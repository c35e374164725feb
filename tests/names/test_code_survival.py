"""The table of codes that lost three or four characters, in short."""

from __future__ import annotations

import importlib.util
from pathlib import Path
from types import ModuleType

import numpy as np
import pytest

from scionary.names import CodeStatus, code_of, read_code

ROOT = Path(__file__).resolve().parent.parent.parent


@pytest.fixture(scope="module")
def survival() -> ModuleType:
    spec = importlib.util.spec_from_file_location("code_survival", ROOT / "benchmarks" / "code_survival.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.mark.parametrize(("lost", "tolerance"), [(3, 0.002), (4, 0.006)])
def test_random_sets_keep_as_many_codes_unique_as_the_formula_says(survival: ModuleType, lost: int, tolerance: float) -> None:
    shares = [survival.unique_share(survival.symbols_of(survival.random_set(2_000, seed)), lost) for seed in range(3)]
    assert np.mean(shares) == pytest.approx(survival.expected_share(2_000, lost), abs=tolerance)


def test_consecutive_numbers_stay_apart_better_than_random_ones(survival: ModuleType) -> None:
    assert survival.unique_share(survival.symbols_of(range(2_000)), 4) > survival.expected_share(2_000, 4) + 0.01


def test_what_the_table_counts_as_unique_is_read_as_one_candidate(survival: ModuleType) -> None:
    numbers = survival.random_set(300, 9).tolist()
    written = ["????" + code_of(number)[4:] for number in numbers]
    readings = [read_code(text, set(numbers)) for text in written]
    assert {reading.status for reading in readings} == {CodeStatus.SUSPECT}
    by_reading = sum(len(reading.candidates) == 1 for reading in readings)
    stems = [text[4:] for text in written]
    assert by_reading == sum(stems.count(stem) == 1 for stem in stems)
