"""scionary air: a dome's sensor or a file judged; exit code 1 when it was not well."""

import os
import subprocess
import sys
from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from answers.dome_in_book import NOW, keep_weather
from scionary.book.commands import save_noun
from scionary.book.models import Dome, Nursery, Sensor
from scionary.book.readings import store_readings

pytestmark = pytest.mark.django_db


@pytest.fixture
def hot_file(tmp_path: Path) -> Path:
    rows = [f"2026-02-14 {10 + i // 6:02d}:{i % 6 * 10:02d},{34.0 if 12 <= i < 18 else 21.5},{95 + i % 3}" for i in range(36)]
    path = tmp_path / "hot.csv"
    path.write_text("time,temperature (°C),humidity (%)\n" + "\n".join(rows) + "\n", encoding="utf-8")
    return path


def test_a_hot_file_answers_not_well(scionary: Callable[..., Any], hot_file: Path) -> None:
    answer = scionary("air", str(hot_file))
    assert answer.code == 1
    assert "up to 34 °C" in answer.out
    assert f"Limits are assumptions: scionary air {hot_file} --assumptions" in answer.out
    assert "assumes" not in answer.out


def test_the_limits_are_said_in_words_when_they_are_asked_for(scionary: Callable[..., Any], hot_file: Path) -> None:
    said = scionary("air", str(hot_file), "--assumptions").out
    assert "  assumes: harm above 30 °C (" in said
    assert "_c " not in said
    assert "None" not in said


def test_a_quiet_file_answers_well(scionary: Callable[..., Any], hot_file: Path) -> None:
    hot_file.write_text(hot_file.read_text(encoding="utf-8").replace("34.0", "22.0"), encoding="utf-8")
    assert scionary("air", str(hot_file)).code == 0


@pytest.mark.parametrize(("typed", "said"), [([], "name either a file or a dome"), (["--dome", "Dome 9"], "no dome is called")])
def test_what_cannot_be_judged_is_refused(scionary: Callable[..., Any], typed: list[str], said: str) -> None:
    answer = scionary("air", *typed)
    assert (answer.code, said in answer.err) == (2, True)


def test_a_dome_without_a_sensor_says_how_to_read_one_in(scionary: Callable[..., Any]) -> None:
    scionary("bench", "Red Tarn", "--dome", "Dome 1")
    answer = scionary("air", "--dome", "Dome 1")
    assert (answer.code, "scionary import FILE --as logger" in answer.err) == (2, True)


@pytest.mark.parametrize("days", ["nan", "inf", "-inf", "0", "-1", "1e9", "9" * 20])
def test_days_back_are_a_number_that_can_be(scionary: Callable[..., Any], days: str) -> None:
    scionary("bench", "Red Tarn", "--dome", "Dome 1")
    refused = scionary("air", "--dome", "Dome 1", "--days", days)
    assert (refused.code, "Give a number of days above zero" in refused.err) == (2, True)


@pytest.mark.parametrize("rows", ["2026-02-14 10:00,21,95", "2026-02-14 10:00,nan,x\n2026-02-14 11:00,nan,x"])
def test_a_file_that_covers_no_time_is_not_called_well(scionary: Callable[..., Any], tmp_path: Path, rows: str) -> None:
    (tmp_path / "short.csv").write_text(f"time,temperature (°C),humidity (%)\n{rows}\n", encoding="utf-8")
    said = scionary("air", str(tmp_path / "short.csv"))
    assert "too little to judge" in said.out
    assert "Within the limits" not in said.out


def test_a_reader_of_fahrenheit_is_told_the_assumptions_in_it(
    scionary: Callable[..., Any], nursery: Nursery, hot_file: Path, now: datetime
) -> None:
    save_noun(Nursery, {"temperature_unit": "F"}, now=now, pk=nursery.pk)
    said = scionary("air", str(hot_file), "--assumptions").out
    assert "assumes: harm above 86 °F" in said
    assert "°C" not in said


LOGGERS = Path(__file__).parent.parent / "data" / "loggers"


@pytest.fixture
def bare(tmp_path: Path) -> Callable[..., subprocess.CompletedProcess[str]]:
    """The program on a machine without a book."""
    folder = tmp_path / "nothing here"

    def run(*arguments: str) -> subprocess.CompletedProcess[str]:
        kept = {name: value for name, value in os.environ.items() if not name.startswith(("SCIONARY", "DATABASE", "DJANGO"))}
        environment = {**kept, "SCIONARY_BOOK": str(folder / "book.sqlite3"), "TZ": "Europe/Vienna"}
        done = subprocess.run([sys.executable, "-m", "scionary", *arguments], env=environment, capture_output=True, text=True, check=False)
        assert not folder.exists()
        return done

    return run


def test_a_file_is_judged_without_a_book_and_none_is_made(bare: Callable[..., Any], hot_file: Path, tmp_path: Path) -> None:
    done = bare("air", str(hot_file), "--out", str(tmp_path / "report.pdf"))
    assert (done.returncode, done.stderr) == (1, "")
    assert "up to 34 °C" in done.stdout
    assert "The logger's clock is taken to run in Europe/Vienna, as this machine does" in done.stdout
    assert (tmp_path / "report.pdf").read_bytes().startswith(b"%PDF")


@pytest.mark.parametrize(
    ("file", "readings", "flagged"),
    [
        ("dome_1_iso.csv", 40, ""),
        ("dome_2_semicolons.csv", 38, "3 lines: not a number: left blank (line 16, 17, 17)"),
        ("dome_3_month_first.csv", 30, "1 line: the last line is cut off: left out (line 33)"),
        ("dome_4_autumn_change.txt", 12, "4 lines: the clock showed this time twice"),
        ("dome_6_spring_change.csv", 10, "2 lines: the clock jumped over this time: left out"),
    ],
)
def test_files_of_many_shapes_are_judged_and_their_flagged_lines_listed(
    scionary: Callable[..., Any], file: str, readings: int, flagged: str
) -> None:
    path = str(LOGGERS / file)
    answer = scionary("air", path, "--time-zone", "Europe/Vienna", "--json").json
    assert answer["report"]["readings"] == readings
    assert not flagged or any(flagged in note for note in answer["notes"])
    assert "Callus clock" in scionary("air", path, "--time-zone", "Europe/Vienna").out


def hours(count: int, temperature: Callable[[int], float], humidity: Callable[[int], float], head: str = "Time,Temp °C,RH %") -> str:
    rows = [f"2025-{2 + i // 672:02d}-{1 + i // 24 % 28:02d} {i % 24:02d}:00,{temperature(i):g},{humidity(i):g}" for i in range(count)]
    return "\n".join([head, *rows]) + "\n"


def test_fahrenheit_under_a_wrong_header_is_asked_about_and_then_read(scionary: Callable[..., Any], tmp_path: Path) -> None:
    path = tmp_path / "warm.csv"
    path.write_text(hours(96, lambda i: 64 + i % 9, lambda i: 90 + i % 5), encoding="utf-8")
    asked = scionary("air", str(path))
    assert asked.code == 2
    assert "the file says °C, and it was hardly ever below 64: that looks like °F" in asked.err
    read = scionary("air", str(path), "--unit", "F", "--json").json
    assert read["report"]["temperature_c"]["low"] == pytest.approx((64 - 32) / 1.8)


def test_eleven_missing_months_are_unknown_and_not_fine(scionary: Callable[..., Any], tmp_path: Path) -> None:
    path = tmp_path / "year.csv"
    week = hours(100, lambda i: 20 + i % 3 / 10, lambda i: 95 + i % 2)
    path.write_text(week + "2026-01-03 10:00,20,95\n2026-01-03 11:00,20,95\n", encoding="utf-8")
    said = scionary("air", str(path)).out
    assert said.startswith("Half of the time or more is not known")
    assert "nothing written for 332 days" in said
    assert "Not known: 332 days  (Unknown is not fine.)" in said


def _salt_night(path: Path, read_pct: float = 72.5) -> Path:
    lines = [f"2026-02-10 {10 + at // 6:02d}:{at % 6 * 10:02d},20.0,{read_pct}" for at in range(48)]
    path.write_text("time,temperature (°C),humidity (%)\n" + "\n".join(lines) + "\n", encoding="utf-8")
    return path


def test_a_salt_test_is_kept_with_its_logger_and_counts_in_later_logs(
    scionary: Callable[..., Any], hot_file: Path, tmp_path: Path, dome: Dome, now: datetime
) -> None:
    save_noun(Sensor, {"name": "Logger 1", "dome": dome}, now=now)
    kept = scionary("air", str(_salt_night(tmp_path / "salt.csv")), "--salt", "--logger", "logger 1").out
    assert "Kept: Logger 1 +3.0 % since 10 Feb 2026, give or take 0.3 %." in kept
    judged = scionary("air", str(hot_file), "--logger", "Logger 1", "--json")
    assert "Added to humidity after a salt test: Logger 1 +3.0 % since 10 Feb 2026, give or take 0.3 %." in str(judged.json["notes"])
    plain = scionary("air", str(hot_file), "--json")
    told = [answer.json["report"]["relative_humidity_pct"]["mean"] for answer in (judged, plain)]
    assert told[0] - told[1] == pytest.approx(3.0, abs=0.05)


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        (["--logger", "Logger 9"], "no logger that is called Logger 9"),
        (["--logger", "Logger 1", "--offset", "2"], "both an offset and a logger"),
    ],
)
def test_a_logger_that_is_not_known_or_an_offset_beside_it_is_refused(
    scionary: Callable[..., Any], hot_file: Path, dome: Dome, now: datetime, typed: list[str], said: str
) -> None:
    save_noun(Sensor, {"name": "Logger 1", "dome": dome}, now=now)
    answer = scionary("air", str(hot_file), *typed)
    assert (answer.code, said in answer.err) == (2, True)


def test_a_salt_test_gives_an_offset_that_the_log_can_be_judged_with(scionary: Callable[..., Any], tmp_path: Path) -> None:
    test, log = tmp_path / "salt.csv", tmp_path / "log.csv"
    test.write_text(hours(12, lambda _: 20, lambda _: 72.5), encoding="utf-8")
    log.write_text(hours(48, lambda i: 20 + i % 3 / 10, lambda i: 83 + i % 2 / 10), encoding="utf-8")
    assert "Add +3.0 % to this sensor's humidity, give or take 0.3 %." in scionary("air", str(test), "--salt").out
    assert scionary("air", str(log)).code == 1
    corrected = scionary("air", str(log), "--offset", "3.0")
    assert corrected.code == 0
    assert "log.csv: +3.0 % added to every humidity, as you said." in corrected.out


def test_two_files_of_one_dome_are_compared_and_read_as_one(scionary: Callable[..., Any], tmp_path: Path) -> None:
    first, second = tmp_path / "a.csv", tmp_path / "b.csv"
    first.write_text(hours(240, lambda i: 20 + i % 24 / 4, lambda i: 98 - i % 24 / 4), encoding="utf-8")
    second.write_text(hours(240, lambda i: 20.1 + i % 24 / 4, lambda i: 90 - i % 24 / 4), encoding="utf-8")
    said = scionary("air", str(first), "--beside", str(second)).out
    assert "a.csv reads 8 % above b.csv in humidity, steadily: a salt test tells which is right." in said


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        (["--unit", "K"], "'K' is no unit of temperature"),
        (["--time-zone", "Mars/Olympus"], "'Mars/Olympus' is no time zone"),
        (["--offset", "40"], "40 %"),
        (["--column", "nothing"], "'nothing' names no column"),
        (["--column", "rain=temperature"], "there is no column 'rain'"),
        (["--out", "."], "no file is named"),
    ],
)
def test_what_was_typed_wrongly_is_refused(scionary: Callable[..., Any], hot_file: Path, typed: list[str], said: str) -> None:
    refused = scionary("air", str(hot_file), *typed)
    assert (refused.code, said in refused.err) == (2, True), refused.err


def test_a_dome_is_judged_with_who_stood_there_and_its_callus_clock(
    scionary: Callable[..., Any], dome: Dome, graft: Callable[..., Any], now: datetime, tmp_path: Path
) -> None:
    graft(2, days=-9, dome=dome.pk)
    sensor = save_noun(Sensor, {"name": "logger", "dome": dome}, now=now)
    times = np.arange(now.timestamp() - 6 * 86400, now.timestamp(), 600.0)
    rows = np.column_stack([times, 21 + 0.1 * (times // 600 % 3), np.where(times > now.timestamp() - 86400, 70.0, 96.0) + times // 600 % 2])
    store_readings(sensor, rows)
    answer = scionary("air", "--dome", "Dome 1", "--on", "2026-02-14", "--out", str(tmp_path / "dome.pdf"))
    assert answer.code == 1
    assert "2 plants stood there, unions 8 days old. Red Tarn 1 and Red Tarn 2" in answer.out
    assert "since the graft of 5 February" in answer.out
    assert (tmp_path / "dome.pdf").read_bytes().startswith(b"%PDF")
    (dry, *_) = [
        each for each in scionary("air", "--dome", "Dome 1", "--on", "2026-02-14", "--json").json["stretches"] if each["kind"] == "dry"
    ]
    assert dry["plants"] == ["Red Tarn 1", "Red Tarn 2"]
    assert dry["union_ages_days"] == [8, 8]


def test_a_dome_s_air_ends_with_what_tomorrow_brings(scionary: Callable[..., Any], graft: Callable[..., Any], dome: Dome) -> None:
    graft(1, dome=dome.pk, days=120)
    keep_weather(sunny=800.0)
    sensor = save_noun(Sensor, {"name": "Logger 1", "dome_id": dome.pk}, now=NOW)
    store_readings(sensor, np.column_stack([NOW.timestamp() - 600.0 * np.arange(60, 0, -1), np.full(60, 20.0), np.full(60, 95.0)]))
    said = scionary("air", "--dome", "Dome 1", "--on", "2026-06-20").out
    assert "Tomorrow:\n  On Sunday 21 June it will be too hot in Dome 1: shade off " in said
    told = scionary("air", "--dome", "Dome 1", "--on", "2026-06-20", "--json").json
    assert told["tomorrow"]["chance_of_heat"] > 0.5
    assert told["vent_steps"] is None


def test_a_log_of_temperature_alone_is_told_as_that(scionary: Callable[..., Any], tmp_path: Path) -> None:
    rows = [f"2026-02-{1 + n // 24:02d} {n % 24:02d}:00,{19 + n % 3},{50 + n % 9}" for n in range(120)]
    (tmp_path / "warm.csv").write_text("\n".join(["time,temp_c,wetness", *rows]))
    shown = scionary("air", str(tmp_path / "warm.csv"))
    assert shown.out.startswith("Humidity was not measured; the temperature was within the limits")
    for words in (
        "Columns not read: wetness.",
        "humidity not measured. 119 hours",
        "Below 85 %: not known",
        "no humidity written for 5 days",
    ):
        assert words in shown.out
    assert "nothing written" not in shown.out
    assert "too little to judge" not in shown.out


def test_a_sensor_that_stands_still_is_named(scionary: Callable[..., Any], tmp_path: Path) -> None:
    rows = [f"2026-02-01 {n:02d}:00,20,80" for n in range(20)]
    (tmp_path / "still.csv").write_text("\n".join(["time,temp_c,rh_pct", *rows]))
    told = scionary("air", str(tmp_path / "still.csv")).out
    assert told.count("thermometer stands still for 19 h") == told.count("humidity sensor stands still for 19 h") == 1


def test_dew_point_wet_bulb_and_vapour_are_in_the_report(scionary: Callable[..., Any], tmp_path: Path) -> None:
    rows = [f"2026-02-01 {n:02d}:00,20,{50 + n % 2 * 0.2:.1f}" for n in range(20)]
    (tmp_path / "even.csv").write_text("\n".join(["time,temp_c,rh_pct", *rows]))
    found = scionary("air", str(tmp_path / "even.csv"), "--json").json["moisture"]
    assert found["dew_point_c"]["mean"] == pytest.approx(9.3, abs=0.1)
    assert found["wet_bulb_c"]["mean"] == pytest.approx(13.8, abs=0.15)
    assert found["absolute_humidity_g_m3"]["mean"] == pytest.approx(8.65, abs=0.05)
    told = scionary("air", str(tmp_path / "even.csv")).out
    assert "Dew point: 9" in told
    assert "Water in the air: 8.6 g/m³" in told or "Water in the air: 8.7 g/m³" in told


def test_a_column_of_light_is_told_and_a_lamp_may_be_named(scionary: Callable[..., Any], tmp_path: Path) -> None:
    rows = [f"2026-02-{14 + hour // 24} {hour % 24:02d}:00,21,95,{7100 if 8 <= hour % 24 < 18 else 0}" for hour in range(48)]
    path = tmp_path / "lit.csv"
    path.write_text("Time,Temp (°C),RH (%),Light (lux)\n" + "\n".join(rows) + "\n", encoding="utf-8")
    assert "Light of a day (DLI): 4.7 mol/m² on the mean of 2 whole days" in scionary("air", str(path)).out
    assert scionary("air", str(path), "--light", "metal-halide", "--json").json["light"]["mean"] == pytest.approx(3.6)
    refused = scionary("air", str(path), "--light", "moon")
    assert (refused.code, "high-pressure-sodium" in refused.err) == (2, True)
