"""The symbols with the least confusion between them."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
import numpy.typing as npt

from alphabet.reading import Likeness, misread
from alphabet.writing import SYMBOLS

Float = npt.NDArray[np.float64]


class Chosen(NamedTuple):
    """An alphabet, its confusion (the pair errors among its symbols, added up), and a bound that no alphabet goes below."""

    symbols: str
    total: float
    bound: float


def total(errors: Float, symbols: str) -> float:
    """Pair errors among some symbols, added up, both ways round."""
    members = [SYMBOLS.index(symbol) for symbol in symbols]
    return float(errors[np.ix_(members, members)].sum())


def least(errors: Float, size: int, *, seconds: float = 120.0) -> Chosen:
    """The best alphabet of a size, as a mixed-integer programme.

    x says which symbols are in, y_ab whether both of a pair are. y_ab >= x_a + x_b - 1 with the equality sum_b y_ab = (size - 1) x_a,
    which any choice of `size` symbols fulfils, makes the relaxation close enough to end with a proof.
    """
    from scipy import sparse
    from scipy.optimize import Bounds, LinearConstraint, milp

    count = len(errors)
    first, second = np.triu_indices(count, 1)
    pairs = len(first)
    cost = np.concatenate([np.zeros(count), (errors + errors.T)[first, second]])
    row = np.arange(pairs)
    both = sparse.csr_array(
        (np.concatenate([np.ones(pairs), -np.ones(2 * pairs)]), (np.tile(row, 3), np.concatenate([count + row, first, second]))),
        shape=(pairs, count + pairs),
    )
    of_symbol = sparse.csr_array((np.ones(2 * pairs), (np.concatenate([first, second]), np.tile(row, 2))), shape=(count, pairs))
    own = sparse.hstack([-(size - 1) * sparse.eye_array(count), of_symbol])
    number = sparse.csr_array(np.concatenate([np.ones(count), np.zeros(pairs)])[None, :])
    found = milp(
        cost,
        constraints=[LinearConstraint(both, lb=-1.0), LinearConstraint(own, 0.0, 0.0), LinearConstraint(number, size, size)],
        integrality=np.concatenate([np.ones(count), np.zeros(pairs)]),
        bounds=Bounds(0.0, 1.0),
        options={"time_limit": seconds},
    )
    if found.x is None:
        raise SystemExit(f"no alphabet was found: {found.message}")
    symbols = "".join(symbol for symbol, inside in zip(SYMBOLS[:count], found.x[:count], strict=True) if inside > 0.5)
    return Chosen(symbols, total(errors, symbols), float(found.mip_dual_bound))


def fewest_misread(seen: Likeness, start: str) -> str:
    """Exchange one symbol for another as long as the share of misread characters falls; the best exchange first."""
    symbols, share = start, misread(seen, start)
    while True:
        others = [symbol for symbol in SYMBOLS if symbol not in symbols]
        tries = (symbols.replace(out, new) for out in symbols for new in others)
        least_share, best = min((misread(seen, one), one) for one in tries)
        if least_share >= share:
            return "".join(sorted(symbols))
        symbols, share = best, least_share


def forgiven(taken_for: Float, symbols: str, *, share: float) -> dict[str, str]:
    """Each outside character that is nearly always one certain symbol misread: that symbol's share of all misreadings as it."""
    inside = [SYMBOLS.index(symbol) for symbol in symbols]
    answer = {}
    for number, outside in enumerate(SYMBOLS):
        come = taken_for[inside, number]
        if outside not in symbols and come.sum() > 0 and come.max() / come.sum() >= share:
            answer[outside] = symbols[int(np.argmax(come))]
    return answer
