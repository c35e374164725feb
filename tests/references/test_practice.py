"""The defaults of a new book against what growers commonly do. All of it is common practice, no source; a person edits it."""

from __future__ import annotations

import pytest

from scionary.answers.chances import sign_words
from scionary.answers.domes import tray_layout
from scionary.book.models import Dome, Method, Nursery, PotKind
from scionary.book.practice import COMMON, LABEL_MEDIA

pytestmark = pytest.mark.django_db


@pytest.fixture
def summer(nursery: Nursery) -> Method:
    return Method.objects.get(leafy=True)


@pytest.fixture
def winter(nursery: Nursery) -> Method:
    return Method.objects.get(leafy=False)


def says(method: Method, step: str) -> str:
    return " ".join(f"{raw['say']} {raw['why']}" for raw in method.steps() if raw["step"] == step)


# common practice, no source: a domed tray of about 10.5 x 20.5 in inside takes ten 4-inch square pots or three 6.5-inch round ones
@pytest.mark.parametrize(("pot", "across_in", "count"), [("4-inch square", 4.0, 10), ("One-gallon round", 6.5, 3)])
def test_the_usual_dome_takes_the_usual_pots(nursery: Nursery, pot: str, across_in: float, count: int) -> None:
    kind = PotKind.objects.get(name=pot)
    dome = Dome(name="usual")
    assert (dome.length_mm / 25.4, dome.width_mm / 25.4) == (pytest.approx(20.5), pytest.approx(10.5))
    assert len(tray_layout(dome.length_mm, dome.width_mm, kind.shape, kind.across_mm).positions) == count
    assert len(tray_layout(dome.length_mm, dome.width_mm, kind.shape, across_in * 25.4).positions) == count


# common practice, no source: a side cut under the bark is 13-19 mm long; a leafy summer scion carries three nodes
def test_the_summer_side_graft_has_its_cut_and_its_nodes(summer: Method) -> None:
    assert (summer.cut_low_mm, summer.cut_high_mm, summer.scion_nodes) == (13, 19, 3)


# common practice, no source: blades come off, stalks stay; a film wrap overlaps by half; growers differ, so practices stand side by side
def test_practices_stand_side_by_side_with_one_picked(summer: Method) -> None:
    topics = {topic["topic"]: topic for topic in summer.practices}
    assert topics["Leaves on the scion"]["picked"] == "Blades off, stalks stay"
    assert topics["Film wrap"]["picked"] == "Each turn overlaps by half"
    assert len(topics["Water in the tray"]["practices"]) == 2
    assert all(practice["source"] == COMMON for topic in summer.practices for practice in topic["practices"])


# common practice, no source: shallow water (6-13 mm) under a raised grid is one summer practice; dormant stocks stay dry
def test_water_stands_in_the_tray_in_summer_only(summer: Method, winter: Method) -> None:
    assert "under the grid to 6–13 mm" in says(summer, "water")
    assert says(winter, "water") == ""


# common practice, no source: about a month closed, then by degrees, first in the evening or on a dull day
def test_a_month_closed_then_by_degrees(summer: Method, winter: Method) -> None:
    for method in (summer, winter):
        vents = [raw for raw in method.steps() if raw["step"] == "vent"]
        assert 28 <= method.closed_days <= 31
        assert vents[0]["day"] == method.closed_days
        opened = [float(str(raw["open_pct"])) for raw in vents]
        assert opened == sorted(opened)
        assert "in the evening or on a dull day" in str(vents[0]["say"])


# common practice, no source: cut the stock above the union with one or two nodes left, since it dies back to the next
def test_a_stock_is_headed_back_with_one_or_two_nodes_left(summer: Method) -> None:
    assert "one or two nodes" in says(summer, "head_back")
    assert "dies back to the next" in says(summer, "head_back")


# common practice, no source: a stalk that drops at a touch says that a leafy scion is alive; it proves no union
def test_a_stalk_that_drops_says_alive_and_no_more() -> None:
    assert sign_words("stalk_drops_yes") == "stalk drops: alive, not yet united"


# common practice, no source: ordinary marker ink begins to fade after three or four months of sun; pencil and UV-resistant ink last
def test_marker_ink_fades_first() -> None:
    in_the_sun = {row["medium"]: row["months_sun"] for row in LABEL_MEDIA}
    assert in_the_sun["ordinary marker"] in (3, 4)
    assert in_the_sun["pencil"] is None
    assert in_the_sun["UV-resistant ink"] > 12


def test_every_dated_step_says_where_it_is_from(summer: Method, winter: Method) -> None:
    assert all(raw["source"] == COMMON and raw["why"] for method in (summer, winter) for raw in method.after_care)
