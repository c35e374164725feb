"""Records of grafts, brought down to the cells that a model needs.

A cell is one combination of levels (this cultivar, on this lot, in this season ...) and of binned covariates: all grafts in it have
the same chance, so their number and the number that took say all that they can say.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
import numpy.typing as npt

from scionary.errors import BadValue
from scionary.units import Float, as_floats

Codes = npt.NDArray[np.int64]
NOT_RECORDED = -1

_BINS = 12
_MOST_LEVELS = 100_000  # of bare codes; a code far above the number of levels is a slip, and each level takes memory
_MOST_GRAFTS = 10**9  # in one cell; above this a mode cannot be found within rounding
_MOST_MEASURED = 1e100  # squares of more would overflow
_MOST_TABLE = 1 << 24  # combinations that are counted in a table; above this they are sorted


@dataclass(frozen=True)
class TakeRecords:
    """What was grafted and what took, a row a graft or a row a count.

    Attributes
    ----------
    takes : array_like of int, shape (rows,)
        How many took in each row, 0 to `grafts`.
    grafts : array_like of int, shape (rows,), optional
        How many grafts the row stands for; 1 each where it is left out.
    factors : mapping of str to array_like, shape (rows,)
        A level for each row: names, or whole numbers from 0 as codes. An empty name, None, NaN or -1 means: not recorded.
    covariates : mapping of str to array_like of float, shape (rows,)
        Measured numbers in any unit; NaN means: not measured.
    levels : mapping of str to sequence of str
        Names of coded levels, by factor; code i is named by item i.
    """

    takes: Any
    grafts: Any = None
    factors: Mapping[str, Any] = field(default_factory=dict)
    covariates: Mapping[str, Any] = field(default_factory=dict)
    levels: Mapping[str, Sequence[str]] = field(default_factory=dict)


@dataclass(frozen=True)
class Covariate:
    """How a covariate was brought to a common scale: (value - centre) / spread; how many grafts had none.

    Attributes
    ----------
    centre, spread : float
        Mean and standard deviation over the grafts measured, in the unit as given; spread is 1 where all were alike.
    measured, missing : int
        Numbers of grafts with and without a measurement; those without stand at the centre.
    """

    centre: float = 0.0
    spread: float = 1.0
    measured: int = 0
    missing: int = 0


@dataclass(frozen=True)
class TakeCells:
    """Cells of grafts that share a chance.

    Attributes
    ----------
    grafts, takes : ndarray of int, shape (cells,)
        Numbers in each cell.
    factors : dict of str to ndarray of int, shape (cells,)
        Code of the cell's level in each factor; -1 means: not recorded.
    covariates : dict of str to ndarray of float, shape (cells,)
        As the model uses them: standardised, 0 at the mean of the records.
    levels : dict of str to tuple of str
        Names of the levels, by factor.
    scales : dict of str to Covariate
        How each covariate was standardised.
    """

    grafts: Codes
    takes: Codes
    factors: dict[str, Codes]
    covariates: dict[str, Float] = field(default_factory=dict)
    levels: dict[str, tuple[str, ...]] = field(default_factory=dict)
    scales: dict[str, Covariate] = field(default_factory=dict)

    def __post_init__(self) -> None:
        """Refuse what cannot be: wrong lengths, counts, codes or names."""
        _check_counts(_whole("grafts", self.grafts), _whole("takes", self.takes))
        for name, measured in self.covariates.items():
            if name == "intercept" or name in self.factors:
                raise BadValue("covariates", name, "a name that no factor has, and not intercept")
            _check_measured(name, measured)
        for name, column in {**self.factors, **self.covariates}.items():
            if np.shape(column) != np.shape(self.grafts):
                raise BadValue(name, f"an array of shape {np.shape(column)}", f"the shape of grafts, {np.shape(self.grafts)}")
        for name, codes in self.factors.items():
            _check_codes(name, codes, len(self.levels[name]) if name in self.levels else None)

    def __len__(self) -> int:
        return len(self.grafts)

    def level_names(self, factor: str) -> tuple[str, ...]:
        """Give the names of a factor's levels; bare numbers where they have none.

        Parameters
        ----------
        factor : str
            A factor of these cells.

        Returns
        -------
        tuple of str
            One name a code.

        Raises
        ------
        BadValue
            When there is no such factor.
        """
        if factor not in self.factors:
            raise BadValue("factor", factor, ", ".join(self.factors) or "none: these cells have no factors")
        if factor in self.levels:
            return self.levels[factor]
        return tuple(str(code) for code in range(int(self.factors[factor].max(initial=-1)) + 1))


def aggregate_records(records: TakeRecords, *, bins: int = _BINS) -> TakeCells:
    """Bring records down to unique cells.

    Parameters
    ----------
    records : TakeRecords
        A row a graft, or a row a count.
    bins : int
        A covariate with more different values than this is cut into so many bins of about equal numbers of grafts, each with the
        mean of its grafts.

    Returns
    -------
    TakeCells
        Cells in a fixed order; rows with no grafts are left out, their levels are kept.

    Raises
    ------
    BadValue
        Naming the column, the row (counted from 0) and what is allowed.
    """
    takes = _whole("takes", records.takes)
    grafts = np.ones_like(takes) if records.grafts is None else _whole("grafts", records.grafts)
    _check_counts(grafts, takes)
    coded = {name: _coded(name, column, records.levels.get(name), takes.shape) for name, column in records.factors.items()}
    binned = {name: _binned(name, column, grafts, bins) for name, column in records.covariates.items()}
    columns = [codes for codes, _ in coded.values()] + [places for places, _, _ in binned.values()]
    first, totals, successes = _unique_cells(columns, grafts, takes)
    return TakeCells(
        grafts=totals,
        takes=successes,
        factors={name: codes[first].astype(np.int64) for name, (codes, _) in coded.items()},
        covariates={name: middles[places[first]] for name, (places, middles, _) in binned.items()},
        levels={name: names for name, (_, names) in coded.items()},
        scales={name: scale for name, (_, _, scale) in binned.items()},
    )


def _whole(name: str, column: Any) -> Codes:
    raw = np.asarray(column)
    if raw.ndim != 1:
        raise BadValue(name, f"an array of {raw.ndim} dimensions", "one number a row")
    if raw.dtype.kind in "iub":
        return raw.astype(np.int64, copy=False)
    numbers = _numbers(name, raw)
    broken = ~((np.floor(numbers) == numbers) & (np.abs(numbers) < 2.0**63))
    if np.any(broken):
        row = int(np.flatnonzero(broken)[0])
        raise BadValue(name, float(numbers[row]), "whole numbers; leave out grafts whose outcome is not known", index=row)
    return numbers.astype(np.int64)


def _numbers(name: str, raw: npt.NDArray[Any]) -> Float:
    """The column as floats; where it cannot be, the row that is no number is named."""
    try:
        return as_floats(name, raw)
    except BadValue:
        for row, value in enumerate(raw.tolist()):
            try:
                float(value)
            except (TypeError, ValueError) as error:
                raise BadValue(name, value, "numbers", index=row) from error
        raise


def _check_measured(name: str, values: Any) -> None:
    column = as_floats(name, values)
    if not np.all(np.isfinite(column)):
        row = int(np.flatnonzero(~np.isfinite(column))[0])
        raise BadValue(name, float(column[row]), "a finite number; 0 for a cell without a measurement", index=row)


def _check_counts(grafts: Codes, takes: Codes) -> None:
    if np.shape(grafts) != np.shape(takes):
        raise BadValue("grafts", f"{np.size(grafts)} numbers", f"as many as takes, {np.size(takes)}")
    for name, numbers, wrong, allowed in (
        ("grafts", grafts, grafts < 0, "0 or more"),
        ("grafts", grafts, grafts > _MOST_GRAFTS, f"at most {_MOST_GRAFTS:,}"),
        ("takes", takes, takes < 0, "0 or more"),
        ("takes", takes, takes > grafts, "at most the row's grafts"),
    ):
        if np.any(wrong):
            row = int(np.flatnonzero(wrong)[0])
            raise BadValue(name, int(numbers[row]), allowed, index=row)


def _check_codes(name: str, codes: Codes, levels: int | None) -> None:
    if codes.dtype.kind not in "iu":
        raise BadValue(name, f"codes of type {codes.dtype}", "whole numbers")
    wrong = (codes < NOT_RECORDED) if levels is None else (codes < NOT_RECORDED) | (codes >= levels)
    if np.any(wrong):
        row = int(np.flatnonzero(wrong)[0])
        top = "" if levels is None else f" to {levels - 1}"
        raise BadValue(name, int(codes[row]), f"a level's code, 0{top or ' or more'}, or -1 for not recorded", index=row)


def _coded(name: str, column: Any, names: Sequence[str] | None, shape: tuple[int, ...]) -> tuple[Codes, tuple[str, ...]]:
    """Codes and names of levels; names are sorted, so that the order of rows does not matter."""
    raw = np.asarray(column)
    if raw.shape != shape:
        raise BadValue(name, f"{raw.size} levels", f"one a row, {shape[0]}")
    if raw.dtype.kind in "iu":
        codes = raw.astype(np.int64, copy=False)
        _check_codes(name, codes, len(names) if names is not None else _MOST_LEVELS)
        return codes, _different(name, names) if names is not None else tuple(str(i) for i in range(int(codes.max(initial=-1)) + 1))
    texts = [_level_text(level) for level in raw.tolist()]
    known = _different(name, names) if names is not None else tuple(sorted(set(texts) - {""}))
    code = {level: i for i, level in enumerate(known)}
    unknown = next((row for row, level in enumerate(texts) if level and level not in code), None)
    if unknown is not None:
        raise BadValue(name, texts[unknown], "one of the levels named", index=unknown)
    return np.array([code.get(level, NOT_RECORDED) for level in texts], dtype=np.int64), known


def _level_text(level: Any) -> str:
    if level is None or level != level:
        return ""
    return str(int(level)) if isinstance(level, float) and level.is_integer() else str(level)


def _different(name: str, names: Sequence[str]) -> tuple[str, ...]:
    seen: set[str] = set()
    for place, level in enumerate(names):
        if level in seen:
            raise BadValue(f"levels of {name}", level, "names that differ", index=place)
        seen.add(level)
    return tuple(names)


def _binned(name: str, column: Any, grafts: Codes, bins: int) -> tuple[Codes, Float, Covariate]:
    """Each row's bin, the bins' standardised means, and the scale; the last bin is of those not measured."""
    values = _numbers(name, np.asarray(column))
    if values.shape != grafts.shape:
        raise BadValue(name, f"{values.size} numbers", f"one a row, {grafts.size}")
    if np.any(np.abs(values) > _MOST_MEASURED):
        row = int(np.flatnonzero(np.abs(values) > _MOST_MEASURED)[0])
        raise BadValue(name, float(values[row]), "a measured number; leave out what is not known", index=row)
    if bins < 1:
        raise BadValue("bins", bins, "1 or more")
    there = ~np.isnan(values)
    weight = grafts * there
    total = int(weight.sum())
    if total == 0:
        return np.zeros(values.shape, dtype=np.int64), np.zeros(1), Covariate(missing=int(grafts.sum()))
    centre = float(np.sum(weight * np.where(there, values, 0.0)) / total)
    spread = float(np.sqrt(np.sum(weight * np.where(there, values - centre, 0.0) ** 2) / total)) or 1.0
    different = np.unique(values[there])
    if len(different) > bins:
        edges = np.unique(np.quantile(values[there], np.linspace(0, 1, bins + 1)[1:-1]))
        places = np.where(there, np.searchsorted(edges, np.where(there, values, 0.0), side="left"), len(edges) + 1)
        size = len(edges) + 2
        rows = np.bincount(places, weights=there, minlength=size)
        sums = np.bincount(places, weights=np.where(there, values, 0.0), minlength=size)
        middles = np.where(rows > 0, sums / np.maximum(rows, 1), centre)
    else:
        places = np.where(there, np.searchsorted(different, np.where(there, values, different[0])), len(different))
        middles = np.append(different, centre)
    return places, (middles - centre) / spread, Covariate(centre, spread, total, int(grafts.sum()) - total)


def _unique_cells(columns: list[Codes], grafts: Codes, takes: Codes) -> tuple[Codes, Codes, Codes]:
    """A row of each cell, with the cell's grafts and takes; by counting in a table where it is small enough, else by sorting."""
    key, size = np.zeros(len(grafts), dtype=np.int64), 1
    for column in columns:
        key, size = _joined(key, size, column)
    if size <= max(_MOST_TABLE, 4 * len(key)):
        totals = np.bincount(key, weights=grafts, minlength=size)
        used = np.flatnonzero(totals)
        first = np.zeros(size, dtype=np.int64)
        first[key] = np.arange(len(key))
        successes = np.bincount(key, weights=takes, minlength=size)
        return first[used], totals[used].astype(np.int64), successes[used].astype(np.int64)
    order = np.argsort(key, kind="stable")
    starts = np.flatnonzero(np.diff(key[order], prepend=-1))
    totals, successes = np.add.reduceat(grafts[order], starts), np.add.reduceat(takes[order], starts)
    there = totals > 0
    return order[starts][there], totals[there], successes[there]


def _joined(key: Codes, size: int, column: Codes) -> tuple[Codes, int]:
    """One number for both; numbers are packed again before they would overflow."""
    levels = int(column.max(initial=0)) + 2
    if size > (1 << 62) // levels:
        different, key = np.unique(key, return_inverse=True)
        size = len(different)
    return key * levels + (column + 1), size * levels
