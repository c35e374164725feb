"""Due: one thing first, written down with one tap."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from datetime import datetime, timedelta

import pytest
from django.test import Client
from django.utils import timezone

from nursery_clock import today_at_nursery
from scionary.answers.due import due
from scionary.answers.growing_year import in_leaf_date, in_leaf_season
from scionary.book.commands import Written, save_noun, write_many
from scionary.book.ids import uuid7
from scionary.book.models import Dome, Event, Method, Nursery, Plant
from scionary.book.record import NewEvent, record_events
from scionary.web.due.lines import shown
from web.rendered import check_page

pytestmark = pytest.mark.django_db


@pytest.fixture
def healing(graft: Callable[..., Written], dome: Dome, method: Method) -> list[Plant]:
    """Three grafts that have stood in Dome 1 for eight days."""
    return graft(3, happened_at=timezone.now() - timedelta(days=8), dome=dome.pk, method=method.pk).plants


@pytest.fixture
def spring_days(nursery: Nursery, now: datetime) -> int:
    """The nursery moved to the hemisphere whose trees stand in leaf today; so many days ago a graft was made whose spring has come."""
    today = today_at_nursery()
    latitude = 47.2 if in_leaf_season(today, 47.2) else -37.0
    save_noun(Nursery, {"latitude_deg": latitude}, pk=nursery.pk, now=now)
    return next(days for days in range(180, 900) if in_leaf_date(today - timedelta(days=days), latitude, 60) <= today)


def _firm(plants: list[Plant], grafted: datetime) -> list[Plant]:
    """These plants scored firm a month after grafting."""
    events = [("scored", plant.key, {"sign": "firm", "answer": "yes"}) for plant in plants]
    write_many(events, happened_at=grafted + timedelta(days=31), now=timezone.now())
    return plants


def _line(text: str, button: str) -> str:
    """The hidden key of the form with this button."""
    form = next(form for form in text.split("<form")[1:] if f">{button}</button>" in form.split("</form>")[0])
    found = re.search(r'name="line" value="([0-9a-f]+)"', form)
    assert found
    return found[1]


def test_an_empty_book_says_what_the_page_is_for_and_offers_one_button(client: Client, nursery: Nursery) -> None:
    text = check_page(client.get("/due/"))
    main = text.split("<main")[1].split("</main>")[0]
    assert len(re.findall(r"<button|class=\"button", main)) == 1
    assert "Write down your first grafts" in main


def test_the_first_line_stands_alone_with_its_reason(client: Client, healing: list[Plant]) -> None:
    text = check_page(client.get("/due/"))
    assert text.index("One thing to do") < text.index("Then")
    assert "Dome 1: look in: water, mould, fallen leaf stalks" in text
    assert "Mould and drying out show in the first weeks." in text
    assert "common practice, no source" in text


def test_done_writes_the_line_s_event_and_the_line_goes(client: Client, healing: list[Plant], dome: Dome) -> None:
    line = _line(client.get("/due/").content.decode(), "Water is topped up")
    response = client.post("/due/done/", {"line": line, "event_id": str(uuid7())}, follow=True)
    assert Event.objects.get(kind="watered").subjects.filter(key=dome.key).exists()
    text = check_page(response)
    assert "Water is topped up" not in text
    assert "Last written" in text


@pytest.mark.parametrize(
    ("cover_off", "words", "button"),
    [(True, "Haube ganz abnehmen", "The cover is off"), (False, "Open all; in a week take the cover off", "The vents are open")],
)
def test_the_button_of_the_last_vent_step_follows_the_after_care_s_data_and_not_its_words(
    graft: Callable[..., Written], dome: Dome, method: Method, now: datetime, cover_off: bool, words: str, button: str
) -> None:
    last = [step for step in method.after_care if step.get("open_pct") == 100 and bool(step.get("cover_off")) == cover_off]
    care = [{**step, "say": words} if step in last else step for step in method.after_care]
    save_noun(Method, {"after_care": care}, pk=method.pk, now=now)
    graft(1, happened_at=timezone.now() - timedelta(days=46), dome=dome.pk, method=method.pk)
    for ago, open_pct in ((5, 67), (4, 100)) if cover_off else ((5, 67),):
        event = NewEvent("vented", timezone.now() - timedelta(days=ago), (dome.key,), {"open_pct": open_pct})
        record_events([event], now=timezone.now())
    later = today_at_nursery() + timedelta(days=4)
    line = next(each for each in due(today=later).lines if each.step == "vent")
    assert words[1:] in line.what
    assert shown(line, later).button == button


def test_done_can_be_dated_another_day(client: Client, healing: list[Plant]) -> None:
    day = today_at_nursery() - timedelta(days=1)
    text = check_page(client.get("/due/"))
    assert "<summary>On another day</summary>" in text
    done = client.post("/due/done/", {"line": _line(text, "Water is topped up"), "on": day.isoformat()}, follow=True)
    assert timezone.localtime(Event.objects.get(kind="watered").happened_at).date() == day
    assert f", on {day:%a} {day.day} {day:%b} {day.year}." in check_page(done)


def test_a_day_before_the_line_fell_due_leaves_the_line(client: Client, healing: list[Plant]) -> None:
    day = today_at_nursery() - timedelta(days=7)
    line = _line(client.get("/due/").content.decode(), "Water is topped up")
    text = check_page(client.post("/due/done/", {"line": line, "on": day.isoformat()}, follow=True))
    assert "It stands here still" in text
    assert "Water is topped up" in text


@pytest.mark.parametrize(("ahead", "told"), [(1, "That is 1 day ahead"), (400_000, "Give a day from 1900 to 2900.")])
def test_nothing_is_done_on_a_day_to_come(client: Client, healing: list[Plant], ahead: int, told: str) -> None:
    day = (today_at_nursery() + timedelta(days=ahead)).isoformat()
    line = _line(client.get("/due/").content.decode(), "Water is topped up")
    refused = client.post("/due/done/", {"line": line, "on": day})
    assert refused.status_code == 422
    text = check_page(refused)
    assert told in text
    assert f'value="{day}"' in text
    assert not Event.objects.filter(kind="watered").exists()


def test_done_sent_twice_is_written_once(client: Client, healing: list[Plant]) -> None:
    given = {"line": _line(client.get("/due/").content.decode(), "Water is topped up"), "event_id": str(uuid7())}
    client.post("/due/done/", given)
    client.post("/due/done/", given)
    assert Event.objects.filter(kind="watered").count() == 1


def test_done_can_be_undone_from_the_next_page(client: Client, healing: list[Plant]) -> None:
    line = _line(client.get("/due/").content.decode(), "Water is topped up")
    text = client.post("/due/done/", {"line": line}, follow=True).content.decode()
    event = re.search(r'name="event" value="([0-9a-f-]+)"', text)
    assert event
    again = client.post("/undo/", {"event": event[1], "next": "/due/"}, follow=True).content.decode()
    assert "Water is topped up" in again


def test_a_line_of_many_plants_is_written_for_each(client: Client, graft: Callable[..., Written], method: Method) -> None:
    when = timezone.now() - timedelta(days=95)
    plants = _firm(graft(3, happened_at=when, method=method.pk, stands="row 3").plants, when)
    client.post("/due/done/", {"line": _line(client.get("/due/").content.decode(), "All are untied")})
    assert Plant.objects.filter(pk__in=[p.pk for p in plants], untied_at=None).count() == 0


def test_a_line_that_no_longer_stands_writes_nothing(client: Client, healing: list[Plant]) -> None:
    response = client.post("/due/done/", {"line": "0" * 24}, follow=True)
    assert "stands no longer" in response.content.decode()
    assert not Event.objects.filter(kind="watered").exists()


def test_at_most_five_lines_stand_first(
    client: Client, spring_days: int, healing: list[Plant], graft: Callable[..., Written], method: Method
) -> None:
    for days in (100, spring_days):
        when = timezone.now() - timedelta(days=days)
        _firm(graft(2, happened_at=when, method=method.pk, label_medium="ordinary marker", stands="row 3").plants, when)
    text = check_page(client.get("/due/"))
    first = text.split("<main")[1].split("<details><summary>1 more")[0]
    assert first.count('<p class="say">') + first.split("<h2>Then")[1].count("<li>") == 5
    assert "1 more" in text


def test_the_check_line_leads_to_the_round(client: Client, healing: list[Plant], dome: Dome) -> None:
    assert f'href="/domes/{dome.pk}/round/"' in client.get("/due/").content.decode()


def test_the_firm_check_leads_to_the_round_and_ends_when_all_are_scored(
    client: Client, graft: Callable[..., Written], dome: Dome, method: Method
) -> None:
    plants = graft(2, happened_at=timezone.now() - timedelta(days=31), dome=dome.pk, method=method.pk).plants
    text = client.get("/due/").content.decode()
    line = text.split("check which are firm")[1]
    assert line.index(f'href="/domes/{dome.pk}/round/"') < line.index("what this rests on")
    client.post(f"/domes/{dome.pk}/round/{plants[0].pk}/", {"saw": "firm"})
    assert "check which are firm" in client.get("/due/").content.decode()
    client.post(f"/domes/{dome.pk}/round/{plants[1].pk}/", {"saw": "unsure"})
    assert "check which are firm" not in client.get("/due/").content.decode()


def test_plants_in_their_first_spring_are_scored_one_by_one(
    client: Client, spring_days: int, graft: Callable[..., Written], method: Method
) -> None:
    plants = graft(2, happened_at=timezone.now() - timedelta(days=spring_days), method=method.pk, stands="row 3").plants
    assert "Red Tarn 1" in check_page(client.get("/due/in-leaf/"))
    client.post(f"/due/in-leaf/{plants[0].pk}/", {"saw": "in-leaf"})
    client.post(f"/due/in-leaf/{plants[1].pk}/", {"saw": "not-in-leaf"})
    assert [g.in_leaf for p in Plant.objects.order_by("running_number") for g in p.grafts.all()] == ["yes", "no"]
    text = client.get("/due/in-leaf/").content.decode()
    assert "All 2 seen" in text
    assert "see which are in leaf" not in client.get("/due/").content.decode().lower().split("coming week")[0].split("last written")[0]


def test_records_kept_aside_are_shown_beside_the_first(client: Client, plant: Plant, now: datetime) -> None:
    first = NewEvent("observed", now, (plant.key,), {"seen": "wilting"})
    record_events([first], now=now)
    record_events([replace(first, payload={"seen": "mould"})], now=now)
    assert 'href="/due/kept-aside/"' in client.get("/due/").content.decode()
    text = check_page(client.get("/due/kept-aside/"))
    assert text.index("Wilting") < text.index("Mould")
    assert f'href="/plants/{plant.pk}/"' in text


def test_with_nothing_kept_aside_the_page_says_so(client: Client, nursery: Nursery) -> None:
    assert "Nothing is kept aside." in check_page(client.get("/due/kept-aside/"))
