"""Labels printed before the day, and grafts that take their codes."""

from __future__ import annotations

from datetime import UTC, datetime

import pypdfium2
import pytest

from scionary.answers.bench_day import BenchWords, write_bench_day
from scionary.answers.labels_ahead import counted, labels_ahead_pdf, numbers_on_labels
from scionary.answers.undoing import undo_once
from scionary.book.commands import start_book
from scionary.book.leases import AHEAD, take_numbers
from scionary.book.models import CodeLease, Nursery, Plant
from scionary.book.phones import codes_at_hand, lease_codes, name_phone
from scionary.errors import Refused
from scionary.files.symbols import read_symbols
from scionary.names import code_of, grouped, number_of

NOW = datetime(2026, 7, 10, 9, 0, tzinfo=UTC)


@pytest.fixture
def nursery(db: None) -> Nursery:
    return start_book(now=NOW, name="Tarn Bridge", time_zone="Europe/Zurich")


def printed(count: int, nursery: Nursery, **more: int) -> list[str]:
    """Codes on labels printed ahead, as they stand on the sheet."""
    page = pypdfium2.PdfDocument(labels_ahead_pdf(count, nursery=nursery, now=NOW, **more).pdf)[0]  # type: ignore[arg-type]
    assert "name" in page.get_textpage().get_text_range()
    return [symbol.text for symbol in read_symbols(page.render(scale=3).to_pil())]


def written(codes: str, nursery: Nursery, count: int | None = None) -> list[Plant]:
    numbers = numbers_on_labels(codes)
    words = BenchWords("Red Tarn", counted(count, numbers), NOW.date(), numbers=numbers)
    return write_bench_day(words, nursery, now=NOW).plants


def test_grafts_take_the_codes_of_labels_in_the_order_given(nursery: Nursery) -> None:
    codes = printed(5, nursery)
    assert len(set(codes)) == 5
    lost = f"?{codes[1][1:]}"  # one character faded
    plants = written(f"{grouped(codes[3])}, {lost.lower()}", nursery)
    assert [(plant.spoken, code_of(plant.code_number or 0)) for plant in plants] == [("Red Tarn 1", codes[3]), ("Red Tarn 2", codes[1])]


def test_numbers_set_aside_are_never_issued_otherwise(nursery: Nursery) -> None:
    codes = set(printed(3, nursery)) | set(printed(3, nursery))
    issued = take_numbers("", 250, now=NOW)
    assert len(codes) == 6
    assert not codes & {code_of(number) for number in issued}


def test_two_copies_carry_one_code(nursery: Nursery) -> None:
    codes = printed(2, nursery, copies=2)
    assert (len(codes), len(set(codes))) == (4, 2)


def test_a_code_is_used_once_even_when_its_graft_is_undone(nursery: Nursery) -> None:
    code = printed(1, nursery)[0]
    numbers = numbers_on_labels(code)
    made = write_bench_day(BenchWords("Red Tarn", 1, NOW.date(), numbers=numbers), nursery, now=NOW)
    with pytest.raises(Refused, match=f"a plant was written down with {grouped(code)} before"):
        written(code, nursery)
    undo_once(made.events[0], now=NOW)
    with pytest.raises(Refused, match="not even of a graft that was undone"):
        written(code, nursery)
    assert not Plant.objects.filter(running_number=2).exists()


def test_codes_that_stand_on_no_such_label_are_refused(nursery: Nursery) -> None:
    first, second = printed(2, nursery)
    unprinted = code_of(number_of(second) + 1)
    for typed, said in (
        (unprinted, "stands on no label printed ahead"),
        (f"{first}, {first}", "is given twice"),
        (f"{first[:4]}???", "look at the label again"),
        ("nonsense", "nonsense"),
    ):
        with pytest.raises(Refused, match=f"(?i){said}"):
            written(typed, nursery)
    with pytest.raises(Refused, match="3 grafts, but 2 codes"):
        written(f"{first}, {second}", nursery, count=3)
    assert not Plant.objects.exists()


def test_a_graft_that_the_book_refused_from_a_phone_is_written_by_hand_with_its_code(nursery: Nursery) -> None:
    phone = name_phone("Mara's phone", now=NOW).device
    number = lease_codes(phone, now=NOW)[3]
    made = write_bench_day(BenchWords("Red Tarn", 1, NOW.date(), numbers=numbers_on_labels(code_of(number))), nursery, now=NOW)
    assert made.plants[0].code_number == number
    assert min(codes_at_hand(phone)) == number + 1, "the phone gives it to no other plant"
    with pytest.raises(Refused, match="was written down with"):
        written(code_of(number), nursery)


def test_a_code_that_this_machine_gives_by_itself_is_not_typed_in(nursery: Nursery) -> None:
    [number] = take_numbers("", 1, now=NOW)
    with pytest.raises(Refused, match="stands on no label printed ahead"):
        written(code_of(number + 1), nursery)


def test_labels_that_cannot_be_printed_set_nothing_aside(nursery: Nursery) -> None:
    for wrong in ({"count": 0}, {"count": 2001}, {"count": 3, "start_at": 24}, {"count": 3, "copies": 9}):
        with pytest.raises(Refused):
            labels_ahead_pdf(**wrong, nursery=nursery, now=NOW)  # type: ignore[arg-type]
    assert not CodeLease.objects.filter(device__name=AHEAD).exists()
