"""The weeks of a season: first use, the page of a schedule, its picture, another plan beside, a row moved by hand, the way to the bench."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from django.test import Client
from django.utils import timezone
from tests.small_nursery import small_nursery

from scionary.answers.growing_year import year_at
from scionary.answers.kept import forget
from scionary.answers.schedule import Schedule
from scionary.answers.schedule_asking import WORK
from scionary.answers.schedule_beside import WORK as TRY
from scionary.answers.schedule_fillings import fillings_of
from scionary.answers.schedule_kept import keep_schedule, kept_schedule
from scionary.answers.tasks import work_off
from scionary.answers.works import WORKS
from scionary.book.models import AcceptedPlan, Job, KeptSchedule, Nursery, Wish
from scionary.web.plan.weeks_drawing import MOST_DRAWN, WEEK, in_two, weeks_picture, weeks_pictures
from scionary.web.plan.weeks_words import beside_words, wishes_shown
from web.made_schedule import NOW, SEASON, a_schedule, a_week, standing
from web.rendered import check_page

BEHIND = "The book has changed since this plan was made."


def text_of(client: Client, address: str = f"/plan/weeks/?season={SEASON}") -> str:
    return check_page(client.get(address))


# ---- the picture ----


def test_what_stands_in_a_dome_is_one_arch_over_its_weeks_with_its_age() -> None:
    picture = weeks_picture(a_schedule())
    assert picture is not None
    (arch,) = picture.rows[0].arches
    assert arch.width == pytest.approx(2 * WEEK, abs=4)
    assert [age.said for age in arch.ages] == [1, 2]
    assert (arch.count, arch.label) == ("12 of 15", "777")
    assert arch.words == "7: 12 of 15, 777, grafted in the week of 5 Jul 2027, there for 2 weeks"


def test_a_dome_is_drawn_as_high_as_it_is_full() -> None:
    def level(grafts: int) -> float:
        weeks = (a_week(0, standing("planned", grafts=grafts), grafts=grafts),)
        picture = weeks_picture(a_schedule(weeks=weeks))
        assert picture is not None
        return picture.rows[0].arches[0].level

    assert level(15) == pytest.approx(3 * level(5), abs=0.2)
    assert level(15) == level(30)  # fuller than full is a flag in words, not a taller dome


def test_weeks_in_which_nothing_stands_are_one_narrow_column() -> None:
    picture = weeks_picture(a_schedule())
    assert picture is not None
    assert [column.quiet for column in picture.columns] == [False, False, True, False, False]
    quiet = picture.columns[2]
    assert quiet.words == "4 weeks with nothing in a dome, from 19 Jul 2027"
    assert quiet.width < WEEK
    assert picture.rows[1].arches[0].left > quiet.x + quiet.width


def test_what_was_made_before_is_of_another_kind_and_counts_its_weeks() -> None:
    picture = weeks_picture(a_schedule())
    assert picture is not None
    (arch,) = picture.rows[1].arches
    assert (arch.kind, [age.said for age in arch.ages], arch.count) == ("before", [4, 5], "5")


def test_mixed_ages_are_marked_and_said() -> None:
    picture = weeks_picture(a_schedule(weeks=(a_week(0, standing("planned", mixed=True)),)))
    assert picture is not None
    arch = picture.rows[0].arches[0]
    assert arch.mixed
    assert arch.words.endswith("mixed ages")


def test_hours_lie_in_the_outline_of_those_there_are_and_more_is_marked() -> None:
    weeks = (a_week(0, standing("planned"), used=1.0), a_week(1, standing("planned", 1), used=3.0), a_week(2, standing("free"), there=None))
    picture = weeks_picture(a_schedule(weeks=weeks))
    assert picture is not None
    within, over, open_ = picture.hours
    assert within.there is not None
    assert within.used == pytest.approx(within.there / 2, abs=0.1)
    assert (within.over, over.over, open_.there) == (False, True, None)
    assert over.words == "3 of 2 hours at the bench"


def test_long_names_stand_on_two_lines() -> None:
    assert in_two("Dome 1") == ("Dome 1",)
    assert in_two("Side graft, leafy, summer") == ("Side graft,", "leafy, summer")
    assert all(len(part) <= 16 for part in in_two("x" * 60))


def test_of_many_domes_the_first_are_drawn_and_the_others_folded() -> None:
    stand = [replace(standing("planned"), dome=f"Tray {at}") for at in range(MOST_DRAWN + 5)]
    many = a_schedule(weeks=(replace(a_week(0, standing("planned")), domes=tuple(stand)),))
    shown, folded, count = weeks_pictures(many)
    assert shown is not None
    assert folded is not None
    assert [row.full_name for row in (*shown.rows, *folded.rows)] == [each.dome for each in stand]
    assert (len(shown.rows), count, folded.rows[0].foot) == (MOST_DRAWN, 5, shown.rows[0].foot)
    assert all(len(row.arches) == 1 for row in folded.rows)
    assert weeks_pictures(a_schedule())[1:] == (None, 0)
    assert weeks_pictures(a_schedule(weeks=())) == (None, None, 0)


def test_without_weeks_nothing_is_drawn() -> None:
    assert weeks_picture(a_schedule(weeks=())) is None


# ---- the words ----


def test_another_plan_says_what_it_brings_and_which_chances_change() -> None:
    schedule = a_schedule()
    assert schedule.own is not None
    own, tried = beside_words(schedule, schedule.own), beside_words(schedule, schedule.tried[0])
    assert own.differs == "Value 1,100: 150 less than this plan. 11 grafts."
    assert own.chances == ("777: 60 % instead of 31 %",)  # one point more or less is no difference
    assert tried.differs == "Value 1,300: 50 more than this plan. 14 grafts."
    assert beside_words(schedule, replace(schedule.own, chances=(0.1,))).chances == ()
    surer = beside_words(schedule, replace(schedule.own, more=40.0)).differs
    assert surer == "Value 1,100: 150 less than this plan. Counting also how sure you want to be: 40 better. 11 grafts."


def test_wishes_that_fall_short_come_first() -> None:
    assert [wish.name for wish in wishes_shown(a_schedule())] == ["777", "7"]


def test_the_picture_is_told_in_words_too() -> None:
    assert [each.words for each in fillings_of(a_schedule())] == [
        "7: 12 of 15, 777, grafted in the week of 5 Jul 2027, there for 2 weeks",
        "7: 5 grafts made before, 777, still there for 2 weeks",
    ]


# ---- the page ----


@pytest.mark.django_db
def test_first_use_is_a_sentence_and_a_button(client: Client, nursery: Nursery, now: datetime) -> None:
    assert "Write down a wish first" in text_of(client)
    small_nursery(nursery, now)
    text = text_of(client, "/plan/weeks/?season=2026")
    assert "From your wishes to weeks" in text
    assert text.count('class="main"') == 1


@pytest.mark.django_db
def test_the_page_says_all_that_a_schedule_tells(client: Client, nursery: Nursery) -> None:
    keep_schedule(a_schedule(), now=NOW)
    text = text_of(client)
    for words in (
        "2027: 12 grafts in 1 week; on average 1.3 of 2 wishes reached.", "7777777", "Take it to the bench", "7/7", "7+7", "7-7-7",
        "Worth about 1,251, counting how sure you want to be.", "Value 1,100: 150 less than this plan.", "7:7", "7 7", "77 77",
        "24-7 stocks to order",
        "Stocks that are left", "7/77",
        "777: by now 12 were planned and 7 are made; 8 were expected in the end, now 6.", "Plan the rest from today", "You asked for 90 %.",
        "Worth 1,250 on average, after costs of 30; one season in twenty under 40, one over 1,500.",
    ):  # fmt: skip
        assert words in text, words
    assert text.count('class="main"') == 1
    assert re.search(r'name="sure" value="0.8"[^>]*checked', text)


@pytest.mark.django_db
def test_of_many_wishes_the_first_stand_open_and_the_others_are_folded(client: Client, nursery: Nursery) -> None:
    short, fine = wishes_shown(a_schedule())
    assert (short.chance, fine.chance) == (0.31, 0.95)
    many = [replace(short, name=f"S{at}S") for at in range(7)] + [replace(fine, name=f"F{at}F") for at in range(3)]
    keep_schedule(replace(a_schedule(), wishes=tuple(many), rows=(), most_value=None, own=None, tried=()), now=NOW)
    text = text_of(client)
    open_, folded = text.split("5 wishes more, 2 of them short")
    assert [name for name in ("S0S", "S4S") if name in open_] == ["S0S", "S4S"]
    assert [name for name in ("S5S", "S6S", "F0F", "F2F") if name in folded and name not in open_] == ["S5S", "S6S", "F0F", "F2F"]
    keep_schedule(replace(a_schedule(), wishes=tuple(many[:7]), rows=(), most_value=None, own=None, tried=()), now=NOW)
    assert "wishes more" not in text_of(client)
    all_short = tuple(many[:7] + many[:2])
    keep_schedule(replace(a_schedule(), wishes=all_short, rows=(), most_value=None, own=None, tried=()), now=NOW)
    assert "4 wishes more, all of them short" in text_of(client)


@pytest.mark.django_db
def test_a_plan_without_grafts_is_said_and_not_taken_to_the_bench(client: Client, nursery: Nursery) -> None:
    keep_schedule(a_schedule(rows=()), now=NOW)
    text = text_of(client)
    assert "2027: nothing can be grafted for these wishes." in text
    assert "Take it to the bench" not in text


@pytest.mark.django_db
def test_work_under_way_asks_again_and_can_be_stopped(client: Client, nursery: Nursery) -> None:
    job = Job.objects.create(work=WORK, arguments={"season": SEASON}, asked_at=NOW, status="running", fraction=0.4, word="rounding")
    address = re.search(r'hx-get="([^"]+)"', text := text_of(client))
    assert address
    assert f'href="{address[1]}"' in text
    assert "Rounding: 40 %." in text
    asked = address[1].replace("&amp;", "&")
    assert client.get(asked, headers={"HX-Request": "true"}).content.decode().startswith("<section")
    keep_schedule(a_schedule(first=True), now=NOW)  # the first plan is there: the page is read again
    assert client.get(asked, headers={"HX-Request": "true"}).headers["HX-Refresh"] == "true"
    text = text_of(client)
    assert "A first plan; better ones are being looked for." in text
    client.post("/plan/weeks/stop/", {"season": SEASON})
    job.refresh_from_db()
    assert job.stop_asked
    assert "Stop it" not in text_of(client)


@pytest.mark.django_db
def test_work_that_was_refused_says_why(client: Client, nursery: Nursery) -> None:
    Job.objects.create(work=WORK, arguments={"season": SEASON}, asked_at=NOW, status="refused", message="no stock is there.")
    assert "No stock is there." in text_of(client)
    keep_schedule(a_schedule(made_at=NOW), now=NOW + timedelta(hours=1))
    assert "No stock is there." not in text_of(client)


@pytest.mark.django_db
def test_a_change_in_unknown_words_is_asked_about_and_stays_typed(client: Client, nursery: Nursery, now: datetime) -> None:
    small_nursery(nursery, now)
    kept = keep_schedule(a_schedule(season=2026, asked={"season": 2026}), now=now)
    response = client.post("/plan/weeks/instead/", {"schedule": kept.ident, "change": ""})
    assert response.status_code == 422
    assert client.post("/plan/weeks/instead/", {"schedule": "x"}).status_code == 404


@pytest.mark.django_db
def test_a_change_that_is_tried_asks_again_can_be_stopped_and_is_read_when_it_is_over(client: Client, nursery: Nursery) -> None:
    kept = keep_schedule(a_schedule(), now=NOW)
    told = {"season": SEASON, "schedule": kept.ident, "change": {"what": "trays"}, "words": "1 more: dome"}
    job = Job.objects.create(work=TRY, arguments=told, asked_at=NOW, status="running", fraction=0.25, word="rounding")
    text, address = text_of(client), f"/plan/weeks/instead/{job.pk}/"
    assert "rounding, 25 %." in text
    assert f'href="{address}"' in text
    assert client.get(address, headers={"HX-Request": "true"}).content.decode().startswith("<div")
    assert client.get(address).headers["Location"] == f"/plan/weeks/?season={SEASON}#beside"
    stopped = client.post(f"/work/{job.pk}/stop/", {"next": f"/plan/weeks/?season={SEASON}#beside"})
    assert stopped.headers["Location"] == f"/plan/weeks/?season={SEASON}#beside"
    assert "stopping." in text_of(client)
    Job.objects.update(status="refused", message="no stock is there.")
    assert client.get(address, headers={"HX-Request": "true"}).headers["HX-Refresh"] == "true"
    assert "No stock is there." in text_of(client)


@pytest.mark.django_db
def test_figures_are_moved_on_the_page_and_wrong_ones_are_not(client: Client, nursery: Nursery) -> None:
    kept = keep_schedule(a_schedule(), now=NOW)
    sent = {"schedule": kept.ident, "graft_cost": "4.5"}
    assert "Find the weeks again" in check_page(client.post("/plan/weeks/figures/", sent, follow=True))
    assert Nursery.objects.get().plan_figures == {"graft_cost": 4.5}
    wrong = client.post("/plan/weeks/figures/", {**sent, "graft_cost": "x"})
    assert wrong.status_code == 422
    assert 'value="x"' in check_page(wrong)
    assert Nursery.objects.get().plan_figures == {"graft_cost": 4.5}


@pytest.mark.django_db
def test_lists_of_a_season_without_weeks_say_what_to_do(client: Client, nursery: Nursery) -> None:
    response = client.get("/plan/weeks/lists/?season=2031")
    assert response.status_code == 404
    assert "Find them first." in response.content.decode()


# ---- a small season, from the button to the bench ----


@pytest.fixture
def season(nursery: Nursery, settings: Any, tmp_path: Path) -> int:
    """A small nursery with its wishes for the season that is planned now."""
    settings.DATA_FOLDER = tmp_path
    forget()
    now = timezone.now()
    small_nursery(nursery, now)
    year = year_at(now.date(), nursery)
    Wish.objects.update(season=year + 1)
    return year + 1


@pytest.mark.django_db
def test_from_the_button_to_the_bench(client: Client, season: int, django_capture_on_commit_callbacks: Callable[..., Any]) -> None:
    address = f"/plan/weeks/?season={season}"
    response = client.post("/plan/weeks/find/", {"season": season, "sure": "value", "effort": "quick"})
    assert response.headers["Location"] == address
    job = Job.objects.get()
    work_off(job.pk, now=timezone.now(), works=WORKS)
    schedule = kept_schedule(season)
    assert schedule is not None
    assert schedule.sentence in text_of(client, address)
    assert BEHIND not in text_of(client, address)
    _lists(client, season)
    assert BEHIND in text_of(client, address)  # an offer was written down
    _move_a_row(client, schedule)
    _try_beside(client, address, season)
    last = kept_schedule(season)
    assert last is not None
    assert "Take the plan to the bench first" in text_of(client, f"/plan/weeks/lists/?season={season}")
    client.post("/plan/weeks/take/", {"schedule": last.ident})
    _bench_sheets(client, last)
    assert AcceptedPlan.objects.get().schedule["ident"] == last.ident
    assert "The bench counts against the plan of" in text_of(client, address)


def _bench_sheets(client: Client, taken: Schedule) -> None:
    """Printed from the lists once the plan is taken, and linked there."""
    address, week = f"/plan/weeks/lists/?season={taken.season}", taken.rows[0].week.isoformat()
    assert f'value="{week}"' in text_of(client, address)
    assert client.post("/plan/weeks/lists/sheets/", {"season": taken.season, "week": "soon"}).status_code == 404
    text = check_page(client.post("/plan/weeks/lists/sheets/", {"season": taken.season, "week": week}, follow=True))
    found = re.search(r'href="(/paper/[^"]+)"', text.split('id="sheets"')[1])
    assert found
    assert client.get(found[1]).content.startswith(b"%PDF")
    assert f'value="{week}"' not in text


def _lists(client: Client, season: int) -> None:
    """The lists as a page and on paper; an offer that is none is asked about."""
    text = text_of(client, f"/plan/weeks/lists/?season={season}")
    assert "To cut" in text
    assert "Red Tarn by the gate" in text
    assert client.get(f"/plan/weeks/lists/print/?season={season}").content.startswith(b"%PDF")
    offered = {"season": season, "offer": "Beck: Acer palmatum, 25 for 30, 3 weeks"}
    assert "Acer palmatum from Beck" in check_page(client.post("/plan/weeks/lists/offer/", offered, follow=True))
    assert client.post("/plan/weeks/lists/offer/", {**offered, "offer": "cheap ones"}).status_code == 422


def _move_a_row(client: Client, schedule: Schedule) -> None:
    """What it breaks is said before anything is kept."""
    row = schedule.rows[0]
    address, kept = f"/plan/weeks/{schedule.ident}/row/{row.number}/", KeptSchedule.objects.count()
    sent = {"grafts": str(row.grafts + 400), "week": row.week.isoformat(), "dome": ""}
    text = check_page(client.post(address, sent))
    assert "That breaks a limit:" in text
    assert "Keep it all the same" in text
    assert KeptSchedule.objects.count() == kept
    far = client.post(address, {**sent, "week": "2020-01-06"})
    assert far.status_code == 422
    assert "cannot be grafted by" in check_page(far)
    client.post(address, {**sent, "grafts": str(row.grafts - 1), "keep": "1"})
    moved = kept_schedule(schedule.season)
    assert moved is not None
    assert (moved.source, moved.grafts) == ("moved", schedule.grafts - 1)


def _try_beside(client: Client, address: str, season: int) -> None:
    last = kept_schedule(season)
    assert last is not None
    wrong = client.post("/plan/weeks/instead/", {"schedule": last.ident, "change": "a miracle"})
    assert wrong.status_code == 422
    assert "is no change that can be tried" in check_page(wrong)
    response = client.post("/plan/weeks/instead/", {"schedule": last.ident, "change": "one more dome"})
    assert response.headers["Location"] == f"{address}#beside"
    job = Job.objects.get(work=TRY)
    assert f'hx-get="/plan/weeks/instead/{job.pk}/"' in (text := text_of(client, address))
    assert "1 more: dome like Dome" in text
    assert kept_schedule(season) == last
    work_off(job.pk, now=timezone.now(), works=WORKS)
    text = text_of(client, address)
    assert "1 more: dome like Dome" in text
    assert f"/plan/weeks/instead/{job.pk}/" not in text
