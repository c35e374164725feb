"""The demo's overheated afternoon, in which a shade cloth had slipped, is flagged the day before."""

from datetime import date, datetime, timedelta

import pytest

from scionary.answers import kept
from scionary.answers.dome_outlook import outlook_of
from scionary.answers.weather_import import accept_weather
from scionary.book.commands import save_noun
from scionary.book.models import Dome, Nursery
from scionary.demo.seasons import past_fillings, present_fillings
from scionary.demo.station import invented_days, station_texts
from scionary.demo.tarn_bridge import CASES, NURSERY
from scionary.demo.truth import air_faults

pytestmark = pytest.mark.django_db
TODAY, SEED = date(2026, 7, 20), 20
HOT = [
    (fault.dome, fault.begin)
    for fault in air_faults(past_fillings(TODAY, SEED), present_fillings(TODAY, SEED), TODAY)
    if fault.kind == "overheated"
]


@pytest.fixture
def sited(nursery, now, tmp_path, settings):
    """The demo's station and its domes, as the demo writes them down."""
    settings.DATA_FOLDER = tmp_path
    kept.forget()
    save_noun(Nursery, {"latitude_deg": NURSERY["latitude_deg"]}, now=now, pk=nursery.pk)
    at = datetime.combine(TODAY, datetime.min.time(), nursery.zone) + timedelta(hours=8)
    for text in station_texts(TODAY, SEED):
        accept_weather(text.data, text.name, now=at)
    for case in CASES:
        save_noun(Dome, {"name": case.name, **case.made_of}, now=now)
    return Nursery.objects.get()


def foretold(dome, day, nursery):
    return outlook_of(Dome.objects.get(name=dome), None, nursery, today=day - timedelta(days=1))


def test_the_overheated_afternoons_are_flagged_the_day_before_and_a_cool_dull_day_is_not(sited):
    assert len(HOT) == 2
    for dome, day in HOT:
        flagged = foretold(dome, day, sited)
        assert flagged.kind == "shade"
        assert flagged.day == day
        assert flagged.slipped.hottest_c.value > 30.0
        assert "see that the shade of " in flagged.sentence
    days = invented_days(TODAY, SEED)
    late = slice(-40, -8)  # recorded, not foretold
    dull = days.dates[late][(days.solar_mj_m2 + days.highest_c)[late].argmin()].astype(object)
    assert foretold(HOT[0][0], dull, sited).kind == ""
