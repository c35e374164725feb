"""scionary import: a look first, then all or nothing."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from scionary.book.models import Cultivar, Event, Method, RootstockLot, Sensor, SensorDay, Tally, Wish

pytestmark = pytest.mark.django_db
DATA = Path(__file__).parents[1] / "data"
PAST = [DATA / name for name in ("past_one_row_a_graft.csv", "past_counts.xlsx", "past_wide_by_year.csv")]


@pytest.mark.parametrize("path", PAST, ids=lambda path: path.stem)
def test_a_look_says_what_each_row_becomes_and_writes_nothing(scionary: Callable[..., Any], path: Path) -> None:
    before = Event.objects.count()
    seen = scionary("import", str(path))
    assert seen.code == 1  # there are rows that are not understood
    assert "Nothing is written yet." in seen.out
    assert seen.out.count("not understood:") >= 4
    assert Event.objects.count() == before


@pytest.mark.parametrize("path", PAST, ids=lambda path: path.stem)
def test_rows_not_understood_stop_everything_until_they_are_left_out(scionary: Callable[..., Any], path: Path) -> None:
    refused = scionary("import", str(path), "--accept", "--stage", "in_leaf")
    assert refused.code == 2
    assert "row" in refused.err
    assert not Tally.objects.exists()
    taken = scionary("import", str(path), "--accept", "--stage", "in_leaf", "--skip-not-understood", "--new-names")
    assert taken.code == 0, taken.err
    again = scionary("import", str(path), "--accept", "--stage", "in_leaf", "--skip-not-understood")
    assert again.code == 2
    assert "taken in" in again.err


def test_wishes_come_from_a_list(scionary: Callable[..., Any]) -> None:
    done = scionary(
        "import", str(DATA / "wishes.csv"), "--as", "wishes", "--season", "2027", "--accept", "--skip-not-understood", "--new-names"
    )
    assert done.code == 0, done.err
    assert Wish.objects.filter(season=2027).count() >= 3


def test_a_logger_is_read_into_its_dome(scionary: Callable[..., Any]) -> None:
    scionary("bench", "Red Tarn", "--dome", "Dome 1")
    path = str(DATA / "loggers" / "dome_1_iso.csv")
    assert scionary("import", path, "--as", "logger", "--dome", "Dome 1").code == 0
    assert not SensorDay.objects.exists()
    assert scionary("import", path, "--as", "logger", "--dome", "Dome 1", "--accept").code == 0
    assert Sensor.objects.get().dome.name == "Dome 1"
    assert SensorDay.objects.exists()


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        (["nowhere.csv"], "cannot be read"),
        ([str(PAST[0]), "--column", "Sort"], "names no column"),
        ([str(DATA / "loggers" / "dome_5_which_order.csv"), "--as", "logger"], "more than one order"),
        ([str(Path(__file__).with_name("conftest.py"))], "conftest.py"),
    ],
)
def test_what_cannot_be_read_is_refused_with_place_and_remedy(scionary: Callable[..., Any], typed: list[str], said: str) -> None:
    answer = scionary("import", *typed)
    assert answer.code == 2
    assert said in answer.err


def test_a_logger_file_with_unknown_headers_is_read_once_they_are_named(scionary: Callable[..., Any], tmp_path: Path) -> None:
    path = tmp_path / "logger.csv"
    path.write_text("when,A,B\n" + "".join(f"2026-02-14 {hour:02d}:00,{20 + hour % 3},95\n" for hour in range(24)), encoding="utf-8")
    refused = scionary("import", str(path), "--as", "logger", "--accept")
    assert (refused.code, "--column '2=temperature'" in refused.err) == (2, True)
    assert scionary("import", str(path), "--as", "logger", "--column", "²=temperature").code == 2
    read = scionary("import", str(path), "--as", "logger", "--column", "A=temperature", "--column", "3=humidity", "--accept")
    assert "24 new readings" in read.out


def test_readings_from_a_clock_without_its_date_are_pointed_out(scionary: Callable[..., Any], tmp_path: Path) -> None:
    path = tmp_path / "logger.csv"
    path.write_text("time,temperature,humidity\n1970-01-01 10:00,21,95\n1970-01-01 11:00,22,95\n", encoding="utf-8")
    assert "2 readings are from before 1990" in scionary("import", str(path), "--as", "logger").out


@pytest.mark.parametrize("first", ["Fèll", "Fell"])
def test_a_list_in_two_encodings_is_refused_with_its_line(scionary: Callable[..., Any], tmp_path: Path, first: str) -> None:
    path = tmp_path / "past.csv"
    rows = [f"{first},2025-02-01,10,8\n".encode("latin1"), "Läce,2025-02-01,10,8\n".encode()]
    path.write_bytes(b"Cultivar,Grafted on,Grafts,Took\n" + b"".join(rows) + "Ömber,2025-02-01,5,2\n".encode("latin1"))
    refused = scionary("import", str(path), "--stage", "firm", "--accept")
    assert (refused.code, "past.csv, line 3: this line is written in UTF-8" in refused.err) == (2, True)
    assert not Tally.objects.exists()


def test_past_records_of_a_name_nearly_in_the_book_are_asked_about(scionary: Callable[..., Any], tmp_path: Path) -> None:
    scionary("bench", "Ash Gill")
    path = tmp_path / "old.csv"
    path.write_text("cultivar,grafts,takes,year\nAsh Gil,10,7,2024\n", encoding="utf-8")
    typed = ("import", str(path), "--stage", "firm")
    assert "Look: Ash Gil is new to the book and nearly Ash Gill. --same 'Ash Gil=Ash Gill', or --new-names." in scionary(*typed).out
    refused = scionary(*typed, "--accept")
    assert (refused.code, Tally.objects.count()) == (2, 0)
    assert "Say --same 'Ash Gil=Ash Gill', or --new-names" in refused.err
    assert scionary(*typed, "--accept", "--same", "Ash Gil").code == 2
    assert scionary(*typed, "--accept", "--same", "Ash Gil=Ash Gill").code == 0
    assert Tally.objects.get().cultivar.spoken == "Ash Gill"


def test_a_wish_list_with_a_near_name_is_taken_in_once_it_is_said_to_be_new(scionary: Callable[..., Any], tmp_path: Path) -> None:
    scionary("bench", "Ash Gill")
    path = tmp_path / "wishes.csv"
    path.write_text("cultivar,number\nAsh Gil,10\nFell Lace,3\n", encoding="utf-8")
    typed = ("import", str(path), "--as", "wishes", "--accept")
    assert (scionary(*typed).code, Wish.objects.count()) == (2, 0)
    assert scionary(*typed, "--new-names").code == 0
    assert set(Wish.objects.values_list("cultivar__spoken", flat=True)) == {"Ash Gil", "Fell Lace"}


@pytest.mark.parametrize(
    ("what", "text"),
    [
        ("past", "cultivar,grafts,takes,year\nAsh Gill,10,7,2024\nAsh Gil,5,2,2024\n"),
        ("wishes", "cultivar,number\nAsh Gill,10\nAsh Gil,3\n"),
    ],
)
def test_near_names_within_one_file_are_asked_about_in_an_empty_book(
    scionary: Callable[..., Any], tmp_path: Path, what: str, text: str
) -> None:
    path = tmp_path / "list.csv"
    path.write_text(text, encoding="utf-8")
    typed = ("import", str(path), "--as", what, "--stage", "firm")
    seen = scionary(*typed)
    assert "New to the book: cultivars Ash Gil and Ash Gill." in seen.out
    assert "Look: Ash Gil is new to the book and nearly Ash Gill." in seen.out
    assert (scionary(*typed, "--accept").code, Cultivar.objects.count()) == (2, 0)
    assert scionary(*typed, "--accept", "--same", "Ash Gil=Ash Gil").code == 0
    assert Cultivar.objects.count() == 2


def test_a_method_that_is_part_of_a_known_one_is_asked_about_and_can_be_said_to_be_the_same(
    scionary: Callable[..., Any], tmp_path: Path
) -> None:
    before = Method.objects.count()
    known = Method.objects.get(name="Side graft, leafy, summer")
    path = tmp_path / "list.csv"
    path.write_text("cultivar,grafts,takes,year,method\nAsh Gill,10,7,2024,side graft\n", encoding="utf-8")
    typed = ("import", str(path), "--stage", "firm")
    assert "New to the book: cultivar Ash Gill; method side graft." in scionary(*typed).out
    refused = scionary(*typed, "--accept")
    assert (refused.code, "side graft is new to the book and nearly Side graft, leafy, summer" in refused.err) == (2, True)
    assert scionary(*typed, "--accept", "--same", "side graft=Side graft, leafy, summer").code == 0
    assert (Tally.objects.get().method, Method.objects.count()) == (known, before)


def test_a_question_that_may_stay_open_lets_no_near_name_pass(scionary: Callable[..., Any], tmp_path: Path) -> None:
    path = tmp_path / "list.csv"
    path.write_text(
        "cultivar,grafts,takes,year,stock lot\nAsh Gill,10,7,2024,S1 seedlings\nAsh Gill,5,2,2024,S1 seedlngs\n", encoding="utf-8"
    )
    typed = ("import", str(path))
    assert "Question: At which stage were the takes counted?" in scionary(*typed).out
    refused = scionary(*typed, "--accept")
    assert (refused.code, "S1 seedlngs is new to the book and nearly S1 seedlings" in refused.err) == (2, True)
    assert (Cultivar.objects.count(), RootstockLot.objects.count()) == (0, 0)
    done = scionary(*typed, "--accept", "--same", "S1 seedlngs=S1 seedlings")
    assert "Added to the book: cultivar Ash Gill; stock lot S1 seedlings." in done.out
    assert list(RootstockLot.objects.values_list("name", flat=True)) == ["S1 seedlings"]
