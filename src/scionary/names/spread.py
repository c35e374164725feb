"""What could have passed from one thing to others: contacts in the order of time, and the shortest way to each thing reached.

Things (plants, mother trees, blades, fillings of domes) are numbered; a contact is directed and open for a while. What passes waits
in a thing until a contact opens, and cannot go back in time: a plant that was cut before a sick one shares no blade with it.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from typing import Any

import numpy as np
import numpy.typing as npt

from scionary.errors import BadValue
from scionary.language import say

Floats = npt.NDArray[np.float64]
Integers = npt.NDArray[np.int64]
ALWAYS = -np.inf
Progress = Callable[[float, str], bool | None]


@dataclass(frozen=True, eq=False)
class Contacts:
    """Directed contacts between numbered things.

    Attributes
    ----------
    things : int
        How many things there are; they are numbered from 0.
    source, target : array_like of int, shape (n,)
        From which thing to which.
    opens, closes : array_like of float, shape (n,)
        From when to when something can pass, both included, in seconds on any one clock. ``-inf`` and ``inf`` where there is no limit.

    Raises
    ------
    BadValue
        When lengths differ, a number is of no thing, a time is no number, or a contact closes before it opens.
    """

    things: int
    source: Integers
    target: Integers
    opens: Floats
    closes: Floats

    def __post_init__(self) -> None:
        for name in ("source", "target"):
            object.__setattr__(self, name, _numbers(name, getattr(self, name), self.things))
        for name in ("opens", "closes"):
            object.__setattr__(self, name, np.asarray(getattr(self, name), dtype=np.float64))
        shapes = {getattr(self, name).shape for name in ("source", "target", "opens", "closes")}
        if len(shapes) != 1 or self.source.ndim != 1:
            raise BadValue("contacts", sorted(shapes), say("four rows of one length"))
        wrong = np.flatnonzero(~(self.opens <= self.closes))
        if wrong.size:
            row = int(wrong[0])
            raise BadValue(f"closes[{row}]", self.closes[row], say("at or after it opens ({row})", row=self.opens[row]))

    @cached_property
    def turned(self) -> Contacts:
        """The same contacts seen backwards in time."""
        return Contacts(self.things, self.target, self.source, -self.closes, -self.opens)

    @cached_property
    def _rows(self) -> tuple[Integers, Integers]:
        """Contacts in the order of their source, and where each thing's begin."""
        order = np.argsort(self.source, kind="stable").astype(np.int64)
        begins = np.searchsorted(self.source[order], np.arange(self.things + 1)).astype(np.int64)
        return order, begins

    def out_of(self, things: Integers) -> Integers:
        """The contacts that lead out of these things.

        Parameters
        ----------
        things : ndarray of int
            Numbers of things.

        Returns
        -------
        ndarray of int
            Numbers of contacts, thing by thing.
        """
        order, begins = self._rows
        first, count = begins[things], begins[things + 1] - begins[things]
        within = np.arange(count.sum()) - np.repeat(np.cumsum(count) - count, count)
        found: Integers = order[np.repeat(first, count) + within]
        return found


@dataclass(frozen=True, eq=False)
class Visits:
    """Each time that a thing was reached, or reached sooner than before, in the order in which that was found.

    Whoever waits for a contact may have come by a longer way than the shortest: so a thing can be visited more than once, and each visit
    says by which other it came. Followed back, visits are ways that can be passed in time.

    Attributes
    ----------
    thing : ndarray of int, shape (visits,)
        What was reached.
    contact : ndarray of int, shape (visits,)
        By which contact; -1 where it began.
    before : ndarray of int, shape (visits,)
        The visit before; -1 where it began.
    """

    thing: Integers
    contact: Integers
    before: Integers


@dataclass(frozen=True, eq=False)
class Reach:
    """What is reached from where it began.

    Attributes
    ----------
    steps : ndarray of int, shape (things,)
        The fewest contacts that lead there; 0 where it began, -1 for what is not reached.
    moment : ndarray of float, shape (things,)
        When it can be there at the earliest (looking back: when it must have left there at the latest), in seconds; NaN for what is not
        reached. The shortest way may take longer than the earliest one.
    backwards : bool
        Whether it was looked for where it could have come from.
    """

    steps: Integers
    moment: Floats
    backwards: bool
    visits: Visits

    @cached_property
    def first_visit(self) -> Integers:
        """The visit by which each thing was reached first, shape (things,); -1 for what is not reached."""
        found = np.full(len(self.steps), -1, dtype=np.int64)
        things, where = np.unique(self.visits.thing, return_index=True)
        found[things] = where
        return found

    def path(self, thing: int) -> list[int]:
        """The contacts, first one first in time, of a shortest way between where it began and a thing.

        Parameters
        ----------
        thing : int
            A thing that is reached.

        Returns
        -------
        list of int
            Numbers of contacts; none where it began there.

        Raises
        ------
        BadValue
            When the thing is not reached.
        """
        visit = int(self.first_visit[thing]) if 0 <= thing < len(self.steps) else -1
        if visit < 0:
            raise BadValue("thing", thing, say("one that is reached"))
        found: list[int] = []
        while self.visits.before[visit] >= 0:
            found.append(int(self.visits.contact[visit]))
            visit = int(self.visits.before[visit])
        return found if self.backwards else found[::-1]


def spread_from(
    contacts: Contacts,
    begin: Any,
    *,
    since: float = ALWAYS,
    most_steps: int | None = None,
    progress: Progress | None = None,
) -> Reach:
    """What could have caught it from here.

    Parameters
    ----------
    contacts : Contacts
        Who met whom, and when.
    begin : array_like of int
        The things where it began.
    since : float
        Since when it is there, seconds; by default it always was.
    most_steps : int, optional
        How many contacts it may pass at most.
    progress : callable, optional
        Called with a fraction and a word after each round; returning False stops the search, and what was found until then is given.

    Returns
    -------
    Reach
        Steps, earliest moments and ways; assumes that every contact passes it on, so that this is what could be, not what is.

    Raises
    ------
    BadValue
        When a number is of no thing, or `most_steps` is negative.

    Notes
    -----
    Earliest arrival in a temporal network, round by round: after round k each thing holds the earliest moment over all ways of at most k
    contacts (the recurrence of Bellman and Ford with max(time there, time of opening) in place of a sum).
    """
    return _search(contacts, begin, since, most_steps, progress, backwards=False)


def spread_to(
    contacts: Contacts,
    end: Any,
    *,
    until: float = np.inf,
    most_steps: int | None = None,
    progress: Progress | None = None,
) -> Reach:
    """Where it could have come from: `spread_from` with time turned round.

    Parameters
    ----------
    contacts : Contacts
        Who met whom, and when.
    end : array_like of int
        The things where it was found.
    until : float
        When it was there, seconds; by default at any time.
    most_steps, progress
        As in `spread_from`.

    Returns
    -------
    Reach
        Each way leads from the thing that is asked for to where it was found.

    Raises
    ------
    BadValue
        As `spread_from`.
    """
    return _search(contacts, end, until, most_steps, progress, backwards=True)


def _search(contacts: Contacts, begin: Any, at: float, most_steps: int | None, progress: Progress | None, *, backwards: bool) -> Reach:
    if most_steps is not None and most_steps < 0:
        raise BadValue("most_steps", most_steps, say("0 or more"))
    seen = contacts.turned if backwards else contacts
    frontier = np.unique(_numbers("begin", begin, seen.things))
    moment = np.full(seen.things, np.inf)
    moment[frontier] = -at if backwards else at
    steps = np.full(seen.things, -1, dtype=np.int64)
    steps[frontier] = 0
    reached = np.zeros(seen.things, dtype=np.bool_)
    reached[frontier] = True
    nothing = np.full(len(frontier), -1, dtype=np.int64)
    found = [Visits(frontier, nothing, nothing)]
    last = np.full(seen.things, -1, dtype=np.int64)  # the last visit of each thing
    last[frontier] = np.arange(len(frontier))
    count = len(frontier)
    while frontier.size and (most_steps is None or len(found) <= most_steps):
        frontier, came_by = _one_round(seen, frontier, moment, reached)
        if not frontier.size:
            break
        steps[frontier[steps[frontier] < 0]] = len(found)
        found.append(Visits(frontier, came_by, last[seen.source[came_by]]))
        last[frontier] = np.arange(count, count + len(frontier))
        count += len(frontier)
        if progress is not None and progress(float(np.mean(reached)), say("{steps} steps", steps=len(found) - 1)) is False:
            break
    told = np.where(reached, -moment if backwards else moment, np.nan)
    visits = Visits(*(np.concatenate([getattr(part, name) for part in found]) for name in ("thing", "contact", "before")))
    return Reach(steps, told, backwards, visits)


def _one_round(contacts: Contacts, frontier: Integers, moment: Floats, reached: npt.NDArray[np.bool_]) -> tuple[Integers, Integers]:
    """One contact further: what is reached, or sooner than before, and by which contact; writes both down."""
    open_here = contacts.out_of(frontier)
    at = np.maximum(moment[contacts.source[open_here]], contacts.opens[open_here])
    target = contacts.target[open_here]
    better = (at <= contacts.closes[open_here]) & (~reached[target] | (at < moment[target]))
    at, target, open_here = at[better], target[better], open_here[better]
    order = np.lexsort((open_here, at, target))
    found, first = np.unique(target[order], return_index=True)
    came_by = open_here[order][first]
    moment[found] = at[order][first]
    reached[found] = True
    return found, came_by


def _numbers(name: str, values: Any, things: int) -> Integers:
    """Numbers of things as an array."""
    numbers = np.atleast_1d(np.asarray(values))
    if numbers.size == 0:
        return np.zeros(0, dtype=np.int64)
    if numbers.dtype.kind not in "iu":
        raise BadValue(name, values if numbers.size < 5 else numbers.dtype, say("whole numbers"))
    if numbers.min() < 0 or numbers.max() >= things:
        raise BadValue(
            name, int(numbers.min() if numbers.min() < 0 else numbers.max()), say("a thing's number, 0 to {highest}", highest=things - 1)
        )
    return numbers.astype(np.int64)
