"""A dome's air on its page: the curve, the stretches, other weeks, a logger's file read in."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import datetime, timedelta
from itertools import pairwise
from typing import Any
from xml.etree import ElementTree

import numpy as np
import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.http import HttpRequest
from django.test import Client, RequestFactory
from django.utils import timezone

from scionary.answers.air import air_of_dome
from scionary.book.commands import save_noun
from scionary.book.models import Dome, Nursery, RawFile, Sensor, SensorDay
from scionary.book.readings import store_readings
from scionary.web.charts import air_chart
from scionary.web.domes.air import air_shown
from web.rendered import check_page

pytestmark = pytest.mark.django_db


@pytest.fixture
def logged(dome: Dome, now: datetime) -> Sensor:
    """Twelve days up to now, every ten minutes, with one hot afternoon and one silent morning."""
    sensor = save_noun(Sensor, {"name": "Dome 1 logger", "dome": dome}, now=now)
    end = timezone.now().timestamp()
    time_s = np.arange(end - 12 * 86_400, end, 600.0)
    temperature_c = np.full(time_s.shape, 20.0)
    temperature_c[(time_s > end - 50 * 3600) & (time_s < end - 47 * 3600)] = 34.0
    silent = (time_s > end - 100 * 3600) & (time_s < end - 92 * 3600)
    store_readings(sensor, np.column_stack([time_s, temperature_c, np.full(time_s.shape, 95.0)])[~silent])
    return sensor


def test_the_week_has_its_curve_its_sentence_and_its_stretches(client: Client, logged: Sensor, dome: Dome) -> None:
    text = check_page(client.get(f"/domes/{dome.pk}/"))
    air = text.split('id="air"')[1].split("</section>")[0]
    assert "Too hot on" in air
    assert 'class="chart"' in air
    assert "too hot for" in air
    assert "nothing written for" in air
    assert "harm above" in air
    assert "grower guides, weak" in air


def test_only_the_air_comes_when_a_part_is_asked_for(client: Client, logged: Sensor, dome: Dome) -> None:
    text = client.get(f"/domes/{dome.pk}/", headers={"HX-Request": "true"}).content.decode()
    assert text.strip().startswith('<section class="sheet" id="air">')
    assert "<html" not in text


def test_earlier_and_later_weeks_are_links_while_the_sensor_wrote(client: Client, logged: Sensor, dome: Dome) -> None:
    latest = client.get(f"/domes/{dome.pk}/").content.decode()
    assert ">Later</a>" not in latest
    to = re.search(r'href="(/domes/[^"]+\?to=[0-9-]+)&amp;days=7#air"[^>]*>Earlier', latest)
    assert to
    before = check_page(client.get(to[1]))
    assert ">Later</a>" in before
    assert ">Earlier</a>" not in before


def test_the_weeks_join_without_gap_or_overlap(client: Client, logged: Sensor, dome: Dome, nursery: Nursery) -> None:
    newest = air_shown(_asked("", nursery), dome)
    before = air_shown(_asked(newest["earlier"].isoformat(), nursery), dome)
    assert before["air"].end == newest["air"].begin
    assert (before["air"].end.hour, before["air"].end.minute) == (0, 0)
    again = air_shown(_asked(before["later"].isoformat(), nursery), dome)
    assert again["air"].begin == newest["air"].begin
    shown = len(newest["air"].readings) + len(before["air"].readings)
    assert shown == sum(SensorDay.objects.values_list("count", flat=True)), "no reading stands on no page"


def _asked(to: str, nursery: Nursery) -> HttpRequest:
    request = RequestFactory().get("/", {"to": to} if to else {})
    request.nursery = nursery  # type: ignore[attr-defined]
    return request


def test_a_week_in_which_nothing_was_written_says_so(client: Client, logged: Sensor, dome: Dome) -> None:
    text = check_page(client.get(f"/domes/{dome.pk}/", {"to": "2020-06-01"}))
    assert "Nothing was written in these days." in text
    assert ">Later</a>" in text


@pytest.mark.parametrize("typed", ["2026-02-31", "soon", "0001-01-01"])
def test_a_day_that_cannot_be_read_does_not_break_the_page(client: Client, logged: Sensor, dome: Dome, typed: str) -> None:
    assert client.get(f"/domes/{dome.pk}/", {"to": typed}).status_code == 200


def test_the_curve_leaves_a_gap_open_and_keeps_the_peak(logged: Sensor, dome: Dome, nursery: Nursery) -> None:
    air = air_of_dome(dome, nursery, end=timezone.now())
    assert air is not None
    drawn = ElementTree.fromstring(str(air_chart(air, nursery)))
    lines = [e.get("d", "") for e in drawn.iter("path") if "stroke-ink" in (e.get("class") or "").split()]
    assert len(lines) == 2
    assert all(line.count("M ") == 2 for line in lines), "each curve is two strokes with the gap between them"
    heights = [float(y) for y in re.findall(r"[ML] [\d.]+ ([\d.]+)", lines[0])]
    assert min(heights) < 30.0 < max(heights)


def test_the_last_day_s_name_and_the_limits_words_stand_clear_of_edge_and_curves(logged: Sensor, dome: Dome, nursery: Nursery) -> None:
    just_after_noon = timezone.now().replace(hour=12, minute=5)
    air = air_of_dome(dome, nursery, end=just_after_noon)
    assert air is not None
    drawn = ElementTree.fromstring(str(air_chart(air, nursery)))
    width = float(drawn.get("viewBox", "").split()[2])
    at = {"".join(e.itertext()): (float(e.get("x", "nan")), float(e.get("y", "nan"))) for e in drawn.iter("text")}
    last = at[f"{just_after_noon:%a} {just_after_noon.day}"]
    assert last[0] < width - 18.0, "half of the word fits between its middle and the edge"
    curve = next(e.get("d", "") for e in drawn.iter("path") if "stroke-ink" in (e.get("class") or "").split())
    assert at["harm above 30 °C"][1] < min(float(y) for y in re.findall(r"[ML] [\d.]+ ([\d.]+)", curve))


def test_the_curve_carries_no_style_and_no_colour_of_its_own(logged: Sensor, dome: Dome, nursery: Nursery) -> None:
    air = air_of_dome(dome, nursery, end=timezone.now())
    assert air is not None
    text = str(air_chart(air, nursery))
    assert "style" not in text
    assert "#" not in text.replace("url(#", "")
    assert text == str(air_chart(air, nursery)), "the same readings give the same drawing"


def test_the_curve_is_drawn_in_the_person_s_degrees(logged: Sensor, dome: Dome, nursery: Nursery, now: datetime) -> None:
    fahrenheit = save_noun(Nursery, {"temperature_unit": "F"}, now=now, pk=nursery.pk)
    air = air_of_dome(dome, fahrenheit, end=timezone.now())
    assert air is not None
    assert "harm above 86 °F" in str(air_chart(air, fahrenheit))


def _file(text: str) -> SimpleUploadedFile:
    return SimpleUploadedFile("dome.csv", text.encode(), content_type="text/csv")


_ROWS = "\n".join(
    f"{datetime(2026, 2, 1) + timedelta(minutes=10 * i):%Y-%m-%d %H:%M},{33 if 28 <= i < 40 else 20 + i % 3},{94 - i % 4}"
    for i in range(200)
)
GOOD = f"time,temperature C,humidity %\n{_ROWS}\n"


def test_a_logger_s_file_is_looked_at_first_and_then_read_in(client: Client, dome: Dome) -> None:
    text = check_page(client.post(f"/domes/{dome.pk}/log/", {"file": _file(GOOD)}))
    assert "200 readings from 2026-02-01 00:00" in text
    assert "Dome 1 logger, a new sensor, in Dome 1" in text
    assert not SensorDay.objects.exists()
    sha256 = re.search(r'name="sha256" value="([0-9a-f]{64})"', text)
    assert sha256
    response = client.post(f"/domes/{dome.pk}/log/accept/", {"sha256": sha256[1]}, follow=True)
    page = check_page(response)
    assert "200 new readings" in page
    assert f'<a href="/domes/{dome.pk}/?to=2026-02-01#air">Sun 1 Feb 04:40: too hot for' in page
    assert sum(SensorDay.objects.values_list("count", flat=True)) == 200


@pytest.mark.parametrize("text", ["", "nothing in here", "time,temperature,humidity\n2026-02-30 10:00,20,90\n", "\x00\x01\x02"])
def test_a_file_that_cannot_be_read_changes_nothing_and_says_why(client: Client, dome: Dome, text: str) -> None:
    response = client.post(f"/domes/{dome.pk}/log/", {"file": _file(text), "sensor": "Window"})
    page = check_page(response)
    assert response.status_code == 422
    assert "errorlist" in page
    assert 'value="Window"' in page
    assert not Sensor.objects.exists()
    assert not RawFile.objects.exists()


def test_an_answer_without_its_file_is_refused(client: Client, dome: Dome) -> None:
    response = client.post(f"/domes/{dome.pk}/log/accept/", {"sha256": "0" * 64})
    assert response.status_code == 422
    assert "Choose it again." in check_page(response)


def test_an_unknown_zone_is_told_beside_its_field(client: Client, dome: Dome) -> None:
    response = client.post(f"/domes/{dome.pk}/log/", {"file": _file(GOOD), "time_zone": "Tarn/Bridge"})
    assert response.status_code == 422
    assert "Tarn/Bridge" in check_page(response)


def _hot_day(logged: Sensor) -> str:
    return (timezone.now() - timedelta(hours=50)).astimezone(Nursery.objects.get().zone).date().isoformat()


@pytest.mark.parametrize(("days", "rows"), [("1", "Hour by hour"), ("7", "Day by day"), ("30", "Day by day"), ("900", "Day by day")])
def test_a_day_a_week_and_a_month_are_links_to_one_another(client: Client, logged: Sensor, dome: Dome, days: str, rows: str) -> None:
    text = check_page(client.get(f"/domes/{dome.pk}/", {"to": _hot_day(logged), "days": days}))
    air = text.split('id="air"')[1].split("</section>")[0]
    others = {"1", "7", "30"} - {days if days != "900" else "7"}
    assert set(re.findall(r'days=(\d+)#air"[^>]*>A ', air)) == others
    assert rows in air
    assert air.count('class="readout"') > 20


def test_a_stretch_leads_to_its_day_and_names_who_stood_there(
    client: Client, logged: Sensor, dome: Dome, graft: Callable[..., Any], now: datetime
) -> None:
    graft(2, days=(timezone.now() - now).days - 12, dome=dome.pk)
    air = check_page(client.get(f"/domes/{dome.pk}/")).split('id="air"')[1].split("</section>")[0]
    assert air.count("2 plants stood there, unions") >= 2
    link = re.search(r'href="(/domes/[^"]+days=1)#air"[^>]*>[^<]*</a></td><td>too hot for', air)
    assert link
    day = check_page(client.get(link[1].replace("&amp;", "&")))
    assert "too hot for" in day
    assert "Hour by hour" in day


def test_the_callus_clock_stands_among_the_facts_since_the_graft(
    client: Client, logged: Sensor, dome: Dome, graft: Callable[..., Any], now: datetime
) -> None:
    graft(1, days=(timezone.now() - now).days - 8, dome=dome.pk)
    air = check_page(client.get(f"/domes/{dome.pk}/")).split('id="air"')[1].split("</section>")[0]
    assert "since the graft of" in air
    assert "never by itself a reason to open" in air
    assert "First look worth while" in air


def test_two_sensors_are_shown_as_one_and_their_doubts_flagged(client: Client, logged: Sensor, dome: Dome, now: datetime) -> None:
    second = save_noun(Sensor, {"name": "Dome 1 second", "dome": dome}, now=now)
    end = timezone.now().timestamp()
    time_s = np.arange(end - 7 * 86_400, end, 600.0)
    store_readings(second, np.column_stack([time_s, np.full(time_s.shape, 22.0), np.full(time_s.shape, 95.0)]))
    air = check_page(client.get(f"/domes/{dome.pk}/")).split('id="air"')[1].split("</section>")[0]
    assert "Dome 1 logger reads 2.0 °C below Dome 1 second in temperature" in air
    assert "Dome 1 logger and Dome 1 second." in air


def test_strips_over_the_curve_say_what_was_read_in_them(logged: Sensor, dome: Dome, nursery: Nursery) -> None:
    air = air_of_dome(dome, nursery, end=timezone.now())
    assert air is not None
    drawn = ElementTree.fromstring(str(air_chart(air, nursery)))
    strips = [(float(e.get("x", "nan")), float(e.get("width", "nan")), "".join(e.itertext())) for e in drawn if e.get("class") == "readout"]
    assert any("to 34 °C, 95 %" in words for _, _, words in strips)
    assert any(words.endswith("not known, not known") for _, _, words in strips)
    assert all(x + width == pytest.approx(after[0], abs=0.02) for (x, width, _), after in pairwise(strips))


def test_a_salt_test_is_looked_at_kept_and_said_beside_the_curve(client: Client, dome: Dome) -> None:
    now = timezone.now()
    sensor = save_noun(Sensor, {"name": "Logger 1", "dome": dome}, now=now)
    store_readings(sensor, np.column_stack([now.timestamp() - 600.0 * np.arange(500, 0, -1), np.full(500, 20.0), np.full(500, 90.0)]))
    night = now - timedelta(days=10)
    lines = [f"{night + timedelta(minutes=10 * at):%Y-%m-%d %H:%M},20.0,77.5" for at in range(48)]
    file = SimpleUploadedFile("salt.csv", ("time,temperature (°C),humidity (%)\n" + "\n".join(lines) + "\n").encode())
    shown = client.post(f"/domes/{dome.pk}/log/", {"file": file, "salt": "on"})
    text = check_page(shown)
    assert "-2.0 % is added to what Logger 1 says of humidity, give or take 0.3 %." in text
    assert Sensor.objects.get(pk=sensor.pk).salt_tests == []
    hidden = dict(re.findall(r'name="(\w+)" value="([^"]*)"', text))
    fields = ("sha256", "salt", "sensor", "date_order", "unit", "time_zone")
    client.post(f"/domes/{dome.pk}/log/accept/", {name: hidden.get(name, "") for name in fields})
    assert Sensor.objects.get(pk=sensor.pk).salt_tests[0]["offset_pct"] == pytest.approx(-2.0, abs=0.05)
    assert SensorDay.objects.filter(day__lte=night.date()).count() == 0  # a night in a jar is no dome's air
    assert "Added to humidity after a salt test: Logger 1 -2.0 % since " in client.get(f"/domes/{dome.pk}/").content.decode()


def test_a_salt_test_of_a_logger_that_nobody_knows_is_refused_at_its_field(client: Client, dome: Dome) -> None:
    lines = [f"2026-02-10 {10 + at // 6:02d}:{at % 6 * 10:02d},20.0,77.5" for at in range(48)]
    file = SimpleUploadedFile("salt.csv", ("time,temperature (°C),humidity (%)\n" + "\n".join(lines) + "\n").encode())
    text = client.post(f"/domes/{dome.pk}/log/", {"file": file, "salt": "on", "sensor": "Logger 9"}).content.decode()
    assert "the book holds no logger that is called Logger 9" in text
