"""scionary weather and scionary cut."""

from __future__ import annotations

import math
import os
import subprocess
import sys
from collections.abc import Callable
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest
from django.utils import timezone

from answers.test_weather_import import daily
from answers.test_weather_stamps import station
from nursery_clock import today_at_nursery
from scionary.book.models import Event, MotherTree, WeatherStation


@pytest.fixture
def file(tmp_path: Path) -> Path:
    path = tmp_path / "beck.csv"
    path.write_bytes(daily(timezone.localdate() - timedelta(days=900), 900, low=-2.0, high=9.0, rain=2.0))  # one test has no book
    return path


def test_a_file_is_reported_and_nothing_is_written(scionary: Callable[..., Any], file: Path) -> None:
    shown = scionary("weather", str(file))
    assert shown.code == 0
    for words in ("900 days. No gap. Nothing is written.", "Heat: ", "Frost: ", "spring of", "rain mm"):
        assert words in shown.out
    assert not WeatherStation.objects.exists()


def test_gaps_and_faults_end_with_1_and_are_named(scionary: Callable[..., Any], tmp_path: Path) -> None:
    rows = daily(today_at_nursery() - timedelta(days=60), 60).decode().splitlines()
    (tmp_path / "gaps.csv").write_text("\n".join([*rows[:20], *rows[30:], rows[-1].replace(",9.0,", ",75.0,")]))
    shown = scionary("weather", str(tmp_path / "gaps.csv"), "--json")
    assert shown.code == 1
    assert len(shown.json["gaps"]) == 1
    assert shown.json["conflicts"] + len(shown.json["problems"]) >= 1


def test_a_column_is_named_by_its_heading_or_number(scionary: Callable[..., Any], tmp_path: Path) -> None:
    text = daily(today_at_nursery() - timedelta(days=30), 30).decode().replace("rain (mm)", "X7")
    (tmp_path / "named.csv").write_text(text)
    for typed in ("X7=rain", "4=rain"):
        assert scionary("weather", str(tmp_path / "named.csv"), "--column", typed, "--json").json["understood"]["columns"]["rain"] == "X7"
    assert scionary("weather", str(tmp_path / "named.csv"), "--column", "rain").code == 2
    assert scionary("weather", str(tmp_path / "named.csv"), "--unit", "temperature").code == 2


def test_what_an_hours_time_means_is_told_or_found_by_its_sun(scionary: Callable[..., Any], tmp_path: Path) -> None:
    (tmp_path / "hours.csv").write_bytes(station())
    typed = ("weather", str(tmp_path / "hours.csv"), "--time-zone", "UTC")
    found = scionary(*typed, "--latitude", "54.2", "--longitude", "-2.5")
    assert (
        "By the sun of 6 clear or evenly dull days its rows stand for: air as it stood then, sun and rain of the time before it."
        in found.out
    )
    assert scionary(*typed, "--stands-for", "end", "--json").json["understood"]["stands_for"] == "end"
    assert scionary(*typed, "--stands-for", "noon").code == 2
    assert scionary(*typed, "--longitude", "190").code == 2


def test_a_file_is_taken_in(scionary: Callable[..., Any], file: Path) -> None:
    assert scionary("weather", str(file), "--take-in", "--station", "Beck").out.startswith("Beck: 900 new days")
    assert WeatherStation.objects.get().name == "Beck"
    assert scionary("weather", str(file), "--take-in", "--json").json["known"] == 900


def test_what_is_no_weather_file_is_refused(scionary: Callable[..., Any], tmp_path: Path) -> None:
    (tmp_path / "no.csv").write_text("a,b\n1,2\n")
    assert scionary("weather", str(tmp_path / "no.csv")).code == 2
    assert scionary("weather", str(tmp_path / "gone.csv")).code == 2
    assert scionary("weather", str(tmp_path / "no.csv"), "--latitude", "95").code == 2


@pytest.mark.own_book
def test_no_book_is_needed_and_none_is_made(file: Path, tmp_path: Path) -> None:
    gone = {"DATABASE_URL", "DJANGO_SETTINGS_MODULE", "SCIONARY_SECRET_KEY"}
    surroundings = {name: value for name, value in os.environ.items() if name not in gone}
    surroundings["SCIONARY_BOOK"] = str(tmp_path / "none" / "book.sqlite3")
    command = [sys.executable, "-c", "from scionary.cli import main; main()", "weather", str(file), "--latitude", "-37"]
    done = subprocess.run(command, capture_output=True, text=True, env=surroundings, check=False)
    assert (done.returncode, "Frost: " in done.stdout) == (0, True), done.stderr
    assert not (tmp_path / "none").exists()


def test_three_answers_and_a_look_make_the_verdict(scionary: Callable[..., Any], tree: MotherTree, in_leaf: None) -> None:
    assert scionary("cut").code == 1
    said = ("--soaked", "yes", "--firm", "yes", "--dry", "yes", "--wood", "half-ripe")
    shown = scionary("cut", "--tree", "Red Tarn", *said)
    assert shown.code == 0
    assert ": good. " in shown.out
    assert not Event.objects.filter(kind="tree_seen").exists()
    bad = scionary("cut", "--tree", tree.name, "--firm", "no", "--json")
    assert (bad.code, bad.json["rating"]) == (1, "bad")


def test_answers_are_kept_where_it_is_said(scionary: Callable[..., Any], tree: MotherTree, in_leaf: None) -> None:
    scionary("cut", "--tree", tree.name, "--soaked", "yes", "--firm", "yes", "--dry", "yes", "--wood", "ripe", "--keep")
    assert Event.objects.get(kind="tree_seen").payload["stage"] == "ripe"
    assert scionary("cut").code == 0
    assert scionary("cut", "--json").json[0]["rating"] == "good"
    assert "assumes: soak mm" in scionary("cut", "--assumptions").out


@pytest.mark.parametrize("wrong", [("--soaked", "perhaps"), ("--wood", "hard"), ("--keep",)])
def test_what_is_no_answer_is_refused(scionary: Callable[..., Any], tree: MotherTree, wrong: tuple[str, ...]) -> None:
    assert scionary("cut", "--tree", tree.name, *wrong).code == 2


def test_an_answer_without_a_tree_is_refused(scionary: Callable[..., Any], tree: MotherTree) -> None:
    assert "no tree is named. Say at which tree" in scionary("cut", "--soaked", "yes").err


def test_where_the_book_holds_no_tree_none_is_asked_for(scionary: Callable[..., Any]) -> None:
    assert "The book holds none: write it down under Book" in scionary("cut", "--soaked", "yes").err


def test_chill_of_a_winter_with_a_hole_is_a_range(scionary: Callable[..., Any], tmp_path: Path) -> None:
    today = today_at_nursery()
    rows = daily(today - timedelta(days=900), 900, low=-2.0, high=9.0).decode().splitlines()
    (tmp_path / "hole.csv").write_text("\n".join([*rows[:-420], *rows[-300:]]))
    command = ("weather", str(tmp_path / "hole.csv"), "--latitude", "47.2")
    said, told = scionary(*command, "--json").json["chill"], scionary(*command).out
    wide = [each for each in said if each["hours_missing"]]
    assert wide
    for each in wide:
        assert f"{each['portions_low']:.0f} to {each['portions_high']:.0f}" in told
        assert f"{each['units_low']:.0f} to {each['units_high']:.0f}" in told


def test_a_winter_under_way_says_until_when_it_is_counted(scionary: Callable[..., Any], tmp_path: Path) -> None:
    (tmp_path / "half.csv").write_bytes(daily(date(2024, 6, 1), 600, low=-2.0, high=9.0))
    shown = scionary("weather", str(tmp_path / "half.csv"), "--latitude", "47.2", "--json")
    assert {each["spring"]: each["until"] for each in shown.json["chill"]} == {2026: "2026-01-21", 2025: None}
    assert "2026, until " in scionary("weather", str(tmp_path / "half.csv"), "--latitude", "47.2").out


@pytest.mark.parametrize(
    ("frosty", "said"),
    [
        (["06-20", "06-21"], "After 21 June a frost came in at most one year of ten. Until 8 October none had come in nine years of ten."),
        (["06-20", "07-05", "08-01"], "Frost can come nearly all summer: only from 5 July to 31 July did one come"),
        (
            [f"{month:02d}-{day:02d}" for month in range(4, 11) for day in range(1, 31, 3)],
            "Frost can come in any month: not even the warmest days were free of it",
        ),
    ],
)
def test_frosts_of_summer_are_not_told_as_none(scionary: Callable[..., Any], tmp_path: Path, frosty: list[str], said: str) -> None:
    rows = ["date,tmax (°C),tmin (°C)"]
    for number in range(6 * 365):
        when = date(2018, 12, 21) + timedelta(days=number)
        warm = 9.0 + 8.0 * math.cos(2 * math.pi * ((when - date(2019, 7, 20)).days) / 365.25)
        cold = -1.0 if f"{when:%m-%d}" in [*frosty, "03-01", "10-09"] else warm
        rows.append(f"{when},{warm + 8.0:.1f},{cold:.2f}")
    (tmp_path / "summer.csv").write_text("\n".join(rows))
    frost = scionary("weather", str(tmp_path / "summer.csv"), "--latitude", "60").out.partition("Frost: ")[2].splitlines()[0]
    assert frost.startswith(said)
