"""Weather files as they come: daily and hourly, in any unit and language, with their faults."""

import json
import random
from datetime import date, datetime
from io import BytesIO

import numpy as np
import pytest
import xlsxwriter

from scionary.errors import BadFile
from scionary.files.weather import read_weather

ZONE = "Europe/Vienna"


def read(text, **more):
    data = text if isinstance(text, bytes) else text.encode()
    return read_weather(data, **({"name": "w.csv", "time_zone": ZONE} | more))


def daily(rows, header="date,tmax (°C),tmin (°C),rain (mm)"):
    return "\n".join([header, *rows])


WEEK = [f"2025-03-0{day},{10 + day}.5,{day}.0,{day / 2}" for day in range(1, 8)]


def test_a_plain_daily_file():
    found = read(daily(WEEK))
    assert (found.step, len(found.dates), found.gaps) == ("day", 7, ())
    assert (found.temperature_max_c[0], found.temperature_min_c[6], found.rain_mm[1]) == (11.5, 7.0, 1.0)
    assert np.isnan(found.wind_m_s).all()
    assert found.understood.assumptions == ()
    assert found.words() == "2025-03-01 to 2025-03-07: 7 days. No gap."
    json.dumps(found.to_dict())


@pytest.mark.parametrize(
    "header",
    [
        "Datum;Höchsttemperatur [°C];Tiefsttemperatur [°C];Niederschlag [mm]",
        "MESS_DATUM;TXK;TNK;RSK",
        "DATE;TMAX;TMIN;PRCP",
        "time;temperature_2m_max (°C);temperature_2m_min (°C);precipitation_sum (mm)",
        "Jour;Température maximale (°C);Température minimale (°C);Pluie (mm)",
    ],
)
def test_headings_are_found_by_meaning(header):
    rows = [f"2025-03-0{day};{day},5;-{day};0,4" for day in range(1, 5)]
    found = read("\n".join([header, *rows]))
    assert (found.temperature_max_c[1], found.temperature_min_c[1], found.rain_mm[1]) == (2.5, -2.0, 0.4)


def test_lines_about_the_place_stand_before_the_headings():
    text = "latitude,longitude,elevation,utc_offset_seconds,timezone,timezone_abbreviation\n47.2,9.6,610.0,3600,Europe/Vienna,CET\n\n"
    text += "time,temperature_2m_max (°C),temperature_2m_min (°C),sunrise (iso8601),rain_sum (mm)\n"
    text += "".join(f"2025-03-0{day},{day}.5,{-day}.0,2025-03-0{day}T06:40,0.0\n" for day in range(1, 6))
    found = read(text)
    assert (len(found.dates), found.temperature_min_c[4], found.understood.header_line) == (5, -5.0, 4)


def test_a_line_of_units_belongs_to_the_headings():
    found = read("date,tmax,tmin,rain,wind\n,°F,°F,in,mph\n" + "".join(f"2025-03-0{d},50,32,1,10\n" for d in range(1, 4)))
    assert (found.temperature_max_c[0], found.temperature_min_c[0], found.rain_mm[0]) == (pytest.approx(10.0), 0.0, 25.4)
    assert found.wind_m_s[0] == pytest.approx(4.4704)
    assert found.understood.assumptions == ()


def test_year_month_and_day_in_columns_of_their_own():
    found = read("Year,Month,Day,Temp Max (C),Temp Min (C)\n2024,2,28,9,1\n2024,2,29,10,2\n2024,3,1,11,3\n")
    assert found.dates.astype(str).tolist() == ["2024-02-28", "2024-02-29", "2024-03-01"]
    assert found.temperature_max_c[1] == 10.0


def test_a_leap_day_in_a_year_that_has_none_is_told():
    found = read(daily(["2025-02-28,9,1,0", "2025-02-29,9,1,0", "2025-03-01,9,1,0"]))
    assert len(found.dates) == 2
    assert [(each.line, each.what) for each in found.problems] == [(3, "no date that exists: left out")]


def test_a_spreadsheet_with_real_dates():
    out = BytesIO()
    book = xlsxwriter.Workbook(out)
    sheet, form = book.add_worksheet(), book.add_format({"num_format": "yyyy-mm-dd"})
    sheet.write_row(0, 0, ["Day", "High (°F)", "Low (°F)", "Rain (in)"])
    for row in range(1, 5):
        sheet.write_datetime(row, 0, datetime.combine(date(2025, 3, row), datetime.min.time()), form)
        sheet.write_row(row, 1, [50 + row, 32, 0.5])
    book.close()
    found = read_weather(out.getvalue(), name="w.xlsx", time_zone=ZONE)
    assert (str(found.dates[0]), found.temperature_min_c[0], found.rain_mm[0]) == ("2025-03-01", 0.0, 12.7)


def test_fahrenheit_without_a_word_is_asked_not_guessed():
    with pytest.raises(BadFile, match=r"w\.csv, line 1: neither header nor cells say °C or °F.*Give unit"):
        read(daily([f"2025-07-0{day},84,61,0" for day in range(1, 8)], header="date,tmax,tmin,rain"))


def test_fahrenheit_of_a_cool_spring_is_caught_by_what_no_place_is():
    with pytest.raises(BadFile, match="warmer than any place on earth"):
        read(daily([f"2025-03-0{day},48,36,0" for day in range(1, 8)], header="date,tmax,tmin,rain"))
    with pytest.raises(BadFile, match="taken as °C, half of the temperatures lie above"):
        read(daily([f"2025-07-0{day},84,61,0" for day in range(1, 8)]))


def test_the_person_s_unit_wins_and_inches_are_assumed_aloud():
    found = read(daily(["2025-07-01,84.2,59,0.5", "2025-07-02,84.2,59,0"], header="date,tmax,tmin,rain"), units={"temperature": "F"})
    assert (found.temperature_max_c[0], found.rain_mm[0]) == (pytest.approx(29.0), 12.7)
    assert found.understood.assumptions == ("no unit of rain is named: taken as in because the temperatures are in °F",)


def test_tenths_of_a_degree_are_asked_and_read():
    rows = ["2025-07-01,284,159,0", "2025-07-02,291,164,12"]
    with pytest.raises(BadFile, match="C/10"):
        read(daily(rows, header="date,tmax,tmin,prcp"))
    found = read(daily(rows, header="date,tmax,tmin,prcp"), units={"temperature": "C/10", "rain": "mm/10"})
    assert (found.temperature_max_c[0], found.rain_mm[1]) == (28.4, pytest.approx(1.2))


def test_eleven_missing_months_are_told_and_kept():
    rows = [f"2025-01-{day:02d},5,1,0" for day in range(1, 32)] + ["2026-01-01,5,1,0", "2026-01-02,5,1,0"]
    found = read(daily(rows))
    assert found.gaps == (("2025-02-01", "2025-12-31"),)
    assert len(found.dates) == 367
    assert found.missing == {"temperature_max": 334, "temperature_min": 334, "rain": 334}
    assert "2025-02-01 to 2025-12-31" in found.words()


def test_codes_blanks_and_traces():
    found = read(daily(["2025-03-01,-9999,1,T", "2025-03-02,,M,0.4", "2025-03-03,9,2,broken"]))
    assert np.isnan(found.temperature_max_c[:2]).all()
    assert found.rain_mm[0] == 0.0
    assert found.problem_counts == {
        "a code for a missing value: left blank": 1,
        "a trace of rain: read as 0": 1,
        "not a number: left blank": 1,
    }
    assert [(each.line, each.column, each.text) for each in found.problems][-1] == (4, "rain (mm)", "broken")


def test_what_no_weather_is_is_blanked_with_its_row():
    rows = ["2025-03-01,75,1,0", "2025-03-02,5,9,0", "2025-03-03,9,2,-3", "2025-03-04,9,2,0", "2025-03-05,9,2,0"]
    found = read(daily(rows))
    assert np.isnan(found.temperature_max_c[:2]).all()
    assert np.isnan(found.temperature_min_c[1])
    assert np.isnan(found.rain_mm[2])
    assert [each.line for each in found.problems] == [2, 3, 4]
    assert "the lowest lies above the highest: both left blank" in found.problem_counts


def test_a_reading_far_from_its_neighbours_is_kept_and_told():
    rows = [f"2025-03-0{day},{31 if day == 4 else 10},2,0" for day in range(1, 8)]
    found = read(daily(rows))
    assert found.temperature_max_c[3] == 31.0
    assert [(each.line, each.what) for each in found.problems] == [(5, "far from the readings around it: kept, look at it")]


def test_humidity_a_little_above_100_is_100_and_what_cannot_be_is_blank():
    text = "date,humidity (%)\n2025-03-01,103\n2025-03-02,-3\n2025-03-03,0\n2025-03-04,120\n"
    found = read(text)
    assert found.relative_humidity_pct[[0, 2]].tolist() == [100.0, 0.0]
    assert np.isnan(found.relative_humidity_pct[[1, 3]]).all()
    assert [each.line for each in found.problems] == [2, 3, 5]


def test_the_same_day_twice():
    found = read(daily(["2025-03-02,9,2,0", "2025-03-01,8,1,0", "2025-03-02,9,2,0", "2025-03-01,7,1,0"]))
    assert (found.duplicates, found.conflicts, found.temperature_max_c.tolist()) == (1, 1, [8.0, 9.0])
    assert found.problems[0].what == "another row for the same time: the first was kept"
    assert found.problems[0].line == 5


def test_several_stations_are_asked():
    text = "station,date,tmax,tmin\nA,2025-03-01,9,1\nB,2025-03-01,8,0\nA,2025-03-02,9,1\n"
    with pytest.raises(BadFile, match=r"it holds 2 stations\. Choose one of: A, B"):
        read(text)
    assert read(text, station="A").temperature_max_c.tolist() == [9.0, 9.0]
    with pytest.raises(BadFile, match="no station 'C'"):
        read(text, station="C")


def test_dates_that_can_be_read_in_two_orders_are_asked():
    text = "date,tmax,tmin\n" + "".join(f"0{month}/0{month + 2}/2025,9,1\n" for month in (1, 3, 5))
    with pytest.raises(BadFile, match="more than one order"):
        read(text)
    assert str(read(text, date_order="mdy").dates[0]) == "2025-01-03"


def hourly(begin, end, step_h=1, header="time,temperature (°C),humidity (%),solar (W/m2)"):
    hours = np.arange(np.datetime64(begin, "h"), np.datetime64(end, "h"), step_h)
    return "\n".join([header, *(f"{str(hour).replace('T', ' ')}:00,10.0,80,-2" for hour in hours)])


def test_spring_s_lost_hour_and_autumn_s_double_hour():
    spring = read(hourly("2025-03-29", "2025-03-31"))
    assert spring.problem_counts == {
        "the clock jumped over this time: left out (a clock that never changes needs a fixed zone such as UTC+1)": 1
    }
    assert np.all(np.diff(spring.time_s) == 3600.0)
    lines = hourly("2025-10-25", "2025-10-27").split("\n")
    autumn = read("\n".join([*lines[:28], lines[27], *lines[28:]]))
    assert len(autumn.time_s) == 49
    assert np.all(np.diff(autumn.time_s) == 3600.0)


def test_a_clock_that_never_changes_has_a_fixed_zone():
    found = read(hourly("2025-03-29", "2025-03-31"), time_zone="UTC+1")
    assert (len(found.time_s), found.problem_counts, found.gaps) == (48, {}, ())
    assert found.time_s[0] == np.datetime64("2025-03-28T23:00", "s").astype(float)


def test_offsets_in_the_rows_win():
    text = "time,temp (C)\n2025-03-01T00:00+05:00,1\n2025-03-01T01:00+05:00,2\n"
    found = read(text)
    assert found.time_s[0] == np.datetime64("2025-02-28T19:00", "s").astype(float)
    assert found.understood.time_zone == "as written in each row"


def test_hours_missing_are_a_gap_between_readings():
    lines = hourly("2025-03-01", "2025-03-03").split("\n")
    found = read("\n".join(lines[:11] + lines[20:]))
    assert found.gaps == (("2025-03-01 09:00", "2025-03-01 19:00"),)
    assert (found.step, found.solar[0]) == ("hour", 0.0)


def test_ten_digits_are_a_day_and_an_hour():
    text = "STATIONS_ID;MESS_DATUM;TT_TU;RF_TU\n" + "".join(f"44;20250301{hour:02d};{hour}.5;90\n" for hour in range(24))
    found = read(text)
    assert (found.step, len(found.time_s), found.temperature_c[23]) == ("hour", 24, 23.5)


def test_hours_of_a_year_month_day_hour_file_in_fahrenheit():
    header = "origin,year,month,day,hour,temp,dewp,humid,wind_dir,wind_speed,wind_gust,precip,pressure"
    rows = [f"EWR,2013,1,1,{hour},{39 + hour},26,59,270,10.357,NA,0,1012" for hour in range(1, 20)]
    rows[7] = rows[7].replace("10.357", "1048.36")
    found = read("\n".join([header, *rows]), time_zone="America/New_York", units={"temperature": "F"})
    assert found.temperature_c[0] == pytest.approx((40 - 32) / 1.8)
    assert found.wind_m_s[0] == pytest.approx(10.357 * 0.44704)
    assert np.isnan(found.wind_m_s[7])
    assert [(each.line, each.column) for each in found.problems] == [(9, "wind_speed")]


@pytest.mark.parametrize(
    ("unit", "number", "mj"), [("MJ/m²", 12, 12), ("kWh/m²", 3, 10.8), ("W/m²", 100, 8.64), ("J/cm²", 1000, 10), ("Wh/m²", 3000, 10.8)]
)
def test_sunshine_of_a_day_in_its_units(unit, number, mj):
    found = read(f"date,global radiation ({unit})\n2025-03-01,{number}\n2025-03-02,{number}\n")
    assert found.solar[0] == pytest.approx(mj)


def test_sunshine_without_a_unit_is_left_out_and_told():
    found = read("date,tmax (C),tmin (C),solar\n2025-03-01,9,1,12\n2025-03-02,9,1,12\n")
    assert np.isnan(found.solar).all()
    assert "left out" in found.understood.assumptions[0]


def test_columns_can_be_named_by_hand():
    found = read("a,b,c\n2025-03-01,9,1\n2025-03-02,9,1\n", columns={"date": "a", "temperature_max": 2, "temperature_min": "c"})
    assert found.temperature_min_c.tolist() == [1.0, 1.0]


@pytest.mark.parametrize(
    ("text", "more", "message"),
    [
        ("a,b\nx,y\n", {}, "no column of dates was found"),
        ("date,note\n2025-03-01,fine\n2025-03-02,wet\n", {}, "no heading names a temperature"),
        ("date,tmax\n2025-03-01,9\n", {"columns": {"temperature_min": "low"}}, "there is no column 'low'"),
        ("date,tmax\n2025-03-01,9\n", {"columns": {"lows": 2}}, "no kind of column called 'lows'"),
        ("date,tmax\n2025-03-01,9\n", {"units": {"temperature": "K"}}, "no unit of temperature called 'K'"),
        ("date,high temp,max temp\n2025-03-01,9,9\n2025-03-02,9,9\n", {}, "2 columns could be the highest temperature"),
        ("", {}, "the file is empty"),
    ],
)
def test_a_file_that_cannot_be_read_says_where_and_what_to_do(text, more, message):
    with pytest.raises(BadFile, match=message):
        read(text, **more)


def test_a_damaged_file_is_read_or_refused_never_more():
    rng = random.Random(5)
    whole = [
        daily(WEEK).encode(),
        hourly("2025-03-29", "2025-03-30").encode(),
        b"station;year;month;day;hour;temp (C)\n" + b"A;2025;3;1;1;5\n" * 9,
    ]
    pieces = [b"", b"\n", b",", b";", b'"', b"99999999", b"-", b"nan", b"2025-13-45", b"1e308", b"\xff", b"T", b"date", b"temp"]
    read_or_refused = [0, 0]
    for _ in range(300):
        data = bytearray(rng.choice(whole))
        for _ in range(rng.randint(1, 6)):
            at = rng.randrange(len(data))
            data[at : at + rng.choice((0, 0, 1, 20))] = rng.choice(pieces)
        try:
            json.dumps(read(bytes(data)).to_dict())
            read_or_refused[0] += 1
        except BadFile:
            read_or_refused[1] += 1
    assert min(read_or_refused) > 30


@pytest.mark.parametrize("heads", [("tmin_C", "tmax_C"), ("TMIN_F", "TMAX_F"), ("tmin_degC", "tmax_degC")])
def test_a_unit_behind_a_code_hides_no_column(heads):
    cold, warm = (31, 52) if "F" in heads[0] else (-1, 11)
    found = read(f"date,{heads[0]},{heads[1]},rain_mm\n2025-03-01,{cold},{warm},1\n2025-03-02,{cold},{warm},0\n")
    assert found.understood.columns["temperature_min"] == heads[0]
    assert found.understood.units["temperature"] == ("F" if "F" in heads[0] else "C")
    assert found.understood.unread == ()


def test_a_column_that_is_not_understood_is_named():
    found = read(b"date,zmin,zmax,rain_mm\n2025-03-01,3,9,1\n2025-03-02,3,8,0\n")
    assert found.understood.unread == ("zmin", "zmax")
    assert found.to_dict()["understood"]["unread"] == ("zmin", "zmax")


@pytest.mark.parametrize("hours", [4, 6, 12])
def test_rows_of_several_hours_are_refused_for_what_they_are(hours):
    rows = [f"2025-03-0{1 + n // 24} {n % 24:02d}:00,{5 + n % 7}" for n in range(0, 96, hours)]
    with pytest.raises(
        BadFile, match=f"its rows usually stand {hours} hours apart; weather is read by one, two or three hours, or by the day"
    ):
        read("\n".join(["time,temperature (°C)", *rows]))
