"""What lies ahead in a dome, on its page and on the list: tomorrow, the one thing to do, and what both rest on."""

from datetime import timedelta

import pytest
from django.utils import timezone

from answers.dome_in_book import keep_weather
from scionary.answers import kept
from scionary.book.commands import save_noun
from scionary.book.models import Dome
from web.rendered import check_page

pytestmark = pytest.mark.django_db
GIVEN = {"name": "Dome 1", "length_mm": "520 mm", "width_mm": "260 mm"}


@pytest.fixture
def healing(graft, dome, method, tmp_path, settings):
    """A dome in which grafts heal, and bright weather around it."""
    settings.DATA_FOLDER = tmp_path
    kept.forget()
    now = timezone.now().replace(minute=0, second=0, microsecond=0)
    graft(3, happened_at=now - timedelta(days=5), dome=dome.pk, method=method.pk)
    keep_weather(now=now, past_days=2, sunny=800.0)
    return dome


def test_the_page_says_what_tomorrow_brings_and_what_that_rests_on(client, healing):
    text = check_page(client.get(f"/domes/{healing.pk}/"))
    assert "it will be too hot in Dome 1: shade off " in text
    assert "How much sun this dome gets nobody has told the book." in text
    assert "No log of its own stands behind this" in text
    assert "Rests on: the forecast; domes in general, as it is measured" in text
    assert "share of the sun that warms it" in text


def test_a_dome_that_is_too_hot_tomorrow_has_that_as_the_one_thing_on_its_card(client, healing, now):
    save_noun(Dome, {"shade_pct": 0.0}, now=now, pk=healing.pk)
    text = check_page(client.get("/domes/"))
    assert 'class="say">On ' in text
    assert "it will be too hot in Dome 1: shade off " in text
    due = client.get("/", follow=True).content.decode()
    assert "it will be too hot in Dome 1" in due


def test_without_weather_the_page_says_so_and_where_to_read_some_in(client, graft, dome, method):
    graft(1, happened_at=timezone.now() - timedelta(days=5), dome=dome.pk, method=method.pk)
    text = check_page(client.get(f"/domes/{dome.pk}/"))
    assert "The book holds no weather that says what this dome will do." in text
    assert client.get("/book/weather/").status_code == 200


def test_what_its_air_depends_on_is_written_down_and_shown_again(client, dome):
    client.post(
        f"/domes/{dome.pk}/change/", {**GIVEN, "height_mm": "200 mm", "shade_pct": "75", "vents_cm2": "150", "mat_w": "60", "mat_c": "20"}
    )
    made = Dome.objects.get(pk=dome.pk)
    assert (made.height_mm, made.shade_pct, made.vents_cm2, made.mat_w, made.mat_c) == (200.0, 75.0, 150.0, 60.0, 20.0)
    assert 'value="75.0"' in check_page(client.get(f"/domes/{dome.pk}/change/"))


def test_a_mat_without_a_thermostat_is_refused_at_its_field(client, dome):
    response = client.post(f"/domes/{dome.pk}/change/", {**GIVEN, "mat_w": "60"})
    assert "A heat mat needs both its power and what its thermostat holds" in response.content.decode()
    assert Dome.objects.get(pk=dome.pk).mat_w is None


def test_where_warmth_is_read_in_fahrenheit_it_is_typed_so_and_kept_in_celsius(client, dome, nursery, now):
    save_noun(type(nursery), {"temperature_unit": "F"}, now=now, pk=nursery.pk)
    client.post(f"/domes/{dome.pk}/change/", {**GIVEN, "mat_w": "60", "mat_c": "68", "room_c": "59"})
    made = Dome.objects.get(pk=dome.pk)
    assert (made.mat_c, made.room_c) == (pytest.approx(20.0), pytest.approx(15.0))
    assert 'value="59.0"' in check_page(client.get(f"/domes/{dome.pk}/change/"))
