"""The weather's pages: a file looked at and read in, the site's year, windows, limits of a morning."""

from __future__ import annotations

import re
from datetime import UTC, date, datetime, timedelta

import numpy as np
import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.utils import timezone

from answers.test_weather_import import daily
from answers.test_weather_stamps import station
from nursery_clock import today_at_nursery
from scionary.answers.method_season import Healing, site_map
from scionary.answers.weather_import import accept_weather
from scionary.book.commands import save_noun
from scionary.book.models import MotherTree, Nursery, WeatherMonth, WeatherStation
from scionary.book.weather import COLUMNS, load_weather
from web.rendered import check_page, form_of

pytestmark = pytest.mark.django_db
HERE = "/book/weather/"


def file(data: bytes, name: str = "beck.csv") -> SimpleUploadedFile:
    return SimpleUploadedFile(name, data, "text/csv")


def years(count: int, today: date) -> bytes:
    """Some years with a wave of warmth and a rain each third day."""
    first = today - timedelta(days=365 * count)
    rows = []
    for at in range(365 * count):
        day = first + timedelta(days=at)
        mean = 9.5 + 10.5 * np.cos(2 * np.pi * (day.timetuple().tm_yday - 200) / 365.25)
        rows.append(f"{day},{mean + 5:.1f},{mean - 5:.1f},{8.0 if at % 3 == 0 else 0.0}")
    return "\n".join(["date,tmax (°C),tmin (°C),rain (mm)", *rows]).encode()


@pytest.fixture
def four_years(nursery: Nursery) -> None:
    accept_weather(years(4, today_at_nursery()), "years.csv", now=timezone.now(), station="By the beck")


def test_an_empty_page_says_what_a_file_is_for(client: Client, nursery: Nursery) -> None:
    page = check_page(client.get(HERE))
    assert "Read in a weather file of your place" in page
    assert "Read a file in" in page
    assert HERE in check_page(client.get("/book/"))


def test_a_file_is_looked_at_then_read_in(client: Client, nursery: Nursery) -> None:
    today = today_at_nursery()
    data = daily(today - timedelta(days=20), 25)
    seen = check_page(client.post(f"{HERE}look/", {"file": file(data), "station": "By the beck"}))
    assert "Recorded: 20; foretold: 5." in seen
    assert not WeatherMonth.objects.exists()
    address, sent = form_of(seen, "Read it in")
    assert client.post(address, sent).status_code == 303
    assert WeatherStation.objects.get().name == "By the beck"
    page = check_page(client.get(HERE))
    assert "The forecast was read in on" in page
    assert "Rain and the soil" in page


def test_a_file_that_leaves_its_unit_open_is_asked_about_at_the_field(client: Client, nursery: Nursery) -> None:
    data = b"date,tmax,tmin\n" + b"\n".join(f"2026-07-{day:02d},{80 + day % 5},{60 + day % 3}".encode() for day in range(1, 29))
    answer = client.post(f"{HERE}look/", {"file": file(data)})
    assert answer.status_code == 422
    assert "°F" in check_page(answer)
    assert "temperature: F" in check_page(client.post(f"{HERE}look/", {"file": file(data), "unit_temperature": "F"}))
    told = check_page(client.post(f"{HERE}look/", {"file": file(data), "unit_temperature": "F", "columns": "rain"}))
    assert "names no column" in told


def test_what_an_hours_time_means_is_asked_shown_and_kept_until_it_is_read_in(client: Client, nursery: Nursery) -> None:
    assert "The time of an hour" in check_page(client.get(HERE))
    seen = check_page(client.post(f"{HERE}look/", {"file": file(station()), "stands_for": "begin"}))
    assert "all of the time that begins then" in seen
    address, sent = form_of(seen, "Read it in")
    assert client.post(address, sent).status_code == 303
    rows = load_weather(WeatherStation.objects.get(), "hour", forecast=True)
    rows = np.concatenate([rows, load_weather(WeatherStation.objects.get(), "hour")])
    assert set(rows[np.isfinite(rows[:, COLUMNS.index("temperature_c")]), 0] % 3600) == {1800.0}


def test_the_year_stands_as_pictures_with_tables(client: Client, four_years: None) -> None:
    page = check_page(client.get(HERE))
    for words in ("Heat since the shortest day", "Frost", "Chill", "The same as a table", "at most one year of ten"):
        assert words in page
    assert page.count('role="img"') == 2


def test_inches_and_fahrenheit_are_told_where_the_book_says_so(client: Client, four_years: None, nursery: Nursery) -> None:
    save_noun(Nursery, {"length_unit": "in", "temperature_unit": "F"}, now=timezone.now(), pk=nursery.pk)
    assert "Inches." in check_page(client.get(HERE))
    page = check_page(client.get(f"{HERE}windows/"))
    assert "Never above, °F" in page
    assert "59 °F" in page
    here = f"{HERE}limits/"
    assert "Frost: at or below, °F" in check_page(client.get(here))
    shown = dict(re.findall(r'name="([a-z_]+)" value="([\d.]+)"', client.get(here).content.decode()))
    assert (shown["frost_c"], shown["soak_mm"]) == ("32.0", "0.394")
    assert client.post(here, {**shown, "frost_c": "30"}).status_code == 303
    assert Nursery.objects.get().cut_limits == {"frost_c": -1.11}


def test_the_water_of_one_tree_can_be_chosen(client: Client, four_years: None, tree: MotherTree) -> None:
    save_noun(MotherTree, {"grows_in": "ground", "soil": "sand"}, now=timezone.now(), pk=tree.pk)
    assert "sand, roots 600 mm deep" in check_page(client.get(f"{HERE}?tree={tree.pk}"))
    assert "Reckoned for a tree in loam" in check_page(client.get(f"{HERE}?tree=nonsense"))


def test_windows_come_from_the_site_and_heating_moves_the_map(client: Client, four_years: None) -> None:
    page = check_page(client.get(f"{HERE}windows/"))
    assert "Grafting in leaf" in page
    assert "Open from" in page
    assert "These are few years." in page
    assert "Hours are guessed" in page
    assert "any other" in page
    assert page.count('<th class="number">Years open</th>') == 2
    for table in page.split('<th class="number">Years open</th>')[1:]:
        shares = re.findall(r'<td class="number">(\d+) %</td>', table.partition("</table>")[0])
        assert len(shares) == 27
        assert "0" in shares
        assert max(map(int, shares)) > 50
    heated = check_page(client.get(f"{HERE}windows/?heated=18&low=15&high=25&limit=35"))
    assert "3 of 3 years would have gone well" in heated


def test_windows_turn_with_the_hemisphere(client: Client, nursery: Nursery) -> None:
    save_noun(Nursery, {"latitude_deg": -37.0, "time_zone": "Australia/Melbourne"}, now=timezone.now(), pk=nursery.pk)
    text = years(4, today_at_nursery()).decode().splitlines()
    turned = [text[0], *(f"{date.fromisoformat(row.split(',')[0]) + timedelta(days=182)},{row.split(',', 1)[1]}" for row in text[1:])]
    accept_weather("\n".join(turned).encode(), "south.csv", now=datetime.now(UTC) + timedelta(days=182), station="South")
    page = check_page(client.get(f"{HERE}windows/"))
    assert sorted(set(re.findall(r"Open from \S+ \S+", page))) == ["Open from 21 December", "Open from 21 June"]
    tables = re.findall(r">(?:Day|Begun on)</th>.*?<tbody><tr><td>([^<]*)", page, re.DOTALL)  # both methods' and the healing month's
    assert [bool(re.search(r"\b21 Jun", begins)) for begins in tables] == [True] * 3


def test_a_healing_month_is_told_from_the_winter_solstice_on(four_years: None, nursery: Nursery) -> None:
    found = site_map(nursery, Healing())
    assert found is not None
    assert (found.begins.month, found.begins.day) == (12, 21)
    when = found.table(step=1)[15][0]
    assert (when.month, when.day, found.turned(np.arange(365))[15]) == (1, 5, 4)


def test_a_band_upside_down_is_refused_at_its_field(client: Client, four_years: None) -> None:
    answer = client.get(f"{HERE}windows/?low=25&high=15")
    assert answer.status_code == 422
    assert "must be above the lowest" in check_page(answer)


def test_limits_are_moved_and_go_back(client: Client, nursery: Nursery) -> None:
    here = f"{HERE}limits/"
    assert "common practice, no source" in check_page(client.get(here))
    assert client.post(here, {"soak_mm": "15"}).status_code == 303
    assert Nursery.objects.get().cut_limits == {"soak_mm": 15.0}
    assert "changed by hand" in check_page(client.get(here))
    assert client.post(here, {"stress_bad": "0.99"}).status_code == 422
    assert client.post(here, {"soak_mm": ""}).status_code == 303
    assert Nursery.objects.get().cut_limits == {}


def test_a_station_is_named_and_its_wind_s_height_kept(client: Client, four_years: None) -> None:
    station = WeatherStation.objects.get()
    here = f"{HERE}stations/{station.pk}/"
    check_page(client.get(here))
    assert client.post(here, {"name": "Roof", "wind_height_m": "2"}).status_code == 303
    assert client.post(here, {"name": "Roof", "wind_height_m": "0"}).status_code == 422
    assert WeatherStation.objects.get().wind_height_m == 2.0
