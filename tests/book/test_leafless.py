"""A graft made without leaves has no stalk to touch: what is written of one is kept and flagged."""

from collections.abc import Callable

import pytest

from scionary.book import queries
from scionary.book.commands import Written
from scionary.book.leafless import FLAG, stalk_flags
from scionary.book.models import Method
from scionary.book.record import Answer

pytestmark = pytest.mark.django_db
Write = Callable[..., Answer]
Grafts = Callable[..., Written]


@pytest.fixture
def dormant(nursery: object) -> Method:
    return Method.objects.get(name="Side veneer, dormant, winter")


def test_a_stalk_sign_on_a_dormant_graft_is_kept_and_flagged(graft: Grafts, write: Write, dormant: Method) -> None:
    plant = graft(method=dormant.pk).plants[0]
    assert write("scored", plant, sign="stalk_drops", answer="no", days=14).flags == (FLAG,)
    assert write("scored", plant, sign="bud_moving", answer="yes", days=15).flags == ()
    found = queries.plant(plant.pk)
    assert found.grafts.get().stalk_drops == "no"
    assert stalk_flags(found) == [FLAG]


@pytest.mark.parametrize("known", [True, False])
def test_a_leafy_graft_and_one_of_unknown_method_are_not_flagged(graft: Grafts, write: Write, method: Method, known: bool) -> None:
    plant = graft(method=method.pk if known else None).plants[0]
    assert write("scored", plant, sign="stalk_drops", answer="no", days=14).flags == ()
    assert stalk_flags(queries.plant(plant.pk)) == []


def test_the_last_graft_of_a_plant_decides(graft: Grafts, write: Write, method: Method, dormant: Method) -> None:
    plant = graft(method=dormant.pk).plants[0]
    write("regrafted", plant, method=method.pk, days=150)
    assert write("scored", plant, sign="stalk_drops", answer="yes", days=164).flags == ()
