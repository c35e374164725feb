"""Which graft of a trial stands where: arms drawn by lot, balanced over trays.

A tray (or a dome, when the treatment or the air is the dome's) is a block: what happens to it happens to all that stands in it. Arms
that stand side by side in every tray can be compared graft by graft. A treatment that a whole tray gets can only be compared tray by
tray, however many grafts stand in it.
"""

from __future__ import annotations

import operator
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from scionary.errors import BadValue
from scionary.language import say

Whole = npt.NDArray[np.int64]
FEWEST_TRAYS = 4  # an arm; with three, even the clearest outcome of all would come about by lot in one trial of ten


@dataclass(frozen=True)
class TrialLayout:
    """A trial laid out, one entry a graft.

    Attributes
    ----------
    arms : tuple of str
        Names of the arms.
    tray_names : tuple of str
        Names of the trays (or domes).
    tray : ndarray of int
        Each graft's tray, a position in `tray_names`.
    place : ndarray of int
        Each graft's place in its tray, counted from 1.
    arm : ndarray of int
        Each graft's arm, a position in `arms`.
    whole_tray : bool
        Whether a tray has one arm only, so that trays and not grafts are compared.
    warnings : tuple of str
        What this layout cannot show, in words.
    """

    arms: tuple[str, ...]
    tray_names: tuple[str, ...]
    tray: Whole
    place: Whole
    arm: Whole
    whole_tray: bool
    warnings: tuple[str, ...]

    @property
    def counts(self) -> Whole:
        """Grafts by tray (rows) and arm (columns)."""
        table = np.zeros((len(self.tray_names), len(self.arms)), dtype=np.int64)
        np.add.at(table, (self.tray, self.arm), 1)
        return table

    def to_dict(self) -> dict[str, list[Any]]:
        """Give one list a column, with names in place of positions."""
        return {
            "tray": [self.tray_names[tray] for tray in self.tray],
            "place": self.place.tolist(),
            "arm": [self.arms[arm] for arm in self.arm],
        }


def trial_layout(
    arms: Sequence[str], trays: Sequence[int | tuple[str, int]], *, whole_tray: bool = False, rng: int | np.random.Generator
) -> TrialLayout:
    """Lay out a trial: draw by lot which place of which tray gets which arm.

    Parameters
    ----------
    arms : sequence of str
        Names of two or more arms (methods, rootstocks, dates ...), all different.
    trays : sequence of int or of (str, int)
        Places that each tray gives to the trial, 1 or more, with or without the tray's name. Every place is filled. Give domes as trays
        when what is tried changes a dome's air.
    whole_tray : bool
        True when a tray can only be treated as a whole; the lot then falls on trays.
    rng : int or Generator
        Seed or generator.

    Returns
    -------
    TrialLayout
        Within each tray the arms' numbers differ by one at most, and so do their sums over all trays; with `whole_tray`, the arms' numbers
        of trays differ by one at most.

    Raises
    ------
    BadValue
        When names are missing or the same, a tray has no place, or the layout could not be analysed: places too few to put arms beside
        each other, or fewer trays than arms.
    """
    names, (tray_names, places) = _names("arms", arms, 2), _trays(trays)
    generator = np.random.default_rng(rng)
    if whole_tray:
        by_tray = [np.full(count, arm) for count, arm in zip(places, _arm_of_trays(len(places), len(names), generator), strict=True)]
    else:
        by_tray = _arms_within_trays(places, len(names), generator)
    layout = TrialLayout(
        arms=names,
        tray_names=tray_names,
        tray=np.repeat(np.arange(len(places)), places),
        place=np.concatenate([np.arange(1, count + 1) for count in places]),
        arm=np.concatenate(by_tray).astype(np.int64),
        whole_tray=whole_tray,
        warnings=(),
    )
    if not whole_tray:
        _refuse_if_apart(layout)
    return TrialLayout(**{**vars(layout), "warnings": layout_warnings(layout)})


def _arm_of_trays(trays: int, arms: int, generator: np.random.Generator) -> Whole:
    """Each tray's arm: as equal in number as can be, which arm gets one more by lot."""
    if trays < arms:
        allowed = f"{arms} or more when each arm needs a tray of its own; or put the arms beside each other in each tray"
        raise BadValue("trays", trays, allowed)
    drawn = np.resize(generator.permutation(arms), trays)
    return generator.permutation(drawn).astype(np.int64)


def _arms_within_trays(places: Sequence[int], arms: int, generator: np.random.Generator) -> list[Whole]:
    """Each tray's arms in the order of its places.

    What is left over when a tray's places are dealt out goes to the arms with the fewest grafts so far, among these to those that met
    the fewest times in a remainder, then by lot.
    """
    totals, met = np.zeros(arms), np.zeros((arms, arms))
    dealt: list[Whole] = [np.zeros(0, dtype=np.int64)] * len(places)
    for tray in generator.permutation(len(places)):
        rounds, left = divmod(places[tray], arms)
        extra: list[int] = []
        for _ in range(left):
            free = [arm for arm in generator.permutation(arms) if arm not in extra]
            extra.append(int(min(free, key=lambda arm: (totals[arm], met[arm, extra].sum()))))
        met[np.ix_(extra, extra)] += 1.0
        totals[extra] += 1.0
        dealt[tray] = generator.permutation(np.append(np.tile(np.arange(arms), rounds), extra)).astype(np.int64)
    return dealt


def _refuse_if_apart(layout: TrialLayout) -> None:
    """Refuse a layout with arms that no chain of shared trays links: what they differ by could be the trays."""
    together = (layout.counts > 0).astype(int)
    linked = together.T @ together > 0
    for _ in layout.arms:
        linked = linked.astype(int) @ linked.astype(int) > 0
    if not linked[0].all():
        other = layout.arms[int(np.argmin(linked[0]))]
        allowed = f"trays with more places, or fewer arms: no tray puts {other!r} and {layout.arms[0]!r} beside each other"
        raise BadValue("trays", np.bincount(layout.tray).tolist(), allowed)


def layout_warnings(layout: TrialLayout) -> tuple[str, ...]:
    """Say what a layout cannot show.

    Parameters
    ----------
    layout : TrialLayout
        Which arm stands where.

    Returns
    -------
    tuple of str
        Sentences; none where nothing weakens it.
    """
    return _warnings_of_trays(layout) if layout.whole_tray else _warnings_within(layout)


def _warnings_of_trays(layout: TrialLayout) -> tuple[str, ...]:
    trays = (layout.counts > 0).sum(axis=0)
    said = []
    alone = [name for name, count in zip(layout.arms, trays, strict=True) if count == 1]
    if alone:
        said.append(
            say(
                "One dome only for {alone}: whatever else is different about that dome will look like the treatment. "
                "Nothing can be claimed from this; use two or more domes of each, four or more to have a fair chance.",
                alone=", ".join(alone),
            )
        )
    elif trays.min() < FEWEST_TRAYS:
        said.append(
            say(
                "{fewest} domes of each are few: domes are compared, not grafts, and only a very large difference can show. "
                "{better} or more domes of each are better, even with fewer grafts in each.",
                fewest=trays.min(),
                better=FEWEST_TRAYS,
            )
        )
    sizes = np.bincount(layout.tray)
    if sizes.max() >= 2 * sizes.min():
        said.append(say("The domes hold very different numbers of grafts; each still counts as one dome."))
    return tuple(said)


def _warnings_within(layout: TrialLayout) -> tuple[str, ...]:
    said = []
    useful = (layout.counts > 0).sum(axis=1) > 1
    if not useful.all():
        names = ", ".join(name for name, one in zip(layout.tray_names, useful, strict=True) if not one)
        said.append(say("Only one of them stands in {domes}: a dome in which nothing is beside it tells nothing.", domes=names))
    if useful.sum() == 1:
        said.append(say("All meet in one dome only: what is found holds for that dome, and whether it would in another is not tried."))
    fewest = int(layout.counts.sum(axis=0).min())
    if fewest < 20:
        said.append(say("{fewest} grafts of each are few: only a very large difference can show.", fewest=fewest))
    return tuple(said)


def _names(what: str, names: Sequence[str], fewest: int) -> tuple[str, ...]:
    if isinstance(names, str) or not all(isinstance(name, str) and name.strip() for name in names):
        raise BadValue(what, names, "a list of names, none empty")
    if len(names) < fewest or len(set(names)) < len(names):
        raise BadValue(what, list(names), f"{fewest} or more names, all different")
    return tuple(names)


def _trays(trays: Sequence[int | tuple[str, int]]) -> tuple[tuple[str, ...], list[int]]:
    named = [tray if isinstance(tray, tuple) else (f"tray {number}", tray) for number, tray in enumerate(trays, start=1)]
    places = []
    for index, (_, count) in enumerate(named):
        try:
            places.append(operator.index(count))
        except TypeError as error:
            raise BadValue("trays", count, "a whole number of places, 1 or more", index=index) from error
        if places[-1] < 1:
            raise BadValue("trays", count, "a whole number of places, 1 or more", index=index)
    return _names("trays", [name for name, _ in named], 1), places
