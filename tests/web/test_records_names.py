"""Pages of names: other names of a cultivar, names that may be one, joining two and taking them apart."""

from __future__ import annotations

from collections.abc import Callable
from datetime import datetime
from typing import Any

import pytest
from django.test import Client

from nursery_clock import today_at_nursery
from scionary.answers.joining import join
from scionary.answers.other_names import add_other_name
from scionary.book.commands import save_noun
from scionary.book.ids import uuid7
from scionary.book.models import Cultivar, Event, OtherName, Plant, Wish
from scionary.limits import LIMITS
from web.rendered import check_page

pytestmark = pytest.mark.django_db
PAGE = "/book/names/"


@pytest.fixture
def tran(cultivar: Cultivar, now: datetime) -> Cultivar:
    return save_noun(Cultivar, {"spoken": "Red Tran"}, now=now)


@pytest.fixture
def plants(graft: Callable[..., Any], tran: Cultivar) -> list[Plant]:
    """Red Tarn 1, Red Tran 1 and 2."""
    return [*graft(1).plants, *graft(2, cultivar=tran.pk).plants]


def _names(cultivar: Cultivar) -> str:
    return f"/book/cultivars/{cultivar.pk}/names/"


def test_another_name_is_added_shown_and_taken_away(client: Client, cultivar: Cultivar) -> None:
    assert "found by this one name alone" in check_page(client.get(_names(cultivar)))
    page = check_page(client.post(_names(cultivar), {"name": "Tarn Blush", "kind": "misspelling"}, follow=True))
    assert "Red Tarn is also found as Tarn Blush." in page
    own = check_page(client.get(f"/book/cultivars/{cultivar.pk}/"))
    assert '<bdi class="said">Tarn Blush</bdi> <span class="why">(a misspelling)' in own
    page = check_page(client.post(f"{_names(cultivar)}out/", {"name": str(OtherName.objects.get().pk)}, follow=True))
    assert "Tarn Blush no longer finds Red Tarn." in page
    assert "found by this one name alone" in page


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        ("", "Type what it is also called."),
        ("    ", "Type what it is also called."),
        ("x" * 500, "at most 60 characters"),
        ("🌱", "No name is typed."),
        ("\u202e", "No name is typed."),
        ("red tarn", "Red tarn is its own name."),
        ("Red Tran", "Red Tran is a cultivar of its own. If the two are one, join them"),
    ],
)
def test_what_is_no_other_name_is_told_beside_its_field(client: Client, cultivar: Cultivar, tran: Cultivar, typed: str, told: str) -> None:
    response = client.post(_names(cultivar), {"name": typed, "kind": "synonym"})
    assert response.status_code == 422
    assert told in check_page(response)
    assert not OtherName.objects.exists()


def test_markup_in_a_name_is_shown_as_it_was_typed(client: Client, cultivar: Cultivar) -> None:
    page = check_page(client.post(_names(cultivar), {"name": "<b>Tarn</b>", "kind": "synonym"}, follow=True))
    assert "&lt;b&gt;Tarn&lt;/b&gt;" in page
    assert "<b>Tarn" not in page


def test_a_form_says_where_a_cultivar_was_called_by_another_name(client: Client, cultivar: Cultivar, now: datetime) -> None:
    add_other_name(cultivar, "Tarn Blush", "synonym", now=now)
    bench = {"cultivar": "tarn blush", "day": "2026-02-14", "count": "2", "event_id": str(uuid7())}
    page = check_page(client.post("/bench/new/", bench, follow=True))
    assert "Written as tarn blush, kept as Red Tarn." in page
    assert "is new to the book" not in page
    wish = {"cultivar": "Tarn Blush", "wanted": "5", "season": "2026", "assurance": "0.9", "event_id": str(uuid7())}
    assert "Written as Tarn Blush, kept as Red Tarn." in check_page(client.post("/plan/add/", wish, follow=True))
    assert Wish.objects.get().cultivar == cultivar
    assert {plant.cultivar_id for plant in Plant.objects.all()} == {cultivar.pk}
    assert "Written as Tarn Blush, kept as Red Tarn. Red Tarn 2, " in check_page(client.get("/plants/?q=Tarn+Blush+2"))
    look = check_page(client.post("/bench/standing/", {"plants": "3 Tarn Blush", "grafted": "2026-02", "dome": "Dome 1"}))
    assert "Written as Tarn Blush, kept as Red Tarn" in look


@pytest.mark.parametrize(
    ("typed", "told"),
    [("red TARN", "The book holds Red Tarn already."), ("tarn blush", "tarn blush is another name of Red Tarn.")],
)
def test_a_new_cultivar_by_a_name_that_means_another_is_refused(
    client: Client, cultivar: Cultivar, now: datetime, typed: str, told: str
) -> None:
    add_other_name(cultivar, "Tarn Blush", "synonym", now=now)
    response = client.post("/book/cultivars/new/", {"spoken": typed, "event_id": str(uuid7())})
    assert response.status_code == 422
    assert told in check_page(response)


@pytest.mark.parametrize("typed", ["Red-Tarn", "Réd Tarn", "Red Tran"])
def test_a_new_cultivar_that_is_nearly_another_is_kept_and_told(client: Client, cultivar: Cultivar, typed: str) -> None:
    page = check_page(client.post("/book/cultivars/new/", {"spoken": typed, "event_id": str(uuid7())}, follow=True))
    assert "it is spelt nearly like Red Tarn: see Names that may be one" in page
    assert "1 pair of names may be one cultivar" in check_page(client.get(PAGE))


def test_a_cultivar_keeps_its_own_name_when_the_rest_is_changed(client: Client, cultivar: Cultivar) -> None:
    response = client.post(f"/book/cultivars/{cultivar.pk}/", {"spoken": "Red Tarn", "price": "45"}, follow=True)
    assert "nearly like" not in check_page(response)
    assert str(Cultivar.objects.get().price) == "45.00"


def test_a_book_without_near_names_says_so(client: Client, cultivar: Cultivar) -> None:
    assert "No two names look like one." in check_page(client.get(PAGE))


def test_near_names_are_offered_with_what_each_has(client: Client, plants: list[Plant], tran: Cultivar, cultivar: Cultivar) -> None:
    page = check_page(client.get(PAGE))
    assert "2 plants" in page
    assert f'href="{PAGE}{cultivar.pk}/{tran.pk}/"' in page
    assert f'href="{PAGE}{tran.pk}/{cultivar.pk}/"' in page


def test_they_are_two_until_that_is_taken_back(client: Client, cultivar: Cultivar, tran: Cultivar) -> None:
    page = check_page(client.post(f"{PAGE}two/", {"first": str(cultivar.pk), "second": str(tran.pk)}, follow=True))
    assert "They are two, and are not offered again." in page
    assert "No two names look like one." in page
    told = Event.objects.get(kind="answered")
    page = check_page(client.post(f"{PAGE}two/", {"again": str(told.pk)}, follow=True))
    assert "1 pair of names" in page


def test_taking_back_undoes_nothing_else(client: Client, plants: list[Plant]) -> None:
    client.post(f"{PAGE}two/", {"again": str(plants[0].grafts.get().pk)})
    assert Plant.objects.count() == 3


def test_the_look_shows_every_name_and_writes_nothing(client: Client, cultivar: Cultivar, tran: Cultivar, plants: list[Plant]) -> None:
    page = check_page(client.get(f"{PAGE}{cultivar.pk}/{tran.pk}/"))
    assert "Red Tran becomes Red Tarn: 2 plants. 1 plant gets another number. 2 labels to write again." in page
    assert "<td>Red Tran 1</td><td><strong>Red Tarn 3</strong></td><td>write again</td>" in page
    assert "<td>Red Tran 2</td><td>Red Tarn 2</td>" in page
    assert not Event.objects.filter(kind="corrected").exists()


def _joined(client: Client, keep: Cultivar, give: Cultivar) -> str:
    address = f"{PAGE}{keep.pk}/{give.pk}/"
    seen = client.get(address).context["look"].seen
    response = client.post(address, {"seen": seen}, follow=True)
    assert response.redirect_chain
    return response.redirect_chain[-1][0] + "|" + check_page(response)


def test_joined_the_labels_are_listed_printed_and_written_down(
    client: Client, cultivar: Cultivar, tran: Cultivar, plants: list[Plant]
) -> None:
    address, page = _joined(client, cultivar, tran).split("|", 1)
    assert "2 labels still say another name" in page
    assert "The label says Red Tran 1" in page
    assert client.get(f"{address}labels.pdf").content.startswith(b"%PDF")
    said = {"kind": "relabelled", "plant": [str(plant.pk) for plant in plants[1:]], "write": "1", "next": address}
    said["on"] = today_at_nursery().isoformat()
    check_page(client.post("/plants/several/", {**said, "event_id": str(uuid7())}, follow=True))
    assert "No label is left to write again." in check_page(client.get(address))


def test_the_cultivars_page_tells_of_it_and_it_can_be_undone(
    client: Client, cultivar: Cultivar, tran: Cultivar, plants: list[Plant]
) -> None:
    address, _ = _joined(client, cultivar, tran).split("|", 1)
    for row in (cultivar, tran):
        assert f'<a href="{address}">Red Tran was joined with Red Tarn</a>' in check_page(client.get(f"/book/cultivars/{row.pk}/"))
    page = check_page(client.post(f"{address}undo/", follow=True))
    assert "Red Tran and Red Tarn are two again." in page
    assert "They were taken apart again on" in page
    assert [Plant.objects.get(pk=plant.pk).spoken for plant in plants] == ["Red Tarn 1", "Red Tran 1", "Red Tran 2"]
    assert client.post(f"{address}undo/").status_code == 422
    assert "and taken apart again on" in check_page(client.get(f"/book/cultivars/{tran.pk}/"))


def test_a_form_that_was_drawn_before_the_book_changed_shows_the_new_look(
    client: Client, cultivar: Cultivar, tran: Cultivar, plants: list[Plant], graft: Callable[..., Any]
) -> None:
    address = f"{PAGE}{cultivar.pk}/{tran.pk}/"
    seen = client.get(address).context["look"].seen
    graft(1)  # Red Tarn 2
    response = client.post(address, {"seen": seen})
    assert response.status_code == 422
    assert "The book has changed since you looked. Look again, then join them." in check_page(response)
    assert not Cultivar.objects.get(pk=tran.pk).retired


def test_joined_by_another_meanwhile_the_page_says_so(client: Client, cultivar: Cultivar, tran: Cultivar, now: datetime) -> None:
    address = f"{PAGE}{cultivar.pk}/{tran.pk}/"
    seen = client.get(address).context["look"].seen
    join(cultivar.pk, tran.pk, now=now)
    response = client.post(address, {"seen": seen})
    assert response.status_code == 422
    assert "Red Tran was joined with Red Tarn already." in check_page(response)


def test_one_and_itself_or_nobody_are_refused(client: Client, cultivar: Cultivar) -> None:
    response = client.get(f"{PAGE}{cultivar.pk}/{cultivar.pk}/")
    assert "cannot be joined with itself" in check_page(response)
    assert client.get(f"{PAGE}{cultivar.pk}/{uuid7()}/").status_code == 404
    assert client.get(f"{PAGE}joined/{uuid7()}/").status_code == 404


def test_what_came_in_under_the_old_name_is_offered_first(
    client: Client, cultivar: Cultivar, tran: Cultivar, graft: Callable[..., Any], now: datetime
) -> None:
    join(cultivar.pk, tran.pk, now=now)
    graft(2, cultivar=tran.pk)
    page = check_page(client.get(PAGE))
    assert "Since the names were joined came in: 2 plants under Red Tran." in page
    _joined(client, cultivar, tran)
    assert "Since the names were joined" not in check_page(client.get(PAGE))


def test_of_very_many_labels_so_many_are_written_down_at_once(
    client: Client, cultivar: Cultivar, tran: Cultivar, plants: list[Plant], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(LIMITS, "batch_grafts", 1)
    _, page = _joined(client, cultivar, tran).split("|", 1)
    assert "2 labels still say another name" in page
    assert "The first 1 have their new labels" in page
    assert page.count('name="plant"') == 1
