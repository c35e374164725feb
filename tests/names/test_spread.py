"""What can pass from thing to thing: against a search through every way there is."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np
import pytest

from scionary.errors import BadValue
from scionary.names.spread import ALWAYS, Contacts, Reach, spread_from, spread_to

INF = math.inf
# a tree (0) went into plants 1 and 2; 2 and then 3 were cut with one blade (4); plant 1 grew into a tree (5), cut for plant 6
ORCHARD = Contacts(
    7,
    [0, 0, 2, 3, 4, 4, 1, 5],
    [1, 2, 4, 4, 2, 3, 5, 6],
    [10, 20, 20, 30, 20, 30, -INF, 90],
    [10, 20, 20, 30, 20, 30, INF, 90],
)


def every_way(contacts: Contacts, thing: int, at: float, met: tuple[int, ...] = ()) -> Iterator[tuple[int, float, tuple[int, ...]]]:
    """Each way from a thing that uses no contact twice: where it leads, when it is there at the earliest, its contacts."""
    yield thing, at, met
    for contact in range(len(contacts.source)):
        then = max(at, float(contacts.opens[contact]))
        if contact not in met and contacts.source[contact] == thing and then <= contacts.closes[contact]:
            yield from every_way(contacts, int(contacts.target[contact]), then, (*met, contact))


def some_contacts(rng: np.random.Generator) -> Contacts:
    things, count = int(rng.integers(2, 7)), int(rng.integers(1, 10))
    opens = rng.integers(0, 8, count).astype(float)
    closes = opens + rng.integers(0, 4, count)
    opens[rng.random(count) < 0.15] = -INF
    closes[rng.random(count) < 0.15] = INF
    return Contacts(things, rng.integers(0, things, count), rng.integers(0, things, count), opens, closes)


def check_path(contacts: Contacts, reach: Reach, path: list[int], ends: tuple[int, int], since: float, until: float) -> None:
    """A path is a chain between its ends whose contacts can be passed one after another."""
    here, at = ends[0], since
    for contact in path:
        assert contacts.source[contact] == here
        at = max(at, contacts.opens[contact])
        assert at <= contacts.closes[contact]
        here = int(contacts.target[contact])
    assert (here, at <= until) == (ends[1], True)


@pytest.mark.parametrize("seed", range(60))
def test_all_and_only_what_some_way_leads_to_is_reached_by_the_shortest_and_at_the_earliest(seed: int) -> None:
    rng = np.random.default_rng(seed)
    contacts = some_contacts(rng)
    since = float(rng.choice([ALWAYS, 0, 3]))
    reach = spread_from(contacts, [0], since=since)
    ways = list(every_way(contacts, 0, since))
    for thing in range(contacts.things):
        fitting = [(at, len(met)) for where, at, met in ways if where == thing]
        if not fitting:
            assert reach.steps[thing] == -1
            assert math.isnan(reach.moment[thing])
            continue
        assert reach.steps[thing] == min(steps for _, steps in fitting)
        assert reach.moment[thing] == min(at for at, _ in fitting)
        path = reach.path(thing)
        assert len(path) == reach.steps[thing]
        check_path(contacts, reach, path, (0, thing), since, INF)


@pytest.mark.parametrize("seed", range(60))
def test_looking_back_finds_all_that_would_reach_here(seed: int) -> None:
    rng = np.random.default_rng(1_000 + seed)
    contacts = some_contacts(rng)
    until = float(rng.choice([INF, 5, 9]))
    back = spread_to(contacts, [0], until=until)
    for thing in range(contacts.things):
        arrivals = [(at, len(met)) for where, at, met in every_way(contacts, thing, ALWAYS) if where == 0 and at <= until]
        assert (back.steps[thing] >= 0) == bool(arrivals)
        if not arrivals:
            continue
        assert back.steps[thing] == min(steps for _, steps in arrivals)
        check_path(contacts, back, back.path(thing), (thing, 0), ALWAYS, until)
        latest = float(back.moment[thing])
        in_time = [at for where, at, _ in every_way(contacts, thing, latest) if where == 0 and at <= until]
        assert in_time  # whoever holds it at that moment still passes it on
        if math.isfinite(latest):
            assert not [at for where, at, _ in every_way(contacts, thing, latest + 0.5) if where == 0 and at <= until]


def test_a_blade_carries_nothing_back_to_what_was_cut_before() -> None:
    assert spread_from(ORCHARD, [2]).steps.tolist() == [-1, -1, 0, 2, 1, -1, -1]
    assert spread_from(ORCHARD, [3]).steps.tolist() == [-1, -1, -1, 0, 1, -1, -1]


def test_a_plant_that_grew_into_a_tree_passes_it_to_the_grafts_of_that_tree() -> None:
    reach = spread_from(ORCHARD, [0])
    assert reach.path(6) == [0, 6, 7]
    assert [int(ORCHARD.target[contact]) for contact in reach.path(6)] == [1, 5, 6]


def test_sick_since_a_day_spares_what_was_cut_before_it() -> None:
    assert spread_from(ORCHARD, [0], since=15).steps.tolist() == [0, -1, 1, 3, 2, -1, -1]


def test_where_it_could_have_come_from_leads_back_to_the_tree() -> None:
    back = spread_to(ORCHARD, [3])
    assert back.steps.tolist() == [3, -1, 2, 0, 1, -1, -1]
    assert [int(ORCHARD.source[contact]) for contact in back.path(0)] == [0, 2, 4]


def test_a_limit_of_steps_goes_no_further() -> None:
    assert spread_from(ORCHARD, [0], most_steps=1).steps.tolist() == [0, 1, 1, -1, -1, -1, -1]


def test_several_beginnings_are_one_search() -> None:
    assert spread_from(ORCHARD, [1, 3]).steps.tolist() == [-1, 0, -1, 0, 1, 1, 2]


def test_it_can_be_stopped_and_tells_how_far_it_is() -> None:
    told: list[tuple[float, str]] = []

    def once(fraction: float, word: str) -> bool:
        told.append((fraction, word))
        return False

    assert spread_from(ORCHARD, [0], progress=once).steps.max() == 1
    assert told == [(pytest.approx(3 / 7), "1 steps")]


def test_nothing_to_begin_with_reaches_nothing() -> None:
    assert (spread_from(ORCHARD, []).steps == -1).all()
    assert spread_from(Contacts(3, [], [], [], []), [1]).steps.tolist() == [-1, 0, -1]


def test_what_cannot_be_is_refused_by_name() -> None:
    with pytest.raises(BadValue, match=r"begin.*7.*0 to 6"):
        spread_from(ORCHARD, [7])
    with pytest.raises(BadValue, match="whole numbers"):
        spread_from(ORCHARD, [0.5])
    with pytest.raises(BadValue, match="one that is reached"):
        spread_from(ORCHARD, [3]).path(0)
    with pytest.raises(BadValue, match="most_steps"):
        spread_from(ORCHARD, [0], most_steps=-1)
    with pytest.raises(BadValue, match=r"closes\[1\]"):
        Contacts(2, [0, 1], [1, 0], [0, 5], [0, 4])
    with pytest.raises(BadValue, match=r"closes\[0\]"):
        Contacts(2, [0], [1], [math.nan], [4])
    with pytest.raises(BadValue, match="one length"):
        Contacts(2, [0, 1], [1], [0], [0])
