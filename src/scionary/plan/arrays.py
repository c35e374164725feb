"""Columns and tables of a problem: one shape, plain refusals."""

from __future__ import annotations

from typing import Any

import numpy as np
import numpy.typing as npt

from scionary.errors import BadValue
from scionary.units import Float, as_floats, refuse_where


def column(name: str, value: Any, count: int, *, low: float, high: float | None = None, gaps: bool = False) -> Float:
    """Give one number a row.

    Parameters
    ----------
    name : str
        The field, for the message.
    value : array_like
        One number for all rows, or one a row.
    count : int
        How many rows.
    low, high : float
        Allowed range, both ends included; no `high` means any finite number.
    gaps : bool
        Whether NaN may stand for "not given".

    Returns
    -------
    ndarray of float64, shape (count,)
        A copy.

    Raises
    ------
    BadValue
        For another number of rows, or a number outside the range, with its row.
    """
    return _within(name, _spread(name, as_floats(name, value), (count,)), low, high, gaps)


def table(name: str, value: Any, shape: tuple[int | None, ...], *, low: float, high: float | None = None) -> Float:
    """Give a table of numbers.

    Parameters
    ----------
    name : str
        The field, for the message.
    value : array_like
        The table, or what broadcasts to it where the whole shape is known.
    shape : tuple of int or None
        Rows and columns; None for any number of rows.
    low, high : float
        Allowed range, both ends included; no `high` means any finite number.

    Returns
    -------
    ndarray of float64
        A copy of that shape. One row a season is large: such a table cannot be written to, and is shared by all that is made from it.

    Raises
    ------
    BadValue
        For another shape, or a number outside the range, with its place.
    """
    numbers = as_floats(name, value)
    if shape[0] is None:
        if numbers.ndim != 2 or numbers.shape[1] != shape[1] or not len(numbers):
            raise BadValue(name, f"an array of shape {numbers.shape}", f"one row a season (at least one) and {shape[1]} columns")
        shared = numbers if not numbers.flags.writeable else numbers.copy()
        shared.setflags(write=False)
        return _within(name, shared, low, high, gaps=False)
    return _within(name, _spread(name, numbers, tuple(int(side or 0) for side in shape)), low, high, gaps=False)


def indices(name: str, value: Any, count: int, *, least: int | None = None, below: int | None = None) -> npt.NDArray[np.int64]:
    """Give one whole number a row.

    Parameters
    ----------
    name : str
        The field, for the message.
    value : array_like
        One number for all rows, or one a row.
    count : int
        How many rows.
    least : int, optional
        Smallest allowed.
    below : int, optional
        What all must stay below.

    Returns
    -------
    ndarray of int64, shape (count,)
        A copy.

    Raises
    ------
    BadValue
        For another number of rows, for what is no whole number, or outside the range, with its row.
    """
    numbers = _spread(name, as_floats(name, value), (count,))
    low, high = -np.inf if least is None else least, np.inf if below is None else below - 1
    allowed = "a whole number" + ("" if least is None else f", {least} or more") + ("" if below is None else f", below {below}")
    refuse_where(~np.isfinite(numbers) | (numbers != np.round(numbers)) | (numbers < low) | (numbers > high), name, numbers, allowed)
    return numbers.astype(np.int64)


def _spread(name: str, numbers: Float, shape: tuple[int, ...]) -> Float:
    if len(shape) == 1 and numbers.ndim and numbers.shape != shape:
        raise BadValue(name, f"{numbers.size} numbers", f"one number, or {shape[0]}: one a row")
    try:
        return np.array(np.broadcast_to(numbers, shape))
    except ValueError:
        raise BadValue(name, f"an array of shape {numbers.shape}", f"one number, or numbers of shape {shape}") from None


def _within(name: str, numbers: Float, low: float, high: float | None, gaps: bool) -> Float:
    top = np.finfo(np.float64).max if high is None else high
    wrong = (numbers < low) | (numbers > top) | (False if gaps else np.isnan(numbers))
    allowed = f"{low:g} or more" if high is None or np.isinf(high) else f"{low:g} to {high:g}"
    refuse_where(wrong, name, numbers, allowed + (", or not given" if gaps else ""))
    return numbers
