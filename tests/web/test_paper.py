"""Paper: printing keeps a sheet, and its page takes what is ticked on it."""

from __future__ import annotations

import io
import re
from collections.abc import Callable
from datetime import timedelta
from typing import Any
from uuid import uuid4

import pypdfium2
import pytest
from django.test import Client
from django.utils import timezone

from nursery_clock import today_at_nursery
from scionary.answers.bench_setting import BenchSetting, set_bench
from scionary.answers.paper import print_round
from scionary.book.commands import Written, save_noun
from scionary.book.ids import uuid7
from scionary.book.models import BenchDay, Cultivar, Dome, DomeState, Event, Graft, Method, Nursery, Plant, PrintedSheet
from scionary.names.sheet_codes import sheet_code_of
from web.rendered import check_page

pytestmark = pytest.mark.django_db


@pytest.fixture
def three(graft: Callable[..., Written], dome: Dome, method: Method) -> list[Plant]:
    return graft(3, happened_at=timezone.now() - timedelta(days=32), dome=dome.pk, method=method.pk, places=(1, 2, 3)).plants


@pytest.fixture
def a_round(client: Client, three: list[Plant], dome: Dome) -> PrintedSheet:
    client.post("/paper/round/", {"dome": [str(dome.pk)]})
    return PrintedSheet.objects.get()


@pytest.fixture
def bench(cultivar: Cultivar, nursery: Nursery) -> BenchDay:
    setting = BenchSetting("Red Tarn", today_at_nursery(), dome="Dome 1")
    return set_bench(setting, nursery=nursery, now=timezone.now(), ident=uuid7()).bench


def keyed(client: Client, sheet: PrintedSheet, **ticks: Any) -> Any:
    return client.post(f"/paper/{sheet.code}/", {"day": today_at_nursery().isoformat(), **ticks})


def signs() -> int:
    return Event.objects.filter(kind__in=("scored", "lost", "observed")).count()


@pytest.mark.parametrize("door", ["round", "card", "bench"])
def test_printing_keeps_the_sheet_and_leads_to_its_page_and_pdf(
    client: Client, three: list[Plant], dome: Dome, bench: BenchDay, door: str
) -> None:
    doors = {
        "round": ("/paper/round/", {"dome": [str(dome.pk)]}),
        "card": (f"/paper/card/{dome.pk}/", {}),
        "bench": (f"/paper/bench/{bench.pk}/", {"rows": "8"}),
    }
    response = client.post(*doors[door])
    sheet = PrintedSheet.objects.get()
    assert (response.status_code, response.headers["Location"]) == (303, f"/paper/{sheet.code}/?printed=1")
    page, address = check_page(client.get(response.headers["Location"])), f"/paper/{sheet.code}/sheet.pdf"
    assert f'href="{address}" target="_blank">Open the paper to print it' in page
    assert ("Labels of its codes" in page) == (door == "bench")
    pdf = client.get(address)
    assert pdf["Content-Type"] == "application/pdf"
    assert len(pypdfium2.PdfDocument(io.BytesIO(pdf.content))) == 1
    assert client.get(address).content == pdf.content
    assert "Open the paper to print it" not in check_page(client.get(f"/paper/{sheet.code}/"))


@pytest.mark.parametrize("address", ["/paper/", "/paper/{}/", "/paper/{}/sheet.pdf"])
def test_looking_writes_nothing(client: Client, a_round: PrintedSheet, address: str) -> None:
    count = Event.objects.count()
    assert client.get(address.format(a_round.code)).status_code == 200
    assert (Event.objects.count(), PrintedSheet.objects.count()) == (count, 1)


@pytest.mark.parametrize("door", ["/paper/round/", "/paper/card/{}/", "/paper/bench/{}/", "/paper/S22222/undo/"])
def test_what_prints_or_writes_is_no_link(client: Client, nursery: Nursery, door: str) -> None:
    assert client.get(door.format(uuid4())).status_code == 405


def test_paper_lists_what_was_printed_and_what_can_be(client: Client, a_round: PrintedSheet, dome: Dome) -> None:
    text = check_page(client.get("/paper/"))
    assert f'href="/paper/{a_round.code}/"' in text
    assert "Round sheet, Dome 1" in text
    assert "key it in" in text
    assert f'value="{dome.pk}" checked' in text


def test_a_code_however_typed_leads_to_its_sheet(client: Client, a_round: PrintedSheet) -> None:
    code = a_round.code
    response = client.get("/paper/", {"code": f"{code[:3].lower()} {code[3:]}"})
    assert (response.status_code, response.headers["Location"]) == (303, f"/paper/{code}/")


@pytest.mark.parametrize(
    ("typed", "told"), [("P8W ECYC", "is no code of a sheet"), ("other", "this book printed no sheet"), ("<b>x</b>", "&lt;b&gt;")]
)
def test_a_code_of_no_sheet_keeps_what_was_typed_and_says_why(client: Client, a_round: PrintedSheet, typed: str, told: str) -> None:
    other = next(sheet_code_of(number) for number in range(9) if sheet_code_of(number) != a_round.code)
    response = client.get("/paper/", {"code": other if typed == "other" else typed})
    text = check_page(response)
    assert response.status_code == 422
    assert told.lower() in text.lower()


def test_an_address_of_no_sheet_says_so(client: Client, nursery: Nursery) -> None:
    assert client.get(f"/paper/{sheet_code_of(7)}/").status_code == 404
    assert client.get("/paper/nonsense/").status_code == 422
    assert client.post(f"/paper/{sheet_code_of(7)}/", {"day": "2026-06-14"}).status_code == 404


def test_the_page_has_a_row_a_plant_with_the_boxes_of_the_paper(client: Client, a_round: PrintedSheet) -> None:
    text = check_page(client.get(f"/paper/{a_round.code}/"))
    for number in (1, 2, 3):
        row = text.split(f'id="row-{number}"')[1].split('class="cause"')[0]
        assert f"Red Tarn {number}" in row
        assert re.findall(rf'name="r{number}" value="([a-z-]+)"', row) == [
            "drops", "stays", "bud", "in-leaf", "firm", "unsure", "wilting", "mould", "unchanged", "lost",
        ]  # fmt: skip


def test_a_round_without_stalks_is_laid_out_for_its_fewer_columns(
    client: Client, graft: Callable[..., Written], dome: Dome, a_round: PrintedSheet
) -> None:
    assert "without-stalks" not in client.get(f"/paper/{a_round.code}/").content.decode()
    other = save_noun(Dome, {"name": "Dome 7"}, now=timezone.now())
    graft(2, dome=other.pk, method=Method.objects.get(leafy=False).pk)
    bare = print_round([other.pk], today=today_at_nursery(), now=timezone.now())
    page = check_page(client.get(f"/paper/{bare.code}/"))
    row = page.partition('class="paper-row')[2].partition('class="cause"')[0]
    assert ("without-stalks" in page, row.count('type="checkbox"')) == (True, 8)


def test_one_form_writes_the_whole_sheet_and_says_what_was_not_looked_at(client: Client, a_round: PrintedSheet, three: list[Plant]) -> None:
    assert keyed(client, a_round, r1="firm", r2="lost", c2="dried out", w0="water", v0="33").status_code == 303
    assert [Plant.objects.get(pk=plant.pk).state for plant in three] == ["alive", "dead", "waiting"]
    assert (DomeState.objects.get().vent_pct, DomeState.objects.get().watered_at is not None) == (33, True)
    text = check_page(client.get(f"/paper/{a_round.code}/"))
    assert "2 rows ticked, 1 not looked at" in text
    assert 'name="r1" value="firm" checked' in text
    assert 'value="dried out"' in text
    assert re.search(r'name="v0" value="33" checked', text)


def test_the_same_form_sent_twice_writes_once_and_asks_nothing(client: Client, a_round: PrintedSheet) -> None:
    keyed(client, a_round, r1="firm")
    count = Event.objects.count()
    assert keyed(client, a_round, r1="firm").status_code == 303
    assert Event.objects.count() == count
    assert "it is in the book already" in client.get(f"/paper/{a_round.code}/").content.decode()


def test_a_sheet_keyed_before_asks_before_it_changes(client: Client, a_round: PrintedSheet, three: list[Plant]) -> None:
    keyed(client, a_round, r1="firm")
    asked = keyed(client, a_round, r1="lost", r3="mould")
    text = check_page(asked)
    assert asked.status_code == 200
    assert "keyed in before" in text
    assert "2 new, 1 undone" in text
    assert 'name="r3" value="mould" checked' in text
    assert Plant.objects.get(pk=three[0].pk).state == "alive"
    keyed(client, a_round, r1="lost", r3="mould", again="yes")
    assert [Plant.objects.get(pk=plant.pk).state for plant in three] == ["dead", "waiting", "waiting"]


def test_the_whole_sheet_is_undone_in_one(client: Client, a_round: PrintedSheet, three: list[Plant]) -> None:
    keyed(client, a_round, r1="firm", r2="firm")
    client.post(f"/paper/{a_round.code}/undo/")
    assert {Plant.objects.get(pk=plant.pk).state for plant in three} == {"waiting"}
    assert "Undone: 2 records" in client.get(f"/paper/{a_round.code}/").content.decode()


@pytest.mark.parametrize(
    ("sent", "told"),
    [
        ({"r1": ["firm", "lost"]}, "Row 1, Red Tarn 1: firm and lost are both ticked"),
        ({"r1": "<script>"}, "Row 1, Red Tarn 1: it has no box"),
        ({"r9": "firm"}, "Row 9: the sheet has no row 9"),
        ({"r999999": "firm"}, "Row 999999: the sheet has no row"),
        ({"v0": "4000"}, "no opening of vents"),
        ({"v0": "-1"}, "no opening of vents"),
        ({"day": "soon"}, "is no day"),
        ({"day": ""}, "is no day"),
        ({"day": "2100-01-01"}, "Day: 2100-01-01 cannot be"),
        ({"day": "2019-01-01"}, "Day: 2019-01-01 cannot be"),
    ],
)
def test_what_cannot_be_keeps_what_was_ticked_and_writes_nothing(
    client: Client, a_round: PrintedSheet, sent: dict[str, Any], told: str
) -> None:
    before = signs()
    response = keyed(client, a_round, **{"r2": "mould", **sent})
    text = check_page(response)
    assert response.status_code == 422
    assert told in text.replace("&#x27;", "'")
    assert 'name="r2" value="mould" checked' in text
    assert (signs(), PrintedSheet.objects.get().keyed_at) == (before, None)


def test_five_hundred_rows_that_are_not_on_the_sheet_are_refused(client: Client, a_round: PrintedSheet) -> None:
    response = keyed(client, a_round, **{f"r{number}": "firm" for number in range(1, 501)})
    assert response.status_code == 422
    assert signs() == 0


def test_a_plant_that_moved_or_left_since_says_so_at_its_row(client: Client, a_round: PrintedSheet, three: list[Plant], write: Any) -> None:
    other = save_noun(Dome, {"name": "Dome 2"}, now=timezone.now())
    write("moved", three[0], days=1, dome=other.pk, place=1)
    write("left", three[1], days=1, how="sale")
    rows = check_page(client.get(f"/paper/{a_round.code}/")).split("data-row>")
    assert "it stands in Dome 2 now" in rows[1]
    assert "it has left by sale or gift" in rows[2]
    keyed(client, a_round, r1="firm", r2="firm")
    assert Event.objects.filter(kind="scored").count() == 2


def test_a_dome_card_is_keyed_on_its_tray_with_its_dates(client: Client, three: list[Plant], dome: Dome) -> None:
    client.post(f"/paper/card/{dome.pk}/")
    card = PrintedSheet.objects.get()
    text = check_page(client.get(f"/paper/{card.code}/"))
    assert text.count('class="paper-pot"') == 3
    assert text.count('class="paper-pot free"') > 0
    line = re.search(r'name="t(\d+)" value="done"', text)
    assert line
    keyed(client, card, r1="firm", r3="lost", **{f"t{line[1]}": "done", f"e{line[1]}": today_at_nursery().isoformat()})
    assert [Plant.objects.get(pk=plant.pk).state for plant in three] == ["alive", "waiting", "dead"]
    assert DomeState.objects.exists()
    assert f'name="t{line[1]}" value="done" checked' in client.get(f"/paper/{card.code}/").content.decode()


def test_a_bench_sheet_becomes_grafts_with_its_codes(client: Client, bench: BenchDay) -> None:
    client.post(f"/paper/bench/{bench.pk}/", {"rows": "4"})
    sheet = PrintedSheet.objects.get()
    assert check_page(client.get(f"/paper/{sheet.code}/")).count("data-row>") == 4
    keyed(client, sheet, m1="made", s1="7", i1="6.5", m2="made", a2="above", b2="disinfected", m4="made", o4="bleeds")
    grafts = list(Plant.objects.order_by("running_number"))
    assert [plant.code_number for plant in grafts] == [sheet.layout["numbers"][at] for at in (0, 1, 3)]
    assert [(plant.grafts.get().stock_mm, plant.grafts.get().scion_mm) for plant in grafts] == [(7.0, 6.5), (7.0, 6.5), (None, None)]
    assert Event.objects.get(kind="blade_cleaned").payload["how"] == "disinfected"
    text = check_page(client.get(f"/paper/{sheet.code}/"))
    assert 'value="7 mm"' in text
    assert 'name="m4" value="made" checked' in text
    assert not keyed(client, sheet, m1="made", s1="7", i1="6.5", m2="made", a2="above", b2="disinfected", m4="made", o4="bleeds").content
    labels = client.get(f"/paper/{sheet.code}/labels.pdf")
    assert labels["Content-Type"] == "application/pdf"


def test_cut_and_lean_are_keyed_and_as_above_takes_them_too(client: Client, bench: BenchDay) -> None:
    client.post(f"/paper/bench/{bench.pk}/", {"rows": "3"})
    sheet = PrintedSheet.objects.get()
    keyed(client, sheet, m1="made", s1="7", i1="3", l1="18", k1="0", m2="made", a2="above", k2="1.3", m3="made")
    grafts = [plant.grafts.get() for plant in Plant.objects.order_by("running_number")]
    sizes = [(graft.stock_mm, graft.scion_mm, graft.cut_mm, graft.lean_mm) for graft in grafts]
    assert sizes == [(7.0, 3.0, 18.0, 0.0), (7.0, 3.0, 18.0, 1.3), (None,) * 4]
    text = check_page(client.get(f"/paper/{sheet.code}/"))
    assert 'name="l1" value="18 mm"' in text
    assert 'name="k1" value="0 mm"' in text
    assert 'name="k3" value=""' in text


def test_as_above_stays_ticked_and_follows_when_the_row_before_is_put_right(client: Client, bench: BenchDay) -> None:
    client.post(f"/paper/bench/{bench.pk}/", {"rows": "4"})
    sheet = PrintedSheet.objects.get()
    keyed(client, sheet, m1="made", s1="6.5", i1="3", m2="made", a2="above", m3="made", a3="above", i3="4", m4="made", s4="6.5", i4="4")
    text = check_page(client.get(f"/paper/{sheet.code}/"))
    for field in ('name="a2" value="above" checked', 'name="a3" value="above" checked', 'name="s2" value=""', 'name="i3" value="4 mm"'):
        assert field in text
    assert 'name="a4" value="above" checked' not in text
    again = {"m2": "made", "a2": "above", "m3": "made", "a3": "above", "i3": "4", "m4": "made", "s4": "6.5", "i4": "4"}
    asked = keyed(client, sheet, m1="made", s1="6.4", i1="3", **again)
    assert "3 changed" in asked.content.decode()
    keyed(client, sheet, m1="made", s1="6.4", i1="3", again="yes", **again)
    sizes = [(graft.stock_mm, graft.scion_mm) for graft in Graft.objects.order_by("plant__running_number")]
    assert sizes == [(6.4, 3.0), (6.4, 3.0), (6.4, 4.0), (6.5, 4.0)]


@pytest.mark.parametrize(
    ("sent", "told"),
    [
        ({"m1": "made", "s1": "thick"}, "row 1: 'thick' is no length"),
        ({"b2": ["changed", "disinfected"]}, "both ticked"),
        ({"m7": "made"}, "no row 7"),
        ({"m1": "made", "l1": "0.2"}, "row 1: 0.2 mm is out of range"),
        ({"m1": "made", "k1": "left"}, "row 1: 'left' is no length"),
        ({"k1": "0"}, "row 1: a size or a note stands there without a graft"),
    ],
)
def test_a_bench_row_that_cannot_be_is_refused_whole(client: Client, bench: BenchDay, sent: dict[str, Any], told: str) -> None:
    client.post(f"/paper/bench/{bench.pk}/", {"rows": "3"})
    response = keyed(client, PrintedSheet.objects.get(), **{"m3": "made", **sent})
    assert response.status_code == 422
    assert told.lower() in response.content.decode().replace("&#x27;", "'").lower()
    assert not Plant.objects.exists()


@pytest.mark.parametrize(
    ("rows", "told"), [("0", "0 rows"), ("101", "101 rows"), ("many", "no number"), ("", "no number"), ("9" * 30, "rows")]
)
def test_a_number_of_rows_that_cannot_be_sets_no_codes_aside(client: Client, bench: BenchDay, rows: str, told: str) -> None:
    response = client.post(f"/paper/bench/{bench.pk}/", {"rows": rows})
    assert response.status_code == 422
    assert told in response.content.decode()
    assert not PrintedSheet.objects.exists()


def test_no_dome_or_one_of_nobody_is_refused(client: Client, nursery: Nursery) -> None:
    assert client.post("/paper/round/", {}).status_code == 422
    assert client.post("/paper/round/", {"dome": [str(uuid4())]}).status_code == 404
    assert client.post("/paper/round/", {"dome": ["x"]}).status_code == 404


def test_a_camera_is_led_to_the_sheet_whose_symbol_it_sees(client: Client, a_round: PrintedSheet) -> None:
    pdf = client.get(f"/paper/{a_round.code}/sheet.pdf").content
    picture = io.BytesIO()
    pypdfium2.PdfDocument(io.BytesIO(pdf))[0].render(scale=2).to_pil().save(picture, "PNG")
    picture.name = "camera.png"
    picture.seek(0)
    for sent in ({"text": a_round.code}, {"frame": picture}):
        answer = client.post("/paper/seen/", sent)
        assert answer.json()["to"] == f"/paper/{a_round.code}/"
    refused = client.post("/paper/seen/", {"text": "P8WECYC"})
    assert (refused.status_code, "no code of a sheet" in refused.json()["words"]) == (422, True)


def test_domes_and_bench_lead_to_paper(client: Client, three: list[Plant], dome: Dome, bench: BenchDay) -> None:
    assert f'action="/paper/card/{dome.pk}/"' in check_page(client.get(f"/domes/{dome.pk}/"))
    assert 'href="/paper/"' in check_page(client.get("/domes/"))
    assert 'href="/paper/"' in check_page(client.get("/bench/"))
    client.post(f"/paper/bench/{bench.pk}/", {"rows": "3"})
    day = check_page(client.get(f"/bench/{bench.pk}/"))
    assert f'action="/paper/bench/{bench.pk}/"' in day
    assert f'href="/paper/{PrintedSheet.objects.get().code}/"' in day


def test_a_card_whose_boxes_stand_in_a_list_is_keyed_in_the_order_of_the_list(
    client: Client, graft: Callable[..., Written], dome: Dome
) -> None:
    graft(30, happened_at=timezone.now() - timedelta(days=32), dome=dome.pk)
    client.post(f"/paper/card/{dome.pk}/")
    text = check_page(client.get(f"/paper/{PrintedSheet.objects.get().code}/"))
    assert 'class="paper-list three"' in text
    assert re.findall(r'id="row-(\d+)"', text) == [str(number) for number in range(1, 31)]


def test_pots_on_a_tray_stand_in_the_order_of_the_drawing(client: Client, graft: Callable[..., Written], dome: Dome) -> None:
    graft(10, happened_at=timezone.now() - timedelta(days=32), dome=dome.pk)
    client.post(f"/paper/card/{dome.pk}/")
    text = check_page(client.get(f"/paper/{PrintedSheet.objects.get().code}/"))
    assert re.findall(r'id="row-(\d+)"', text) == ["6", "7", "8", "9", "10", "1", "2", "3", "4", "5"]
