"""All 6,436,343 words of the label code, counted by weight, against the theory of such codes."""

from __future__ import annotations

from math import comb

import numpy as np

from scionary.names.codes import CARRIED, FIELD, LENGTH, fill


def weight_counts() -> list[int]:
    """How many words of the code have so many places that are not zero; every word is made from what `fill` gives for unit words."""
    unit = np.eye(CARRIED, dtype=int).tolist()
    checks = np.array([fill([*word, None, None])[CARRIED:] for word in unit])
    grid = np.stack(np.meshgrid(*[np.arange(FIELD)] * (CARRIED - 1), indexing="ij"), axis=-1).reshape(-1, CARRIED - 1)
    partial, nonzero = grid @ checks[1:], np.count_nonzero(grid, axis=1)
    counts = np.zeros(LENGTH + 1, dtype=int)
    for first in range(FIELD):
        weights = nonzero + (first > 0) + np.count_nonzero((partial + first * checks[0]) % FIELD, axis=1)
        counts += np.bincount(weights, minlength=LENGTH + 1)
    return counts.tolist()


def test_every_word_is_counted_and_the_weights_are_those_of_a_maximum_distance_separable_code() -> None:
    # MacWilliams & Sloane (1977), The Theory of Error-Correcting Codes, ch. 11 par. 3: number of words of each weight in an MDS code;
    # the formula from memory
    distance = LENGTH - CARRIED + 1
    expected = [1] + [0] * (distance - 1)
    for weight in range(distance, LENGTH + 1):
        terms = ((-1) ** j * comb(weight, j) * (FIELD ** (weight - distance + 1 - j) - 1) for j in range(weight - distance + 1))
        expected.append(comb(LENGTH, weight) * sum(terms))
    counts = weight_counts()
    assert counts == expected
    assert sum(counts) == FIELD**CARRIED
    assert counts[:4] == [1, 0, 0, 770]


def test_a_word_made_by_fill_is_linear_in_what_it_carries() -> None:
    # without this, counting from unit words would say nothing of the other words
    rng = np.random.default_rng(3)
    checks = np.array([fill([*word, None, None])[CARRIED:] for word in np.eye(CARRIED, dtype=int).tolist()])
    for carried in rng.integers(0, FIELD, size=(500, CARRIED)):
        assert fill([*carried.tolist(), None, None])[CARRIED:] == (carried @ checks % FIELD).tolist()
