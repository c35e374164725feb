"""How well what is known of a nameless plant fits what the book says of each plant, field by field.

Each function gives a `Fit`: the chance (or density) of what was seen for every value that the book may hold, and for a plant that is not in
the book. In the words of Fellegi & Sunter (1969, JASA 64:1183) the chance of agreement given the right plant is m, and given another
plant u. Here u is the average over the book, by the frequency of each value, so that a rare value that agrees says more than a common
one. A plant of which the book does not say the field gets the average: it is neither for nor against it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from scionary.errors import BadValue
from scionary.language import say
from scionary.names.codes import FIELD, LENGTH
from scionary.names.plant_index import HEIGHT_STEP, Codes, Column, Float, PlantIndex, TraitTable, plain_letters


@dataclass(frozen=True)
class FindingAssumptions:
    """What the search assumes; every number is a project default, unsourced, and may be changed.

    Attributes
    ----------
    none_of_these : float
        Chance, before anything is known, that the plant is not in the book.
    missing, accounted, gone : float
        How likely a plant of that `Standing` is to be the one, against 1 for one that is merely alive as far as known.
    code_character, name_letter : float
        Chance that a character that can be read at all is read right.
    own_label : float
        Chance that the label belongs to the plant at all (labels get a second life).
    stands, pot_kind, grafter : float
        Chance that what is said agrees with the book when it is the plant: plants are moved, potted on, and hands forgotten.
    date_tail : float
        Chance that a remembered day is far off: a wrong year, another bench day.
    height_spread, height_tail, height_tail_spread : float
        Standard deviation of a height's logarithm against the book's; chance that it is far off (grown, cut back), and by how much then.
    trait_seen : float
        Chance that a person says of a plant's leaves or habit what the book says of its cultivar, where the look does not mislead.
    misleading_look : float
        Chance that leaves of this season do not tell the cultivar: shade, frost, shoots of the stock.
    """

    none_of_these: float = 0.05
    missing: float = 5.0
    accounted: float = 0.05
    gone: float = 0.02
    code_character: float = 0.93
    name_letter: float = 0.93
    own_label: float = 0.97
    stands: float = 0.75
    pot_kind: float = 0.85
    grafter: float = 0.85
    date_tail: float = 0.20
    height_spread: float = 0.20
    height_tail: float = 0.20
    height_tail_spread: float = 0.70
    trait_seen: float = 0.80
    misleading_look: float = 0.15

    def __post_init__(self) -> None:
        """Refuse what is no chance: 0 and 1 would make a single slip a proof."""
        weights = {"missing", "accounted", "gone", "height_spread", "height_tail_spread"}
        for name, value in vars(self).items():
            if not (0.0 < value < 1.0 or (name in weights and 1.0 <= value < 1e6)):
                raise BadValue(name, value, "above 0" if name in weights else say("between 0 and 1, both left out"))


class Fit(NamedTuple):
    """Chance of what was seen for each plant, by ``table[codes]``, and for a plant that is not in the book."""

    codes: Codes
    table: Float
    none: float


def choice_fit(column: Column, seen: object, agree: float) -> Fit:
    """Fit of one of several words: a place, a kind of pot, a person.

    Parameters
    ----------
    column : Column
        The book's.
    seen : object
        What is said; a value that no plant has agrees with none.
    agree : float
        m: chance that a plant's own value is said. Otherwise another is said, each as often as plants have it.

    Returns
    -------
    Fit
        By the column's codes.
    """
    usual = usual_shares(column)
    position = column.position(seen)
    table = (1.0 - agree) * usual[position] / (1.0 - usual[:-1])
    if position < len(table):
        table[position] = agree
    return _with_average(column, table, otherwise=float(usual[position]))


def usual_shares(column: Column) -> Float:
    """Give how often each value is met, the last for one that no plant has yet; one is added to each count (Laplace).

    Parameters
    ----------
    column : Column
        The book's.

    Returns
    -------
    ndarray, shape (values + 1,)
        Adds up to 1.
    """
    counts = np.append(column.counts, 0.0) + 1.0
    return np.asarray(counts / counts.sum())


def day_fit(column: Column, day: float, spread_days: float, assumptions: FindingAssumptions) -> Fit:
    """Fit of a remembered day of grafting: Student's t with 3 degrees of freedom, and a part that is even over the book's years.

    Parameters
    ----------
    column : Column
        Days as ordinals.
    day, spread_days : float
        The day remembered, as an ordinal, and how exact that is, in days.
    assumptions : FindingAssumptions
        For the even part.

    Returns
    -------
    Fit
        Densities a day.
    """
    days = np.asarray(column.values, dtype=np.float64)
    scaled = (days - day) / spread_days
    near = 2.0 / (np.pi * np.sqrt(3.0) * spread_days) / (1.0 + scaled**2 / 3.0) ** 2
    even = 1.0 / max(len(days), 365)
    return _with_average(column, (1.0 - assumptions.date_tail) * near + assumptions.date_tail * even, otherwise=even)


def height_fit(column: Column, height_mm: float, assumptions: FindingAssumptions) -> Fit:
    """Fit of a height: the logarithm is normal around the book's, mixed with a wider normal.

    Parameters
    ----------
    column : Column
        Logarithms in steps of `HEIGHT_STEP`.
    height_mm : float
        What is measured.
    assumptions : FindingAssumptions
        Both spreads.

    Returns
    -------
    Fit
        Densities in the logarithm.
    """
    away = np.log(height_mm) - np.asarray(column.values, dtype=np.float64) * HEIGHT_STEP
    near = _normal(away, assumptions.height_spread)
    table = (1.0 - assumptions.height_tail) * near + assumptions.height_tail * _normal(away, assumptions.height_tail_spread)
    return _with_average(column, table, otherwise=1.0)


def _normal(away: Float, spread: float) -> Float:
    return np.asarray(np.exp(-0.5 * (away / spread) ** 2) / (spread * np.sqrt(2.0 * np.pi)))


def code_fit(index: PlantIndex, symbols: list[int | None], assumptions: FindingAssumptions) -> Fit:
    """Fit of what can be read of a code, character by character.

    Parameters
    ----------
    index : PlantIndex
        The codes of all plants.
    symbols : list of int or None
        Seven, None where lost.
    assumptions : FindingAssumptions
        How often a character is read wrong, and a label is another plant's.

    Returns
    -------
    Fit
        By the number of characters that agree. Another nursery's label has any characters at random.
    """
    read = [(place, symbol) for place, symbol in enumerate(symbols) if symbol is not None]
    agreeing = np.zeros(len(index), dtype=np.uint8)
    for place, symbol in read:
        agreeing += index.symbols[place] == symbol
    right = assumptions.code_character
    counts = np.arange(LENGTH + 1)
    any_code = float(FIELD) ** -len(read)
    own = right**counts * ((1.0 - right) / (FIELD - 1)) ** np.clip(len(read) - counts, 0, None)
    table = assumptions.own_label * own + (1.0 - assumptions.own_label) * any_code
    codes = np.where(index.symbols[0] < FIELD, agreeing, LENGTH + 1).astype(np.intp)
    return Fit(codes, np.append(table, any_code), any_code)


def name_fit(index: PlantIndex, parts: tuple[str, ...], assumptions: FindingAssumptions) -> Fit:
    """Fit of what can be read of a cultivar's name, in one or more parts, each anywhere in the name.

    Parameters
    ----------
    index : PlantIndex
        The names.
    parts : tuple of str
        Letters in a row, ``?`` for one that cannot be read.
    assumptions : FindingAssumptions
        How often a letter is read wrong, and a label is another plant's.

    Returns
    -------
    Fit
        By cultivar. A part is as likely to begin at any letter of the name.
    """
    table = np.ones(len(index.letters))
    any_name = 1.0
    for part in map(plain_letters, parts):
        letters = [(place, ord(letter)) for place, letter in enumerate(part.encode("ascii", "replace").decode()) if letter != "?"]
        if letters:
            table *= _part_chances(index, len(part), letters, assumptions.name_letter)
            any_name *= 26.0 ** -len(letters)
    column = index.columns["cultivar"]
    own, mixed = assumptions.own_label, 1.0 - assumptions.own_label
    average = float(column.shares @ table) if len(table) else any_name
    return _with_average(column, own * table + mixed * average, otherwise=any_name)


def _part_chances(index: PlantIndex, length: int, letters: list[tuple[int, int]], right: float) -> Float:
    """Mean over where the part may begin; a name that is too short for it holds it by misreading alone."""
    sizes = np.count_nonzero(index.letters, axis=1)
    wrong = (1.0 - right) / 25.0
    total, starts = np.zeros(len(sizes)), np.clip(sizes - length + 1, 0, None)
    for start in range(max(index.letters.shape[1] - length + 1, 0)):
        agreeing = np.zeros(len(sizes), dtype=np.int64)
        for place, letter in letters:
            agreeing += index.letters[:, start + place] == letter
        total += np.where(start < starts, right**agreeing * wrong ** (len(letters) - agreeing), 0.0)
    return np.asarray(np.where(starts > 0, total / np.maximum(starts, 1), wrong ** len(letters)))


def looks_fit(index: PlantIndex, seen: list[tuple[TraitTable, int]], assumptions: FindingAssumptions) -> Fit:
    """Fit of all traits together: one misleading season misleads them all, so that they do not count as independent proofs.

    Parameters
    ----------
    index : PlantIndex
        For the cultivars.
    seen : list of (TraitTable, int)
        Each trait with the position of the value that is seen.
    assumptions : FindingAssumptions
        How often a whole look misleads.

    Returns
    -------
    Fit
        By cultivar.
    """
    column = index.columns["cultivar"]
    table, average = np.ones(len(column.values)), 1.0
    for trait, value in seen:
        known = trait_chances(column, trait)
        table *= known[:, value]
        average *= float(column.shares @ known[:, value])
    clear = 1.0 - assumptions.misleading_look
    return _with_average(column, clear * table + assumptions.misleading_look * average, otherwise=average)


def clear_shares(index: PlantIndex, seen: list[tuple[TraitTable, int]], assumptions: FindingAssumptions) -> Float:
    """Give how likely it is that the look does not mislead, given the cultivar and what was seen of it already.

    Parameters
    ----------
    index : PlantIndex
        For the cultivars.
    seen : list of (TraitTable, int)
        Each trait with the position of the value that is seen.
    assumptions : FindingAssumptions
        How often a whole look misleads.

    Returns
    -------
    ndarray, shape (cultivars,)
        The same for all while nothing is seen; less for a cultivar that should look otherwise.
    """
    column = index.columns["cultivar"]
    clear = np.full(len(column.values), 1.0 - assumptions.misleading_look)
    misled = assumptions.misleading_look
    for trait, value in seen:
        known = trait_chances(column, trait)
        clear = clear * known[:, value]
        misled *= float(column.shares @ known[:, value])
    return np.asarray(clear / (clear + misled))


def trait_chances(column: Column, trait: TraitTable) -> Float:
    """Give a trait's chances with unknown rows filled by the average over plants, and nothing quite impossible.

    Parameters
    ----------
    column : Column
        The cultivars.
    trait : TraitTable
        Rows of NaN where nothing is known.

    Returns
    -------
    ndarray, shape (cultivars, values)
        Rows add up to 1; each chance is at least 0.01 over the number of values (project default, unsourced).
    """
    known = np.isfinite(trait.chances[:, 0]) if trait.chances.size else np.zeros(0, dtype=bool)
    shares = column.shares[known]
    even = np.full(len(trait.values), 1.0 / max(len(trait.values), 1))
    average = shares @ trait.chances[known] / shares.sum() if shares.sum() > 0.0 else even
    filled = np.where(known[:, None], trait.chances, average)
    return np.asarray(0.99 * filled + 0.01 * even)


def _with_average(column: Column, table: Float, *, otherwise: float) -> Fit:
    """Append the average over the book, for plants of which it says nothing; it serves for plants outside the book too."""
    average = float(column.shares @ table) if column.counts.sum() > 0.0 else otherwise
    return Fit(column.codes, np.append(table, average), average)
