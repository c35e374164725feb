"""Labels from the book's plants."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta

import pypdfium2
import pytest

from scionary.answers.label_sheets import measured_sheet
from scionary.answers.labels import label_texts, labels_pdf, latest_day, plants_grafted_on, plants_to_label
from scionary.book import queries
from scionary.book.commands import GraftSetup, cultivar_called, save_noun, start_book, write_event, write_grafts
from scionary.book.ids import uuid7
from scionary.book.models import Cultivar, Method, Nursery, Plant, RootstockLot
from scionary.book.record import NewEvent, record_events
from scionary.errors import Refused, UnknownSubject
from scionary.files.labels import LabelText
from scionary.names import code_of

NOW = datetime(2026, 7, 10, 9, 0, tzinfo=UTC)
JUNE = datetime(2026, 6, 13, 22, 30, tzinfo=UTC)  # the 14th in Zurich


@pytest.fixture
def nursery(db: None) -> Nursery:
    return start_book(now=NOW, name="Tarn Bridge", time_zone="Europe/Zurich")


def grafted(count: int, **more: object) -> list[Plant]:
    cultivar = save_noun(Cultivar, {"spoken": "Red Tarn", "botanical": "Acer palmatum 'Red Tarn'"}, now=NOW)
    lot = save_noun(RootstockLot, {"name": "24-B"}, now=NOW)
    setup = GraftSetup(cultivar.pk, JUNE, lot=lot.pk, method=Method.objects.order_by("name")[0].pk, **more)  # type: ignore[arg-type]
    return plants_to_label([plant.id for plant in write_grafts(setup, count, now=NOW).plants])


def pages(pdf: bytes) -> list[str]:
    document = pypdfium2.PdfDocument(pdf)
    return [document[at].get_textpage().get_text_range() for at in range(len(document))]


def test_a_label_leads_with_the_name_that_is_said(nursery: Nursery) -> None:
    plant = grafted(1)[0]
    assert label_texts([plant], nursery) == [
        LabelText(
            said="Red Tarn 1",
            code=code_of(plant.code_number or 0),
            name_runs=(("Acer palmatum", True), (" 'Red Tarn'", False)),
            date="2026-06-14",
            method=Method.objects.order_by("name")[0].name,
            stock_lot="stock 24-B",
        )
    ]


def test_a_trade_designation_is_set_apart(nursery: Nursery) -> None:
    plants = grafted(1)
    Cultivar.objects.update(botanical="Acer palmatum 'Red Tarn' TARN GLOW")
    text = label_texts(plants_to_label([plants[0].id]), nursery)[0]
    assert text.trade == "TARN GLOW"
    assert text.name_runs[-1] == (" TARN GLOW", False)


def test_a_date_known_to_the_month_is_printed_so(nursery: Nursery) -> None:
    assert label_texts(grafted(1, precision="month"), nursery)[0].date == "2026-06"


def test_the_sheet_holds_every_label_and_begins_where_it_is_told(nursery: Nursery) -> None:
    plants = grafted(3)
    sheets = labels_pdf(plants, nursery=nursery, start_at=22)
    texts = pages(sheets.pdf)
    assert (sheets.count, len(texts)) == (3, 2)
    assert "Red Tarn 2" in texts[0]
    assert "Red Tarn 3" in texts[1]
    code = code_of(plants[2].code_number or 0)
    assert f"{code[:3]} {code[3:]}" in texts[1]


def test_the_sheet_follows_the_nurserys_paper(nursery: Nursery) -> None:
    nursery.paper = "letter"
    document = pypdfium2.PdfDocument(labels_pdf(grafted(1), nursery=nursery).pdf)
    assert document[0].get_size() == (612.0, 792.0)


def test_a_plant_without_a_code_gets_none_invented(nursery: Nursery) -> None:
    cultivar, ident = cultivar_called("Red Tarn", now=NOW), uuid7()
    payload = {"cultivar": str(cultivar.pk), "running_number": 1}
    record_events([NewEvent("grafted", JUNE, (f"plant:{ident}",), payload)], now=NOW)
    plant = queries.plant(ident)
    assert label_texts([plant], nursery)[0].code == ""
    sheets = labels_pdf([plant], nursery=nursery)
    assert "code pending" in pages(sheets.pdf)[0]
    assert sheets.warnings[0].startswith("Red Tarn 1: no code yet")


def test_an_inferred_name_says_so_on_the_label_until_it_is_confirmed(nursery: Nursery) -> None:
    plant = grafted(1)[0]
    write_event("name_inferred", plant.key, {"chance": 0.937}, happened_at=NOW, now=NOW)
    text = " ".join(pages(labels_pdf([queries.plant(plant.pk)], nursery=nursery).pdf)[0].replace("\xa0", " ").split())
    assert "name inferred, 0.93" in text
    write_event("name_confirmed", plant.key, {}, happened_at=NOW + timedelta(days=1), now=NOW + timedelta(days=1))
    assert "inferred" not in pages(labels_pdf([queries.plant(plant.pk)], nursery=nursery).pdf)[0]


def test_a_doubted_name_says_so_on_the_label_until_the_doubt_ends(nursery: Nursery) -> None:
    plant = grafted(1)[0]
    write_event("name_doubted", plant.key, {"reason": "leaves too red"}, happened_at=NOW, now=NOW)
    assert label_texts([queries.plant(plant.pk)], nursery)[0].stock_lot == "name in doubt"
    write_event("name_doubt_ended", plant.key, {}, happened_at=NOW + timedelta(days=1), now=NOW + timedelta(days=1))
    assert "doubt" not in label_texts([queries.plant(plant.pk)], nursery)[0].stock_lot


def test_a_day_is_one_of_the_calendar_at_the_nursery(nursery: Nursery) -> None:
    assert latest_day(nursery) is None
    plants = grafted(2)
    setup = GraftSetup(plants[0].cultivar_id, JUNE + timedelta(hours=5))  # type: ignore[arg-type]
    later = write_grafts(setup, 1, now=NOW).plants[0]
    write_grafts(GraftSetup(setup.cultivar, JUNE - timedelta(hours=1)), 1, now=NOW)  # the 13th in Zurich
    assert latest_day(nursery) == date(2026, 6, 14)
    assert [plant.id for plant in plants_grafted_on(date(2026, 6, 14), nursery)] == [*(plant.id for plant in plants), later.id]


def test_letters_that_cannot_be_printed_are_told(nursery: Nursery) -> None:
    plants = grafted(1)
    Cultivar.objects.update(spoken="赤 Tarn")
    sheets = labels_pdf(plants_to_label([plants[0].id]), nursery=nursery)
    assert any("赤" in warning for warning in sheets.warnings)


def test_what_cannot_be_printed_is_refused(nursery: Nursery) -> None:
    plants = grafted(1)
    with pytest.raises(Refused, match="no plant is chosen"):
        labels_pdf([], nursery=nursery)
    with pytest.raises(Refused, match=r"no label sheet is called 'b7'. Sheets: a4-24 \(A4, 24 labels\)"):
        labels_pdf(plants, nursery=nursery, preset="b7")
    with pytest.raises(Refused, match=r"the sheet has no place 25. Give a place from 1 to 24"):
        labels_pdf(plants, nursery=nursery, start_at=24)
    with pytest.raises(Refused, match="width of all labels"):
        measured_sheet(columns=9)
    with pytest.raises(UnknownSubject, match="no plant with the id"):
        plants_to_label([uuid7()])
