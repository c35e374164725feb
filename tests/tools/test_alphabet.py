"""The measured alphabet: what is stored holds together, and the measuring itself tells likes from unlikes."""

from __future__ import annotations

import json
from pathlib import Path

import matplotlib
import numpy as np
import pytest
from alphabet.__main__ import RESULT, SHARE, SIZE, gain
from alphabet.choosing import fewest_misread, forgiven, least, total
from alphabet.reading import Likeness, looked_at, misread, pair_errors
from alphabet.writing import SYMBOLS, found, written

from scionary.names import ALPHABET
from scionary.names.codes import FIELD
from scionary.names.reading import LOOK_ALIKES

STORED = json.loads(RESULT.read_text(encoding="utf-8"))


def stored(name: str) -> np.ndarray:
    return np.array([[float(value) for value in row.split()] for row in STORED[name]])


def test_the_alphabet_in_use_is_the_one_that_was_measured() -> None:
    assert STORED["alphabets"]["in use"] == ALPHABET
    assert len(ALPHABET) == SIZE == FIELD
    for name, symbols in STORED["alphabets"].items():
        assert total(stored("pair_errors"), symbols) == pytest.approx(STORED["confusion"][name], abs=0.05)


def test_the_alphabet_stays_because_less_than_a_tenth_would_be_gained_on_other_typefaces() -> None:
    judged = STORED["chosen by half of the typefaces"]
    assert gain(judged) == STORED["fewer misread by the other half"] < 0.10


def test_look_alikes_follow_from_the_measurement() -> None:
    assert forgiven(stored("taken_for"), ALPHABET, share=SHARE) == LOOK_ALIKES


def test_no_exchange_makes_the_stored_best_better() -> None:
    errors, best = stored("pair_errors"), STORED["alphabets"]["least confusion"]
    for out in best:
        for new in set(SYMBOLS) - set(best):
            assert total(errors, best.replace(out, new)) >= total(errors, best) - 0.05
    assert STORED["bound"] == pytest.approx(STORED["confusion"]["least confusion"], abs=0.001)


def test_the_exact_search_finds_what_trying_all_finds() -> None:
    from itertools import combinations

    errors = np.random.default_rng(2).random((10, 10))
    np.fill_diagonal(errors, 0.0)
    best = min(combinations(SYMBOLS[:10], 4), key=lambda some: total(errors, "".join(some)))
    chosen = least(errors, 4)
    assert chosen.symbols == "".join(best)
    assert chosen.bound == pytest.approx(chosen.total)


def test_exchanges_drop_a_symbol_that_is_always_misread() -> None:
    truth = np.repeat(np.arange(36), 4)
    closeness = np.eye(36)[truth]
    closeness[truth == SYMBOLS.index("O"), SYMBOLS.index("0")] = 2.0
    seen = Likeness(closeness, truth, np.zeros(len(truth), dtype=int))
    assert misread(seen, "0OX") == pytest.approx(1 / 3)
    assert not {"0", "O"} <= set(fewest_misread(seen, "0OX"))


def test_a_zero_is_taken_for_an_o_and_not_for_an_x() -> None:
    fonts = Path(matplotlib.get_data_path()) / "fonts" / "ttf"
    hands = [written(fonts / name) for name in ("DejaVuSans.ttf", "DejaVuSansMono.ttf", "DejaVuSans-Bold.ttf", "STIXGeneral.ttf")]
    errors = pair_errors(looked_at(hands, 6, seed=1))
    zero, letter, cross = (SYMBOLS.index(symbol) for symbol in "0OX")
    assert errors[zero, letter] > errors[zero, cross] + 0.1
    assert np.all(np.diag(errors) == 0.0)


def test_a_missing_typeface_ends_the_run_with_its_package(tmp_path: Path) -> None:
    with pytest.raises(SystemExit, match="fonts-bwht"):
        found(tmp_path)
