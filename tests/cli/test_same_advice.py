"""One question, one answer: bench, page, terminal, bench list and library set the same pair in the same way."""

from __future__ import annotations

import html
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from django.test import Client
from django.utils import timezone

from nursery_clock import today_at_nursery
from scionary.answers.join_ask import join_method, misses_of
from scionary.answers.stock_stage import StockStage
from scionary.book.commands import save_noun, write_event
from scionary.book.models import BenchDay, Cultivar, Method, Nursery
from scionary.union import SKILLS, Stage, Stem, advice, learned_skill

WAYS = [("side_veneer", None), ("side_inlay", Stage.DORMANT)]


@pytest.fixture
def bench(cultivar: Cultivar, nursery: Nursery, request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> BenchDay:
    """A bench day of Ada, whose hand was measured, by a way to join, on stocks of which the warmth outside tells so much."""
    way, stage = request.param
    now = timezone.now()
    for foot in (0.1, -0.1, 0.05, 0.0):
        payload = {"foot_mm": foot, "top_mm": 0.1, "depth_mm": 0.05, "grafter": "Ada"}
        write_event("union_opened", nursery.key, payload, happened_at=now, now=now)
    monkeypatch.setattr("scionary.answers.join_usual.stock_stage", lambda day, nursery: StockStage(stage, "As the warmth tells."))
    method = Method.objects.filter(joins=way).first() or save_noun(Method, {"name": "Under the bark", "joins": way}, now=now)
    values = {"day": today_at_nursery(), "cultivar": cultivar, "method": method, "grafter": "Ada"}
    return save_noun(BenchDay, values, now=now)


def said(client: Client, address: str, **asked: str) -> str:
    return html.unescape(client.get(address, asked).content.decode())


@pytest.mark.parametrize("bench", WAYS, indirect=True, ids=lambda way: way[0])
def test_bench_page_terminal_and_library_set_a_pair_alike(
    client: Client, scionary: Callable[..., Any], bench: BenchDay, nursery: Nursery
) -> None:
    found = scionary("join", "--stock", "7", "--scion", "3", "--json").json
    at_bench, on_page = (said(client, address, stock="7", scion="3") for address in (f"/bench/{bench.pk}/", "/bench/join/"))
    for words in (found["sentence"], found["chance"], found["stage_words"], *([found["reckoned"]] if found["chance"] else [])):
        assert words in at_bench
        assert words in on_page
    assert bench.method
    method = join_method(bench.method)
    assert method
    misses, depths = misses_of("Ada")
    hand = learned_skill(misses, SKILLS[nursery.skill], depth_misses_mm=depths)
    stage = Stage.DORMANT if method.key == "side_inlay" else None
    chosen = advice(Stem(7.0), Stem(3.0), method, stage=stage, skill=hand, methods={}).chosen
    assert chosen.fits is found["chosen"]["fits"] is (stage is None)
    assert [each.to_dict() for each in chosen.placements] == found["chosen"]["placements"]


@pytest.mark.parametrize("bench", WAYS[:1], indirect=True)
def test_the_bench_list_cuts_and_leans_as_the_bench_does(
    client: Client, scionary: Callable[..., Any], bench: BenchDay, tmp_path: Path
) -> None:
    (tmp_path / "stems.txt").write_text("scions\n3.06\nstocks\n7.13\n", encoding="utf-8")
    [pair] = scionary("match", str(tmp_path / "stems.txt"), "--json").json["pairs"]
    listed = {"scions": "3.06", "stocks": "7.13", "names": "on"}
    assert pair["how"] in html.unescape(client.post("/bench/match/", listed).content.decode())
    at_bench = said(client, f"/bench/{bench.pk}/", stock="7.13", scion="3.06")
    lean = re.search(r"[Ll]ean the scion by ([\d.]+ mm)", at_bench)
    chance = re.search(r"\d+ of 100", at_bench)
    assert lean
    assert chance
    assert f"leaning by {lean[1]}: {chance[0]}" in pair["how"]


@pytest.mark.parametrize("bench", WAYS[:1], indirect=True)
def test_it_is_said_whose_hand_it_is_and_another_can_be_named(client: Client, scionary: Callable[..., Any], bench: BenchDay) -> None:
    assert ", Ada’s hand as measured by 12 misses, and" in said(client, "/bench/join/", stock="7", scion="3")
    assert ", a practised hand, and" in said(client, "/bench/join/", stock="7", scion="3", grafter="")
    pair = ("--stock", "7", "--scion", "3", "--json")
    assert ", a practised hand, and" in scionary("join", *pair, "--grafter", "").json["reckoned"]
    assert ", a beginner's hand, and" in scionary("join", *pair, "--skill", "beginner").json["reckoned"]


@pytest.mark.parametrize("bench", WAYS[1:], indirect=True)
def test_a_stock_of_which_a_person_knows_more_is_as_they_say(client: Client, scionary: Callable[..., Any], bench: BenchDay) -> None:
    assert scionary("join", "--stock", "7", "--scion", "3", "--stage", "in-growth").code == 0
    assert "Slide the scion under the bark" in said(client, "/bench/join/", stock="7", scion="3", stage="unknown")
