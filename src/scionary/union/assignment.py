"""Linear assignment of a table whose costs change little between neighbours, as costs of thicknesses do."""

from __future__ import annotations

from typing import Any

import numpy as np
import numpy.typing as npt

from scionary.units import Float

_SMALL = 300  # rows below which the plain way is quick enough
_SAMPLED = 100
_SMOOTH = 0.2  # change between neighbours, of the costs' spread, up to which prices from a sample help

Indices = npt.NDArray[np.int64]


def assigned(table: Float, scion_order: Indices, stock_order: Indices) -> tuple[Indices, Indices]:
    """Give each row of a table one column of its own, or each column one row, so that the sum is least.

    Parameters
    ----------
    table : ndarray of shape (n, m)
        Costs, finite.
    scion_order, stock_order : ndarray of int
        Rows and columns in the order of their thickness.

    Returns
    -------
    tuple of ndarray of int
        Rows, ascending, and their columns; min(n, m) of each.

    Notes
    -----
    Shortest augmenting paths (`scipy.optimize.linear_sum_assignment`) take long where many stems cost nearly alike. Taking
    a price for each row and column off the costs changes no optimum of a square table, and with good prices nearly all
    paths are short. The prices are the dual values of a linear programme on every so manieth row and column. However
    poor they are, the result is an optimum.
    """
    from scipy.optimize import linear_sum_assignment

    if max(table.shape) < _SMALL or not _is_smooth(table, scion_order, stock_order):
        rows, columns = linear_sum_assignment(table)
        return rows, columns
    square = _squared(table)
    orders = [np.concatenate([order, np.arange(len(order), len(square))]) for order in (scion_order, stock_order)]
    row_price = _row_prices(square, *orders)
    reduced = square - row_price[:, np.newaxis]
    reduced -= reduced.min(axis=0)
    rows, columns = linear_sum_assignment(reduced)
    real = (rows < table.shape[0]) & (columns < table.shape[1])
    return rows[real], columns[real]


def _squared(table: Float) -> Float:
    """The table with rows or columns of zeros added: whom these get stays alone."""
    rows, columns = table.shape
    size = max(rows, columns)
    return np.pad(table, ((0, size - rows), (0, size - columns))) if rows != columns else table


def _is_smooth(table: Float, row_order: Indices, column_order: Indices) -> bool:
    """Whether neighbours in thickness cost nearly alike, judged by some fifty rows and columns."""
    some_rows, some_columns = row_order[:: max(1, len(row_order) // 50)], column_order[:: max(1, len(column_order) // 50)]
    down, across = table[np.ix_(row_order, some_columns)], table[np.ix_(some_rows, column_order)]
    change = np.mean(np.abs(np.diff(down, axis=0))) + np.mean(np.abs(np.diff(across, axis=1)))
    return bool(change <= _SMOOTH * max(float(np.std(down)), 1e-300))


def _row_prices(square: Float, row_order: Indices, column_order: Indices) -> Float:
    """A price for each row, from the prices of the columns of a sample."""
    at = np.unique(np.linspace(0, len(square) - 1, _SAMPLED).round().astype(int))
    rows, columns = row_order[at], column_order[at]
    prices = _column_prices(square[np.ix_(rows, columns)])
    return np.asarray(np.min(square[:, columns] - prices, axis=1))


def _column_prices(sample: Float) -> Float:
    """Dual values of the columns of an assignment."""
    from scipy.optimize import linprog
    from scipy.sparse import eye_array, kron

    count = len(sample)
    each_row = kron(eye_array(count), np.ones((1, count)), format="csr")
    each_column = kron(np.ones((1, count)), eye_array(count), format="csr")
    limits: dict[str, Any] = {"A_eq": each_row, "b_eq": np.ones(count), "A_ub": each_column, "b_ub": np.ones(count)}
    found = linprog(sample.ravel(), method="highs-ds", **limits)
    return np.zeros(count) if found.status else np.asarray(found.ineqlin.marginals)
