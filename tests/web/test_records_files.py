"""Files of past records and wish lists: look, answer, take in, take out again."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client

from scionary.book.commands import save_noun
from scionary.book.models import Cultivar, Dome, Job, Method, Nursery, Plant, RawFile, RootstockLot, Tally, Wish
from scionary.limits import LIMITS
from web.rendered import check_page

pytestmark = pytest.mark.django_db

DATA = Path(__file__).parents[1] / "data"


def _look(client: Client, name: str, what: str = "past") -> Any:
    file = SimpleUploadedFile(name, (DATA / name).read_bytes())
    return client.post("/book/import/look/", {"what": what, "file": file})


def _fields(response: Any, **more: str) -> dict[str, str]:
    """The fields of a preview's form as a browser would send them, every near name answered: a cultivar of its own."""
    context = response.context
    fields = {"sha256": context["sha256"], "what": context["given"]["what"], "rows": str(len(context["preview"].rows))}
    for column in context["columns"]:
        fields |= {f"header_{column.field}": column.header, f"role_{column.field}": column.chosen}
    for asked in context["names"]:
        fields |= {f"name_{asked.field}": asked.name, f"means_{asked.field}": asked.name}
    return fields | more


@pytest.mark.parametrize("name", ["past_one_row_a_graft.csv", "past_wide_by_year.csv", "past_counts.xlsx"])
def test_a_look_says_what_each_row_becomes_and_writes_no_record(client: Client, nursery: Nursery, name: str) -> None:
    text = check_page(_look(client, name))
    assert "Nothing is written yet." in text
    assert "not understood" in text
    assert not Plant.objects.exists()
    assert not Tally.objects.exists()


def test_rows_not_understood_stop_it_until_they_are_left_out(client: Client, nursery: Nursery) -> None:
    look = _look(client, "past_wide_by_year.csv")
    answers = {question.argument: question.choices[0][0] for question in look.context["preview"].questions}
    refused = client.post("/book/import/accept/", _fields(look, **answers))
    assert refused.status_code == 422
    assert not Tally.objects.exists()
    taken = client.post("/book/import/accept/", _fields(look, skip="1", **answers), follow=True)
    assert "taken in as" in check_page(taken)
    assert Tally.objects.exists()


def test_a_file_taken_in_can_be_taken_out_again(client: Client, nursery: Nursery) -> None:
    look = _look(client, "past_wide_by_year.csv")
    client.post("/book/import/accept/", _fields(look, skip="1"))
    assert "past_wide_by_year.csv" in check_page(client.get("/book/import/"))
    check_page(client.post("/book/import/undo/", {"sha256": look.context["sha256"]}, follow=True))
    assert not Tally.objects.filter(retired=False).exists()


def test_the_same_file_is_not_taken_in_twice(client: Client, nursery: Nursery) -> None:
    look = _look(client, "past_wide_by_year.csv")
    client.post("/book/import/accept/", _fields(look, skip="1"))
    count = Tally.objects.count()
    again = client.post("/book/import/accept/", _fields(look, skip="1"))
    assert again.status_code == 422
    assert "taken in on" in again.content.decode()
    assert Tally.objects.count() == count


def test_a_column_can_be_left_out(client: Client, nursery: Nursery) -> None:
    look = _look(client, "past_wide_by_year.csv")
    fields = _fields(look)
    stock = next(column for column in look.context["columns"] if column.header == "Stock")
    again = client.post("/book/import/look/", {**fields, f"role_{stock.field}": "ignore"})
    check_page(again)
    assert look.context["preview"].lots
    assert not again.context["preview"].lots


def test_a_name_spelt_nearly_alike_is_asked_about_and_heeded(client: Client, nursery: Nursery) -> None:
    look = _look(client, "past_wide_by_year.csv")
    asked = next(name for name in look.context["names"] if name.name == "Merrybek")
    answer = {f"name_{asked.field}": asked.name, f"means_{asked.field}": "Merrybeck"}
    again = client.post("/book/import/look/", _fields(look, **answer))
    check_page(again)
    assert "Merrybek" not in [name.name for name in again.context["preview"].cultivars]


def test_a_wish_list_becomes_wishes(client: Client, nursery: Nursery) -> None:
    look = _look(client, "wishes.csv", "wishes")
    assert "Nothing is written yet." in check_page(look)
    assert f"Growing year {look.context['preview'].season}: autumn " in look.content.decode()
    assert not Wish.objects.exists()
    text = check_page(client.post("/book/import/accept/", _fields(look, skip="1"), follow=True))
    assert Wish.objects.filter(cultivar__spoken="Red Tarn", wanted=20).exists()
    assert "20 Red Tarn" in text


def test_many_rows_go_to_the_worker(client: Client, nursery: Nursery) -> None:
    look = _look(client, "past_wide_by_year.csv")
    response = client.post("/book/import/accept/", _fields(look, skip="1", rows="401"), follow=True)
    job = Job.objects.get()
    assert job.work == "import past records"
    assert "hx-get" in check_page(response)
    stopped = check_page(client.post(f"/work/{job.pk}/stop/", follow=True))
    assert "Stopped" in stopped
    assert not Tally.objects.exists()


@pytest.mark.parametrize(
    ("name", "data", "told"),
    [("empty.csv", b"", "empty"), ("picture.xlsx", b"\x89PNG nothing", ""), ("words.csv", b"just some words\n", "")],
)
def test_a_file_that_cannot_be_read_is_told_at_the_field(client: Client, nursery: Nursery, name: str, data: bytes, told: str) -> None:
    response = client.post("/book/import/look/", {"what": "past", "file": SimpleUploadedFile(name, data)})
    assert response.status_code == 422
    assert told in response.context["form"].errors["file"][0]


def test_no_file_keeps_the_form(client: Client, nursery: Nursery) -> None:
    response = client.post("/book/import/look/", {"what": "wishes"})
    assert response.status_code == 422
    assert "Choose a file." in response.content.decode()


def test_an_offer_of_nobody_is_refused_in_words(client: Client, nursery: Nursery) -> None:
    response = client.post("/book/import/accept/", {"sha256": "0" * 64, "what": "past"})
    assert response.status_code == 422
    assert "no longer kept" in response.content.decode()


def test_a_file_that_is_too_large_is_refused_before_it_is_read(client: Client, dome: Dome) -> None:
    data = bytes(LIMITS["file_bytes"] + 1)
    for address, more in (("/book/import/look/", {"what": "past"}), (f"/domes/{dome.pk}/log/", {})):
        response = client.post(address, {"file": SimpleUploadedFile("past.csv", data), **more})
        assert response.status_code == 422
        assert "The file has 40.0 MB; at most 40.0 MB are read. Split it." in check_page(response)
    assert not RawFile.objects.exists()


@pytest.mark.parametrize(("name", "what"), [("past_wide_by_year.csv", "past"), ("near.csv", "wishes")])
def test_near_names_are_asked_alike_with_nothing_chosen_and_must_be_answered(
    client: Client, nursery: Nursery, cultivar: Cultivar, name: str, what: str
) -> None:
    if what == "past":
        look = _look(client, name)
    else:
        file = SimpleUploadedFile(name, b"cultivar,wanted\nRed Tran,5\n")
        look = client.post("/book/import/look/", {"what": what, "file": file})
    text = check_page(look)
    assert "another one?" in text
    assert "checked" not in text[text.index("another one?") : text.index("Take it in")]
    open_fields = {field: value for field, value in _fields(look, skip="1").items() if not field.startswith("means_")}
    refused = client.post("/book/import/accept/", open_fields)
    assert refused.status_code == 422
    assert "something is not answered yet" in refused.content.decode()
    assert not Wish.objects.exists()
    assert not Tally.objects.exists()
    assert client.post("/book/import/accept/", _fields(look, skip="1")).status_code == 303


@pytest.mark.parametrize(
    ("what", "text"),
    [
        ("past", b"cultivar,grafts,takes firm,year\nAsh Gill,10,7,2024\nAsh Gil,5,2,2024\n"),
        ("wishes", b"cultivar,wanted\nAsh Gill,10\nAsh Gil,3\n"),
    ],
)
def test_near_names_within_one_file_are_asked_about_in_an_empty_book(client: Client, nursery: Nursery, what: str, text: bytes) -> None:
    look = client.post("/book/import/look/", {"what": what, "file": SimpleUploadedFile("list.csv", text)})
    page = check_page(look)
    assert "Is “Ash Gil” another one?" in page
    assert "New to the book: cultivars Ash Gil and Ash Gill." in page
    (asked,) = look.context["names"]
    assert client.post("/book/import/accept/", _fields(look, **{f"means_{asked.field}": ""})).status_code == 422
    assert client.post("/book/import/accept/", _fields(look, **{f"means_{asked.field}": "Ash Gill"})).status_code == 303
    assert list(Cultivar.objects.values_list("spoken", flat=True)) == ["Ash Gill"]


@pytest.mark.parametrize(
    ("answer", "methods"), [("Side graft, leafy", ["Side graft, leafy"]), ("side graft", ["Side graft, leafy", "side graft"])]
)
def test_a_method_nearly_in_the_book_is_asked_about_like_a_cultivar(
    client: Client, nursery: Nursery, cultivar: Cultivar, answer: str, methods: list[str]
) -> None:
    Method.objects.exclude(name="").delete()
    save_noun(Method, {"name": "Side graft, leafy"}, now=datetime(2026, 2, 1, tzinfo=UTC))
    data = b"cultivar,grafts,takes firm,year,method\nRed Tarn,10,7,2024,side graft\n"
    look = client.post("/book/import/look/", {"what": "past", "file": SimpleUploadedFile("list.csv", data)})
    page = check_page(look)
    assert "Is the method “side graft” another one?" in page
    assert "a method of its own" in page
    (asked,) = look.context["names"]
    assert client.post("/book/import/accept/", _fields(look, **{f"means_{asked.field}": ""})).status_code == 422
    again = client.post("/book/import/look/", _fields(look, **{f"means_{asked.field}": answer}))
    assert f'value="{answer}" checked' in check_page(again)
    assert client.post("/book/import/accept/", _fields(again, **{f"means_{asked.field}": answer})).status_code == 303
    assert sorted(Method.objects.values_list("name", flat=True)) == methods


def test_a_stock_lot_nearly_in_the_book_is_asked_about_with_nothing_chosen(client: Client, nursery: Nursery, cultivar: Cultivar) -> None:
    save_noun(RootstockLot, {"name": "S1 seedlings"}, now=datetime(2026, 2, 1, tzinfo=UTC))
    data = b"cultivar,grafts,takes firm,year,stock lot\nRed Tarn,10,7,2024,S1 seedlngs\n"
    look = client.post("/book/import/look/", {"what": "past", "file": SimpleUploadedFile("list.csv", data)})
    page = check_page(look)
    assert "Is the stock lot “S1 seedlngs” another one?" in page
    assert "New to the book: stock lot S1 seedlngs." in page
    (asked,) = look.context["names"]
    assert (asked.chosen, " checked" in page.split("another one?")[1].split("</fieldset>")[0]) == ("", False)
    assert client.post("/book/import/accept/", _fields(look, **{f"means_{asked.field}": ""})).status_code == 422
    assert RootstockLot.objects.count() == 1
    taken = client.post("/book/import/accept/", _fields(look, **{f"means_{asked.field}": "S1 seedlngs"}), follow=True)
    assert "Added to the book: stock lot S1 seedlngs." in check_page(taken)


def test_a_wished_name_put_right_is_taken_in_so(client: Client, nursery: Nursery, cultivar: Cultivar) -> None:
    look = client.post("/book/import/look/", {"what": "wishes", "file": SimpleUploadedFile("near.csv", b"cultivar,wanted\nRed Tran,5\n")})
    (asked,) = look.context["names"]
    client.post("/book/import/accept/", _fields(look, **{f"means_{asked.field}": "Red Tarn"}))
    assert Wish.objects.get().cultivar == cultivar


def test_the_stage_is_asked_first_where_it_decides_what_rows_become(client: Client, nursery: Nursery) -> None:
    data = b"cultivar,date,took\nRed Tarn,2025-02-10,yes\nAsh Gill,2025-02-10,no\nLanthorn,2025-02-11,3/5\n"
    look = client.post("/book/import/look/", {"what": "past", "file": SimpleUploadedFile("stage.csv", data)})
    text = check_page(look)
    assert "Once it is said, 2 rows of one graft become plants of their own." in text
    assert "1 row → counts: a row of several grafts." in text
    assert client.post("/book/import/accept/", _fields(look)).status_code == 422
    said = client.post("/book/import/look/", _fields(look, stage="firm"))
    assert "2 rows → plants of their own" in check_page(said)
    assert client.post("/book/import/accept/", _fields(look, stage="not said")).status_code == 303
    assert Tally.objects.count() == 3


def test_an_order_of_dates_once_said_is_kept_while_the_stage_is_asked(client: Client, nursery: Nursery) -> None:
    data = b"cultivar,date,took\nRed Tarn,03/04/2025,8/10\nAsh Gill,05/06/2025,3/5\n"
    look = client.post("/book/import/look/", {"what": "past", "file": SimpleUploadedFile("order.csv", data)})
    said = check_page(client.post("/book/import/look/", _fields(look, date_order="dmy")))
    assert "At which stage" in said
    assert 'name="date_order" value="dmy"' in said
