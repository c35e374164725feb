"""The plants of a book as columns of small whole numbers, made once, so that a million are searched in a moment."""

from __future__ import annotations

import unicodedata
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from enum import IntEnum
from typing import Any

import numpy as np
import numpy.typing as npt

from scionary.errors import BadValue
from scionary.language import say
from scionary.names.codes import LENGTH, symbols_of_numbers

Float = npt.NDArray[np.float64]
Codes = npt.NDArray[np.intp]

HEIGHT_STEP = 0.05
"""Heights are told apart in steps of this natural logarithm, about 5 %."""
NO_SYMBOL = 255


class Standing(IntEnum):
    """What the book knows of where a plant is, for how likely it is to be the nameless one."""

    EXPECTED = 0  # alive as far as known
    MISSING = 1  # recorded as missing
    ACCOUNTED = 2  # seen with its own label since the nameless one turned up
    GONE = 3  # recorded as lost, sold or given away


@dataclass(frozen=True)
class Column:
    """One field of all plants.

    Attributes
    ----------
    codes : ndarray of intp, shape (n,)
        Each plant's value as a position in `values`; ``len(values)`` where the book does not say.
    values : tuple
        The different values.
    counts : ndarray, shape (len(values),)
        How many plants have each.
    """

    codes: Codes
    values: tuple[Any, ...]
    counts: Float

    @property
    def shares(self) -> Float:
        """Share of each value among the plants of which it is known."""
        return np.asarray(self.counts / max(float(self.counts.sum()), 1.0))

    def position(self, value: Any) -> int:
        """Give where a value stands.

        Parameters
        ----------
        value : object
            Any value.

        Returns
        -------
        int
            Its position; ``len(values)`` when no plant has it.
        """
        return self.values.index(value) if value in self.values else len(self.values)


@dataclass(frozen=True)
class TraitTable:
    """What a cultivar's leaf looks like, as far as a person can say.

    Attributes
    ----------
    values : tuple of str
        What may be seen, such as ("red", "green", "variegated").
    chances : ndarray, shape (cultivars, len(values))
        Chance that a person says each of a plant of the cultivar; rows add up to 1, or are NaN where nothing is known.
    """

    values: tuple[str, ...]
    chances: Float


@dataclass(frozen=True)
class PlantIndex:
    """All plants of a book, coded.

    Attributes
    ----------
    symbols : ndarray of uint8, shape (7, n)
        The codes on the labels; 255 where a plant has none.
    standing : ndarray of intp, shape (n,)
        Values of `Standing`.
    columns : mapping of str to Column
        ``cultivar``, ``stands``, ``pot_kind``, ``grafter`` (text), ``grafted_on`` (days as ordinals), ``height_mm`` (logarithms, in steps).
    letters : ndarray of uint8, shape (cultivars, longest name)
        The cultivars' names in plain small letters, 0 behind their ends.
    traits : mapping of str to TraitTable
        By name of the trait; rows in the order of the cultivars in `columns`.
    """

    symbols: npt.NDArray[np.uint8]
    standing: Codes
    columns: Mapping[str, Column]
    letters: npt.NDArray[np.uint8]
    traits: Mapping[str, TraitTable]

    def __len__(self) -> int:
        return len(self.standing)


def index_plants(
    *,
    cultivar: Sequence[str | None],
    number: Sequence[int | None] | None = None,
    stands: Sequence[str | None] | None = None,
    pot_kind: Sequence[str | None] | None = None,
    grafter: Sequence[str | None] | None = None,
    grafted_on: Sequence[date | int | None] | None = None,
    height_mm: Sequence[float | None] | None = None,
    standing: Sequence[Standing | int] | None = None,
    traits: Mapping[str, Mapping[str, Mapping[str, float]]] | None = None,
) -> PlantIndex:
    """Code the plants of a book, each argument one value a plant, None (or NaN) where the book does not say.

    Parameters
    ----------
    cultivar : sequence of str or None
        Name of the cultivar.
    number : sequence of int or None, optional
        The number that the code carries.
    stands, pot_kind, grafter : sequence of str or None, optional
        Where it stands, in what, and who grafted it.
    grafted_on : sequence of date, of int (proleptic ordinal) or None, optional
        Day of grafting.
    height_mm : sequence of float or None, optional
        Last height measured, in mm; above 0.
    standing : sequence of Standing, optional
        EXPECTED for all when left out.
    traits : mapping, optional
        Trait to cultivar to value to chance, such as ``{"leaf colour": {"Red Tarn": {"red": 0.9, "green": 0.1}}}``.

    Returns
    -------
    PlantIndex
        In the order given; candidates name plants by their position.

    Raises
    ------
    BadValue
        When the lengths differ, a number or height is out of range, or chances of a trait do not add up to 1.
    """
    size = len(cultivar)
    given = {"number": number, "stands": stands, "pot_kind": pot_kind, "grafter": grafter, "grafted_on": grafted_on, "height_mm": height_mm}
    for name, values in (given | {"standing": standing}).items():
        if values is not None and len(values) != size:
            raise BadValue(name, say("{values} values", values=len(values)), say("one a plant, {size}", size=size))
    none = [None] * size
    columns = {"cultivar": _text_column(cultivar)}
    columns |= {name: _text_column(given[name] or none) for name in ("stands", "pot_kind", "grafter")}
    columns["grafted_on"] = _number_column([_ordinal(day) for day in grafted_on] if grafted_on is not None else none)
    columns["height_mm"] = _number_column(_height_steps(height_mm if height_mm is not None else none))
    names = columns["cultivar"].values
    return PlantIndex(
        symbols=_symbols(number if number is not None else none),
        standing=np.asarray(standing if standing is not None else np.zeros(size), dtype=np.intp),
        columns=columns,
        letters=_letters(names),
        traits={name: _trait_table(name, by_cultivar, names) for name, by_cultivar in (traits or {}).items()},
    )


def plain_letters(text: str) -> str:
    """Put a name, or part of one, into small letters without accents.

    Parameters
    ----------
    text : str
        Any text; ``?`` is kept.

    Returns
    -------
    str
        Small letters, digits, single spaces; signs such as apostrophes left out.
    """
    apart = unicodedata.normalize("NFKD", text.casefold())
    kept = "".join(character for character in apart if character.isalnum() or character in " ?")
    return " ".join(kept.split())


def _text_column(values: Sequence[Any]) -> Column:
    known = sorted({value for value in values if value is not None})
    place = {value: position for position, value in enumerate(known)} | {None: len(known)}
    codes = np.fromiter((place[value] for value in values), dtype=np.intp, count=len(values))
    return _counted(codes, tuple(known))


def _number_column(values: Sequence[Any]) -> Column:
    """Whole numbers, with every one between the least and the greatest as a value, so that tables run over them evenly."""
    numbers = np.array([np.nan if value is None else value for value in values], dtype=np.float64)
    known = numbers[np.isfinite(numbers)]
    if not known.size:
        return _counted(np.zeros(len(numbers), dtype=np.intp), ())
    first, last = int(known.min()), int(known.max())
    codes = np.where(np.isfinite(numbers), numbers - first, last - first + 1).astype(np.intp)
    return _counted(codes, tuple(range(first, last + 1)))


def _counted(codes: Codes, values: tuple[Any, ...]) -> Column:
    return Column(codes, values, np.bincount(codes, minlength=len(values) + 1)[: len(values)].astype(np.float64))


def _ordinal(day: date | int | None) -> int | None:
    return day.toordinal() if isinstance(day, date) else day


def _height_steps(heights: Sequence[float | None]) -> list[float]:
    numbers = np.array([np.nan if height is None else height for height in heights], dtype=np.float64)
    if np.any(numbers <= 0.0):
        place = int(np.argmax(numbers <= 0.0))
        raise BadValue("height_mm", float(numbers[place]), "above 0 mm", index=place)
    return list(np.round(np.log(numbers) / HEIGHT_STEP))


def _symbols(numbers: Sequence[int | None]) -> npt.NDArray[np.uint8]:
    symbols = np.full((LENGTH, len(numbers)), NO_SYMBOL, dtype=np.uint8)
    known = np.array([number is not None for number in numbers], dtype=bool)
    symbols[:, known] = symbols_of_numbers([number for number in numbers if number is not None])
    return symbols


def _letters(names: Sequence[str]) -> npt.NDArray[np.uint8]:
    plain = [plain_letters(name).encode("ascii", "replace") for name in names]
    letters = np.zeros((len(plain), max(map(len, plain), default=0)), dtype=np.uint8)
    for row, name in zip(letters, plain, strict=True):
        row[: len(name)] = np.frombuffer(name, dtype=np.uint8)
    return letters


def _trait_table(name: str, by_cultivar: Mapping[str, Mapping[str, float]], cultivars: Sequence[str]) -> TraitTable:
    values = tuple(sorted({value for chances in by_cultivar.values() for value in chances}))
    rows = [[by_cultivar[each].get(value, 0.0) if each in by_cultivar else np.nan for value in values] for each in cultivars]
    table = np.array(rows, dtype=np.float64).reshape(len(cultivars), len(values))
    sums = table.sum(axis=1)
    if np.any(np.abs(sums - 1.0) > 1e-6) or np.any(table < 0.0):
        odd = int(np.argmax((np.abs(sums - 1.0) > 1e-6) | np.any(table < 0.0, axis=1)))
        raise BadValue(say("trait {name} of {odd}", name=name, odd=cultivars[odd]), table[odd].tolist(), say("chances that add up to 1"))
    return TraitTable(values, table)
