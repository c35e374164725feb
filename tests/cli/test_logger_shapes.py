"""One dome's fortnight, in four shapes of file, by terminal and page: report, fit, tomorrow, the steps that open it."""

from datetime import timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.utils import timezone

from answers.dome_in_book import keep_weather
from scionary.answers import kept
from scionary.answers.dome_model import learn_fits, model_of, spec_of
from scionary.answers.dome_weather import around
from scionary.book.commands import write_event
from scionary.book.models import Dome, Sensor
from scionary.dome import simulate_dome
from web.rendered import check_page

pytestmark = pytest.mark.django_db
ZONE = ZoneInfo("Europe/Vienna")
DAYS = 13


def by_the_minute(moments, warm, moist):
    """Every minute, ISO times in UTC, commas, two sensors of each kind: the second pair lay on the desk."""
    lines = ["time (UTC),Temp 1 (°C),RH 1 (%),Temp 2 (°C),RH 2 (%)"]
    rows = zip(moments, warm, moist, strict=True)
    return "\n".join([*lines, *(f"{at:%Y-%m-%dT%H:%M:%SZ},{t:.2f},{h:.1f},19.5,40.0" for at, t, h in rows)])


def with_semicolons(moments, warm, moist):
    """Every ten minutes, semicolons, decimal commas, day before month, a preamble."""
    rows = (
        f"{at.astimezone(ZONE):%d.%m.%Y;%H:%M};{t:.1f};{h:.1f}".replace(".", ",", 0) for at, t, h in zip(moments, warm, moist, strict=True)
    )
    lines = [f"{date};{clock};{t.replace('.', ',')};{h.replace('.', ',')}" for date, clock, t, h in (row.split(";") for row in rows)]
    return "\n".join(["Logger;TH-2", "Datum;Uhrzeit;Temperatur (°C);Feuchte (%)", *lines])


def in_fahrenheit(moments, warm, moist):
    """Every hour, tabs, month before day, °F."""
    rows = zip(moments, warm, moist, strict=True)
    lines = [f"{at.astimezone(ZONE):%m/%d/%Y %H:%M}\t{t * 1.8 + 32:.1f}\t{h:.0f}" for at, t, h in rows]
    return "\n".join(["Date Time\tTemp (°F)\tRH (%)", *lines])


def with_faults(moments, warm, moist):
    """Every half hour, with a night missing, an hour twice, and readings that cannot be."""
    rows = [f"{at.astimezone(ZONE):%Y-%m-%d %H:%M},{t:.1f},{h:.1f}" for at, t, h in zip(moments, warm, moist, strict=True)]
    rows[40:42] = [rows[40].rsplit(",", 1)[0] + ",-3", rows[41].rsplit(",", 1)[0] + ",117"]
    return "\n".join(["Date,Temperature,Humidity", *rows[:200], *rows[198:200], *rows[220:]])


SHAPES = {by_the_minute: 60, with_semicolons: 600, in_fahrenheit: 3600, with_faults: 1800}


@pytest.fixture
def healed(graft, dome, method, nursery, tmp_path, settings):
    """A dome whose plants were looked at and found sound, under weather that the book holds."""
    settings.DATA_FOLDER = tmp_path
    kept.forget()
    now = timezone.now().replace(minute=0, second=0, microsecond=0)
    made = graft(2, happened_at=now - timedelta(days=33), dome=dome.pk, method=method.pk)
    keep_weather(now=now, past_days=DAYS + 1, ahead_days=31, sunny=250.0)
    write_event("vented", dome.key, {"open_pct": 0.0}, happened_at=now - timedelta(days=33), now=now)
    for plant in made.plants:
        write_event("scored", plant.key, {"sign": "firm", "answer": "yes"}, happened_at=now - timedelta(hours=2), now=now)
    return Dome.objects.get(pk=dome.pk), now


def log_of(dome, now, nursery, shape):
    """What a logger wrote in that shape; the dome takes up half of the sun that is assumed."""
    spec, _ = spec_of(dome)
    weather = around(nursery, now - timedelta(days=DAYS), now).outside()
    air = simulate_dome(type(spec)(**{**vars(spec), "absorbed_fraction": 0.33, "leak_l_min": 0.2}), weather, 0.0, step_s=900.0)
    time_s = np.arange(air.time_s[0], air.time_s[-1], SHAPES[shape])
    rng = np.random.default_rng(1)
    warm, moist = (
        np.interp(time_s, air.time_s, row) + rng.normal(0.0, sd, time_s.size)
        for row, sd in ((air.temperature_c, 0.1), (air.relative_humidity_pct, 0.4))
    )
    moments = [timezone.datetime.fromtimestamp(at, tz=ZoneInfo("UTC")) for at in time_s]
    return shape(moments, warm, np.clip(moist, 0.0, 100.0)).encode(), air


@pytest.mark.parametrize("shape", SHAPES, ids=lambda shape: shape.__name__)
def test_whatever_its_shape_a_log_gives_report_fit_tomorrow_and_steps_by_terminal_and_page(
    client, scionary, healed, nursery, tmp_path, shape
):
    dome, now = healed
    data, air = log_of(dome, now, nursery, shape)
    file = tmp_path / f"{shape.__name__}.csv"
    file.write_bytes(data)

    how = {"temperature": "Temp 1 (°C)", "humidity": "3"} if shape is by_the_minute else {}
    judged = scionary("air", str(file), "--json", *(f"--column={header}={quantity}" for quantity, header in how.items())).json
    assert judged["report"]["temperature_c"]["mean"] == pytest.approx(air.temperature_c.mean(), abs=0.3)
    assert judged["report"]["interval_s"] == SHAPES[shape]

    text = check_page(client.post(f"/domes/{dome.pk}/log/", {"file": SimpleUploadedFile(file.name, data), **how}))
    sha256 = text.split('name="sha256" value="')[1].split('"')[0]
    accepted = client.post(f"/domes/{dome.pk}/log/accept/", {"sha256": sha256, **how})
    assert accepted.url.endswith("#air")
    assert Sensor.objects.get(dome=dome).days.count() >= DAYS
    learn_fits()
    model = model_of(dome)
    assert model.lacks == ""
    assert model.fit.estimate("absorbed_fraction").value == pytest.approx(0.33, rel=0.07)

    page = client.get(f"/domes/{dome.pk}/").content.decode()
    assert "this dome&#x27;s own log" in page
    assert "What the log says" in page
    assert "kPa of a leaf" in page
    told = scionary("air", "--dome", dome.name, "--json").json
    assert told["tomorrow"]["from_log"]
    assert len(told["vent_steps"]) >= 3
    assert told["tomorrow"]["sentence"] in page


def test_of_two_sensors_in_one_file_the_page_asks_which(client, healed, nursery):
    dome, now = healed
    data, _ = log_of(dome, now, nursery, by_the_minute)
    text = client.post(f"/domes/{dome.pk}/log/", {"file": SimpleUploadedFile("two.csv", data)}).content.decode()
    assert "2 columns could be the humidity" in text
    assert "The column of the humidity" in text
