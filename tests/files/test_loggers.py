"""Logger files of several makes of mess, and what is told about each."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import numpy as np
import pytest

from scionary.errors import BadFile, BadValue
from scionary.files.loggers import LoggerFile, read_logger

LOGGERS = Path(__file__).parent.parent / "data" / "loggers"
HEAD = "Time,Temp °C,RH %\n"


def read(file: str, **choices: object) -> LoggerFile:
    """Read one of the sample files in the valley's own time."""
    return read_logger((LOGGERS / file).read_bytes(), name=file, **{"time_zone": "Europe/Vienna", **choices})  # type: ignore[arg-type]


def read_text(text: str, **choices: object) -> LoggerFile:
    """Read a text as if it were a file."""
    return read_logger(text.encode(), name="made.csv", **{"time_zone": "UTC", **choices})  # type: ignore[arg-type]


def utc(*parts: int) -> float:
    """Seconds of a moment in UTC."""
    return datetime(*parts, tzinfo=UTC).timestamp()  # type: ignore[misc,arg-type]


def test_plain_file_is_read_whole_in_local_time() -> None:
    log = read("dome_1_iso.csv")
    assert len(log.time_s) == 40
    assert log.time_s[0] == utc(2025, 2, 20, 5)  # 06:00 in the valley
    assert (log.interval_s, log.gaps, log.problems) == (600.0, (), ())
    assert (log.temperature_c[1], log.relative_humidity_pct[1]) == (20.4, 91.4)


def test_preamble_decimal_commas_and_a_second_column_for_the_time_of_day() -> None:
    log = read("dome_2_semicolons.csv")
    assert log.understood.encoding == "cp1252"
    assert log.understood.header_line == 5
    assert log.understood.time_column == "Datum + Uhrzeit"
    assert log.time_s[0] == utc(2025, 3, 11, 21)
    assert log.temperature_c[1] == pytest.approx(20.4)


def test_error_words_become_missing_and_are_told_with_their_line() -> None:
    log = read("dome_2_semicolons.csv")
    assert [(problem.line, problem.text) for problem in log.problems] == [(16, "OL"), (17, "---"), (17, "---")]
    assert np.isnan(log.temperature_c).sum() == 2
    assert np.isnan(log.relative_humidity_pct).sum() == 2  # a word and a blank


def test_repeated_line_is_counted_and_a_gap_found() -> None:
    log = read("dome_2_semicolons.csv")
    assert (log.rows, len(log.time_s), log.duplicates, log.conflicts) == (39, 38, 1, 0)
    assert log.gaps == ((utc(2025, 3, 12, 1, 45), utc(2025, 3, 12, 3, 30)),)


def test_one_missing_reading_is_a_gap() -> None:
    log = read_text(HEAD + "".join(f"2025-02-28 10:{minute:02d},20,80\n" for minute in (0, 10, 20, 40, 50)))
    assert log.gaps == ((utc(2025, 2, 28, 10, 20), utc(2025, 2, 28, 10, 40)),)


def test_fahrenheit_month_first_and_half_days() -> None:
    log = read("dome_3_month_first.csv")
    assert log.understood.unit == "F"
    assert log.temperature_c[0] == pytest.approx(20.0)
    assert log.time_s[0] == utc(2025, 3, 13, 2, 30)  # 09:30 PM at five hours west, as the header says
    assert "month/day/year" in log.understood.date_form


def test_last_line_cut_off_is_left_out_and_told() -> None:
    log = read("dome_3_month_first.csv")
    assert len(log.time_s) == 30
    assert log.problems[0].what.startswith("the last line is cut off")
    assert log.problems[0].line == 33


def test_repeated_hour_of_autumn_is_told_apart_by_order() -> None:
    log = read("dome_4_autumn_change.txt")
    assert log.understood.encoding == "utf-16"
    assert np.diff(log.time_s).tolist() == [1800.0] * 11
    assert log.problem_counts == {"the clock showed this time twice: told apart by the order of the rows": 4}


def test_repeated_hour_is_told_apart_in_a_file_that_runs_backwards() -> None:
    rows = ["2025-10-26 03:00", "2025-10-26 02:30", "2025-10-26 02:00", "2025-10-26 02:30", "2025-10-26 02:00", "2025-10-26 01:30"]
    log = read_text(HEAD + "\n".join(f"{row},20,{80 + at}" for at, row in enumerate(rows)), time_zone="Europe/Vienna")
    assert np.diff(log.time_s).tolist() == [1800.0] * 5
    assert log.relative_humidity_pct.tolist() == [85, 84, 83, 82, 81, 80]


def test_hour_shown_once_only_is_taken_as_the_first_and_told() -> None:
    log = read_text(HEAD + "2025-10-26 02:30,20,80\n2025-10-26 03:30,20,80\n", time_zone="Europe/Vienna")
    assert log.time_s[0] == utc(2025, 10, 26, 0, 30)
    assert "does not say which" in log.problems[0].what


def test_hour_that_the_clock_jumps_over_is_left_out() -> None:
    log = read("dome_6_spring_change.csv")
    skipped = [problem.text for problem in log.problems if "jumped over" in problem.what]
    assert skipped == ["2025-03-30T02:00", "2025-03-30T02:30"]
    fixed = read("dome_6_spring_change.csv", time_zone="UTC+1")
    assert len(fixed.time_s) == len(log.time_s) + 2
    assert not any("jumped over" in problem.what for problem in fixed.problems)


def test_what_no_sensor_measures_is_blanked_and_a_little_above_hundred_is_hundred() -> None:
    log = read("dome_6_spring_change.csv")
    assert {problem.text for problem in log.problems} >= {"850.0 °C", "131.0 %", "102.5 %"}
    assert np.nanmax(log.relative_humidity_pct) == 100.0
    assert np.nanmax(log.temperature_c) < 30.0


def test_second_reading_for_the_same_time_is_told_and_the_first_kept() -> None:
    log = read("dome_6_spring_change.csv")
    assert (log.conflicts, log.out_of_order) == (1, 1)
    assert log.temperature_c[1] == 20.4
    assert np.all(np.diff(log.time_s) > 0)


def test_dates_that_fit_two_orders_are_asked_about() -> None:
    with pytest.raises(BadFile, match=r"dome_5_which_order.csv, line 2, Time: dates such as '03/04/2025 08:00'.*dmy.*mdy"):
        read("dome_5_which_order.csv")
    assert read("dome_5_which_order.csv", date_order="dmy").time_s[0] == utc(2025, 4, 3, 6)
    assert read("dome_5_which_order.csv", date_order="mdy").time_s[0] == utc(2025, 3, 4, 7)


def test_days_that_follow_one_another_in_one_order_only_settle_it() -> None:
    log = read_text(HEAD + "".join(f"{day:02d}/02/2025 {hour:02d}:00,20,80\n" for day in (3, 4, 5, 6) for hour in (0, 12)))
    assert log.time_s[0] == utc(2025, 2, 3)
    assert "follow one another" in log.understood.date_form


def test_dates_in_no_single_order_are_refused() -> None:
    text = HEAD + "13/02/2025 10:00,20,80\n02/14/2025 10:00,20,80\n15/02/2025 10:00,20,80\n02/16/2025 10:00,20,80\n"
    with pytest.raises(BadFile, match="no single order"):
        read_text(text)


def test_date_order_that_does_not_fit_is_refused() -> None:
    with pytest.raises(BadFile, match="do not exist as month/day/year"):
        read_text(HEAD + "13/02/2025 10:00,20,80\n14/02/2025 10:00,20,80\n", date_order="mdy")
    with pytest.raises(BadValue, match="date_order is 'dym'"):
        read_text(HEAD + "13/02/2025 10:00,20,80\n", date_order="dym")


def test_day_that_does_not_exist_is_left_out_with_its_line() -> None:
    log = read_text(HEAD + "2025-02-28 10:00,20,80\n2025-02-30 10:00,20,80\n2025-03-01 25:10,20,80\n")
    assert len(log.time_s) == 1
    assert [problem.line for problem in log.problems] == [3, 4]


def test_offset_in_each_row_wins_over_the_zone() -> None:
    log = read_text(HEAD + "2025-02-28T10:00:00+02:00,20,80\n2025-02-28T10:00:00Z,20,80\n", time_zone="Europe/Vienna")
    assert log.time_s.tolist() == [utc(2025, 2, 28, 8), utc(2025, 2, 28, 10)]


def test_no_unit_and_values_that_could_be_fahrenheit_are_asked_about() -> None:
    text = "Time,Temperature,Humidity\n2025-02-28 10:00,68.0,80\n2025-02-28 11:00,69.0,80\n"
    with pytest.raises(BadFile, match="neither header nor cells say °C or °F"):
        read_text(text)
    assert read_text(text, unit="F").temperature_c[0] == pytest.approx(20.0)


def test_no_unit_and_mild_values_are_celsius_and_said_so() -> None:
    log = read_text("Time,Temperature,Humidity\n2025-02-28 10:00,18.0,80\n")
    assert log.understood.assumptions == ("no unit is named: temperatures are taken as °C",)


def test_unit_may_stand_in_the_cells() -> None:
    log = read_text("Time,Temperature,Humidity\n2025-02-28 10:00,68 °F,80 %\n2025-02-28 10:10,69.8 °F,81 %\n")
    assert log.temperature_c.tolist() == pytest.approx([20.0, 21.0])
    assert log.relative_humidity_pct.tolist() == [80, 81]


def test_two_columns_that_could_be_the_temperature_are_asked_about() -> None:
    text = "Time,Inside °C,Outside °C,RH %\n2025-02-28 10:00,20,5,80\n2025-02-28 10:10,21,6,80\n"
    with pytest.raises(BadFile, match="2 columns could be the temperature: 'Inside °C', 'Outside °C'"):
        read_text(text)
    assert read_text(text, columns={"temperature": "outside °c"}).temperature_c[0] == 5
    assert read_text(text, columns={"temperature": 3}).temperature_c[0] == 5


def test_named_column_that_is_not_there_lists_those_that_are() -> None:
    with pytest.raises(BadFile, match=r"no column 'Warmth'. Columns are: 1 'Time', 2 'Temp °C'"):
        read_text(HEAD + "2025-02-28 10:00,20,80\n", columns={"temperature": "Warmth"})


def test_dew_point_is_not_taken_for_the_temperature() -> None:
    log = read_text("Time,Dew point °C,Temp °C,RH %\n2025-02-28 10:00,12,20,80\n")
    assert log.temperature_c[0] == 20


def test_without_headers_the_order_of_columns_is_assumed_and_said() -> None:
    log = read_text("2025-02-28 10:00;20,5;80\n2025-02-28 10:10;20,6;81\n")
    assert log.temperature_c.tolist() == [20.5, 20.6]
    assert "no headers" in log.understood.assumptions[0]


def test_stray_quote_does_not_swallow_the_rest() -> None:
    log = read_text(HEAD + '2025-02-28 10:00,"20,80\n2025-02-28 10:10,21,80\n2025-02-28 10:20,22,80\n')
    assert len(log.time_s) == 3
    assert [problem.line for problem in log.problems] == [2]


@pytest.mark.parametrize(
    ("data", "message"),
    [
        (b"", "empty"),
        (b"\xef\xbb\xbf", "no line was found|empty"),
        (b"PK\x03\x04rest", "spreadsheet or an archive"),
        (b"%PDF-1.4", "a PDF"),
        (b"abc\x00\x01\x02def, 1\n" * 30, "bytes that are no text"),
        (b"just some words\nand more of them\n", "no line was found that holds a date"),
        (b"Time,Temp\n2025-02-28 10:00,word\n", "no line was found|no column of temperature"),
    ],
)
def test_what_is_no_logger_file_is_refused(data: bytes, message: str) -> None:
    with pytest.raises(BadFile, match=message):
        read_logger(data, name="made.csv", time_zone="UTC")


def test_file_above_the_limit_is_refused() -> None:
    with pytest.raises(BadFile, match="at most"):
        read_logger(b"x" * 200, name="made.csv", time_zone="UTC", limit_bytes=100)


def test_unknown_zone_is_refused() -> None:
    with pytest.raises(BadValue, match="time_zone is 'Tarn/Bridge'"):
        read_text(HEAD + "2025-02-28 10:00,20,80\n", time_zone="Tarn/Bridge")


def test_many_problems_of_one_kind_are_counted_and_few_kept() -> None:
    log = read_text(HEAD + "".join(f"2025-02-28 10:{minute:02d},OL,80\n" for minute in range(60)))
    assert log.problem_counts == {"not a number: left blank": 60}
    assert len(log.problems) == 20


def log_of(temperatures: list[float], humidity: str = "80", header: str = "Time,Temp,RH\n") -> str:
    return header + "".join(f"2025-02-{1 + i // 24:02d} {i % 24:02d}:00,{t:g},{humidity}\n" for i, t in enumerate(temperatures))


MILD_F = [36.0 + i % 24 / 2 for i in range(72)]  # 2 to 9 °C


def test_mild_fahrenheit_without_a_unit_is_asked_about() -> None:
    with pytest.raises(BadFile, match=r"neither header nor cells say .*hardly ever below 36: that looks like °F"):
        read_text(log_of(MILD_F, header="Time,Temp,RH\n"))
    assert read_text(log_of(MILD_F), unit="F").temperature_c[0] == pytest.approx((36 - 32) / 1.8)


def test_a_header_that_says_celsius_over_fahrenheit_is_asked_about() -> None:
    with pytest.raises(BadFile, match="the file says °C, and it was hardly ever below 36: that looks like °F"):
        read_text(log_of(MILD_F, header="Time,Temp °C,RH\n"))
    assert read_text(log_of(MILD_F, header="Time,Temp °C,RH\n"), unit="C").temperature_c[0] == 36.0


def test_a_hot_afternoon_is_not_taken_for_fahrenheit() -> None:
    hot = [18.0 + 20.0 * (i % 24 in (13, 14, 15)) for i in range(72)]
    assert read_text(log_of(hot, header="Time,Temp °C,RH\n")).temperature_c.max() == 38.0


@pytest.mark.parametrize(
    ("written", "read_as", "told"),
    [
        ("0", None, "air in a dome is never at 0 %, a failed sensor says so: left blank"),
        ("100", 100.0, None),
        ("105", 100.0, "a little above 100 %: read as 100 %"),
        ("105.1", None, "outside 0 to 105 %: left blank"),
        ("-3", None, "outside 0 to 105 %: left blank"),
    ],
)
def test_humidities_at_the_edge_are_read_or_told(written: str, read_as: float | None, told: str | None) -> None:
    log = read_text("Time,Temp °C,RH\n2025-02-01 10:00,20,80\n2025-02-01 10:10,20," + written + "\n")
    assert (None if np.isnan(log.relative_humidity_pct[1]) else log.relative_humidity_pct[1]) == read_as
    assert [(problem.line, problem.what) for problem in log.problems] == ([(3, told)] if told else [])


def test_humidities_as_shares_are_refused() -> None:
    with pytest.raises(BadFile, match="between 0 and 1 in every line: it seems to be a share"):
        read_text(log_of([20.0] * 5, humidity="0.92"))


@pytest.mark.parametrize("heads", ["temp_c,rh_pct", "temp_C,hum", "t_c,rh", "T,RH"])
def test_short_headings_with_a_unit_behind_them_are_understood(heads):
    log = read_logger(f"time,{heads}\n2025-03-01 10:00,19,91\n2025-03-01 10:10,20,92\n".encode(), name="log.csv", time_zone="UTC")
    assert log.temperature_c.tolist() == [19, 20]
    assert log.relative_humidity_pct.tolist() == [91, 92]
    assert log.understood.unread == ()


def test_columns_of_a_log_that_are_not_understood_are_named():
    log = read_logger(b"time,temp_c,wetness,battery\n2025-03-01 10:00,19,91,3.1\n2025-03-01 10:10,20,92,3.1\n", name="x", time_zone="UTC")
    assert log.understood.unread == ("wetness", "battery")
