"""Findings: rates with their stage, losses, the plan, and the demo's truth."""

from __future__ import annotations

import io
import json
from collections.abc import Callable
from datetime import timedelta
from typing import Any

import numpy as np
import pytest
from django.test import Client
from django.utils import timezone

from nursery_clock import today_at_nursery
from scionary.book.commands import Written, save_noun
from scionary.book.models import Cultivar, Nursery, Plant, RootstockLot, Tally, Wish
from web.rendered import check_page

pytestmark = pytest.mark.django_db


@pytest.fixture
def two_of_three(graft: Callable[..., Written], write: Callable[..., Any]) -> None:
    first, second, third = graft(3).plants
    for plant in (first, second):
        write("scored", plant, days=31, sign="firm", answer="yes")
    write("lost", third, days=31, sign="shrivelled", cause="overheated")


def test_without_records_the_page_says_what_it_is_for(client: Client, nursery: Nursery) -> None:
    assert "how often your grafts take" in check_page(client.get("/findings/"))


def test_two_of_three_say_little_and_the_stage_is_named(client: Client, two_of_three: None) -> None:
    text = check_page(client.get("/findings/"))
    assert "2 of 3, and that says little: 21 to 94 %" in text
    assert "firm after the cover came off" in text
    assert "2 of 3</text>" in text


def test_losses_stand_as_they_were_written_down(client: Client, two_of_three: None) -> None:
    text = check_page(client.get("/findings/"))
    assert "Lost at any time: 1" in text
    assert "<td>shrivelled</td>" in text
    assert "<td>overheated</td>" in text


def test_another_factor_is_counted_for_itself(
    client: Client, graft: Callable[..., Written], lot: RootstockLot, write: Callable[..., Any]
) -> None:
    write("scored", graft(lot=lot.pk).plants[0], days=31, sign="firm", answer="yes")
    assert "24-B" in check_page(client.get("/findings/", {"factor": "lot"}))


@pytest.mark.parametrize("query", [{"stage": "blue"}, {"factor": "moon"}])
def test_what_is_not_counted_is_refused_in_words(client: Client, nursery: Nursery, query: dict[str, str]) -> None:
    response = client.get("/findings/", query)
    assert response.status_code == 422
    assert "One of:" in response.content.decode()


def test_a_real_book_has_no_known_truth(client: Client, two_of_three: None) -> None:
    assert "Was it right?" not in check_page(client.get("/findings/"))


@pytest.mark.parametrize(("truth", "told"), [(0.7, "1 of 1 ranges hold"), (0.01, "0 of 1 ranges hold")])
def test_the_demo_says_how_often_its_truth_lies_inside(
    client: Client, two_of_three: None, nursery: Nursery, cultivar: Cultivar, truth: float, told: str
) -> None:
    nursery.demo_truth = {"long_run": {str(cultivar.pk): {"name": "Red Tarn", "firm": truth, "growing": truth, "in_leaf": truth}}}
    nursery.save()
    text = check_page(client.get("/findings/"))
    assert told in text
    assert ("Outside lie Red Tarn" in text) == (truth == 0.01)


def test_the_plainest_difference_is_said_with_its_chance(client: Client, cultivar: Cultivar, nursery: Nursery) -> None:
    now = timezone.now()
    other = save_noun(Cultivar, {"spoken": "Ash Gill"}, now=now)
    for kind, takes in ((cultivar, 28), (other, 5)):
        for season in (2021, 2022, 2023, 2024):
            save_noun(Tally, {"cultivar": kind, "grafts": 30, "takes": takes, "stage": "firm", "season": season}, now=now)
    assert "Ash Gill is lower than Red Tarn with a chance of over 99 %: by" in check_page(client.get("/findings/", {"stage": "firm"}))


def test_what_all_grafts_of_one_share_is_said_beside_the_difference(client: Client, cultivar: Cultivar, nursery: Nursery) -> None:
    now = timezone.now()
    other = save_noun(Cultivar, {"spoken": "Ash Gill"}, now=now)
    for kind, takes, lot in ((cultivar, 38, "24-A"), (other, 8, "24-B")):
        row = {"cultivar": kind, "grafts": 40, "takes": takes, "stage": "firm", "season": 2024}
        save_noun(Tally, {**row, "lot": save_noun(RootstockLot, {"name": lot}, now=now)}, now=now)
    assert "so it may be the stock lot." in check_page(client.get("/findings/", {"stage": "firm"}))


def test_each_rate_is_named_explained_and_told_beside_the_other_two(client: Client, two_of_three: None) -> None:
    shown = {kind: check_page(client.get("/findings/", {"rate": kind})) for kind in ("long_run", "next_season", "reference")}
    assert "<h3>Chance in the long run, by cultivar</h3>" in shown["long_run"]
    assert "<h3>Chance next season, by cultivar</h3>" in shown["next_season"]
    assert "<h3>Chance all else alike, by cultivar</h3>" in shown["reference"]
    for text in shown.values():
        assert "Three rates of Red Tarn, side by side" in text
        assert text.count('aria-current="true"') == 1
        assert text.count("(shown above)") == 1


def test_a_past_season_has_only_the_rate_for_comparing(client: Client, two_of_three: None) -> None:
    text = check_page(client.get("/findings/", {"factor": "season", "rate": "next_season"}))
    assert "<h3>Chance all else alike, by season</h3>" in text
    assert "Past seasons do not come again, so they are only compared." in text
    assert "Which of the three rates" not in text


def test_the_page_is_chosen_by_one_form_that_keeps_the_rate(client: Client, two_of_three: None) -> None:
    text = check_page(client.get("/findings/", {"rate": "next_season"}))
    assert text.count("<form") == 1
    assert '<input type="hidden" name="rate" value="next_season">' in text
    assert '<option value="firm" selected>' in text


def test_what_matters_most_has_its_bars_and_their_table(client: Client, cultivar: Cultivar, nursery: Nursery) -> None:
    now = timezone.now()
    for season, takes in ((2023, 20), (2024, 8)):
        save_noun(Tally, {"cultivar": cultivar, "grafts": 25, "takes": takes, "stage": "firm", "season": season}, now=now)
    text = check_page(client.get("/findings/", {"stage": "firm"}))
    assert "What matters most, firm after the cover came off" in text
    assert "<td>season</td>" in text
    assert "<td>learned from 2</td>" in text


def test_few_grafts_do_not_say_what_matters(client: Client, two_of_three: None) -> None:
    text = check_page(client.get("/findings/"))
    assert "What matters most can be asked once 20 grafts have a known outcome" in text
    assert "<th>What makes grafts differ</th>" not in text


def test_losses_between_stages_are_told_once_a_later_stage_is_known(client: Client, two_of_three: None, write: Callable[..., Any]) -> None:
    assert "From firm to leaf" not in check_page(client.get("/findings/"))
    plant = Plant.objects.get(running_number=1)
    write("scored", plant, days=460, sign="in_leaf", answer="yes")
    assert "Of 1 graft that was firm, 1 was in leaf the next spring" in check_page(client.get("/findings/"))


def test_no_difference_is_made_of_alike_records(client: Client, cultivar: Cultivar, nursery: Nursery) -> None:
    now = timezone.now()
    other = save_noun(Cultivar, {"spoken": "Ash Gill"}, now=now)
    for kind in (cultivar, other):
        save_noun(Tally, {"cultivar": kind, "grafts": 20, "takes": 14, "stage": "firm", "season": 2024}, now=now)
    assert "No cultivar stands out" in check_page(client.get("/findings/", {"stage": "firm"}))


@pytest.mark.parametrize("page", ["/findings/?stage=in_leaf", "/plan/"])
def test_grafts_that_wait_for_spring_are_said_to(
    client: Client, graft: Callable[..., Written], write: Callable[..., Any], cultivar: Cultivar, page: str
) -> None:
    write("scored", graft(1, days=-600).plants[0], days=-100, sign="in_leaf", answer="yes")
    day = today_at_nursery()
    graft(3, happened_at=timezone.now() - timedelta(days=40))
    save_noun(Wish, {"cultivar": cultivar, "wanted": 2, "season": day.year + 1, "assurance": 0.9}, now=timezone.now())
    assert "3 grafts wait for spring: whether they stand in leaf is known from about" in check_page(client.get(page))


@pytest.mark.parametrize(("what", "ending"), [("draws", ".npz"), ("summary", ".json")])
def test_the_model_is_taken_home_as_a_file(client: Client, two_of_three: None, what: str, ending: str) -> None:
    address = f"/findings/take-home/{what}/?stage=firm"
    assert f'href="{address}"' in check_page(client.get("/findings/", {"stage": "firm"}))
    response = client.get(address)
    assert response.status_code == 200
    assert f"scionary-{what}-firm-" in response["Content-Disposition"]
    assert ending in response["Content-Disposition"]
    data = b"".join(response.streaming_content)  # type: ignore[attr-defined]
    if what == "summary":
        assert json.loads(data)["record"]["grafts"] == 3
    else:
        with np.load(io.BytesIO(data), allow_pickle=False) as found:
            assert int(found["takes"].sum()) == 2


def test_a_model_of_no_stage_is_refused(client: Client, two_of_three: None) -> None:
    assert client.get("/findings/take-home/draws/", {"stage": "blue"}).status_code == 422


def test_nothing_counted_has_nothing_to_take_home(client: Client, graft: Callable[..., Written]) -> None:
    graft(2)
    assert "Take home" not in check_page(client.get("/findings/"))
