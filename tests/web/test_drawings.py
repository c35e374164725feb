"""Drawings: the ring, the tray, the bars; each with words for a screen reader and a table behind it."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.template import Context, Template

from scionary.answers.chances import Ring
from scionary.answers.domes import dome_answer
from scionary.answers.rates import Rate, RatesAnswer
from scionary.book.commands import Written, save_noun
from scionary.book.models import Cultivar, Dome, PotKind


def _drawn(tag: str, **context: Any) -> str:
    return Template("{% load drawings %}{% " + tag + " %}").render(Context(context))


def test_a_ring_has_its_words_and_three_marks() -> None:
    text = _drawn("ring ring size=40", ring=Ring(0.3, 0.52, 0.75, "", "Red Tarn 2: 52 %, 30 to 75 %"))
    assert "<title>Red Tarn 2: 52 %, 30 to 75 %</title>" in text
    assert [text.count(f'class="{name}"') for name in ("ring-sure", "ring-possible", "ring-best")] == [1, 1, 1]


def test_a_dead_ring_has_a_cross_and_no_arc() -> None:
    text = _drawn("ring ring", ring=Ring(0, 0, 0, "cross", "Red Tarn 2: lost"))
    assert 'class="cross"' in text
    assert not re.search("ring-sure|ring-possible|ring-best", text)


def test_an_unknown_ring_has_a_question_mark() -> None:
    assert ">?</text>" in _drawn("ring ring", ring=Ring(0, 0, 0, "question", "Red Tarn 2: missing"))


def test_a_name_cannot_break_the_drawing() -> None:
    text = _drawn("ring ring", ring=Ring(0.1, 0.2, 0.3, "", "<b>&"))
    assert "<title>&lt;b&gt;&amp;</title>" in text


@pytest.fixture
def tray(graft: Callable[..., Written], dome: Dome, now: Any) -> Callable[[], str]:
    def draw() -> str:
        return _drawn("tray answer", answer=dome_answer(dome.pk, today=now.date()))

    return draw


@pytest.mark.django_db
def test_the_tray_is_drawn_at_true_proportions(tray: Callable[[], str], graft: Callable[..., Written], dome: Dome) -> None:
    graft(2, dome=dome.pk)
    text = tray()
    wall = re.search(r'class="tray-wall" x="2" y="2" width="([\d.]+)" height="([\d.]+)"', text)
    assert wall
    inside = (float(wall[1]) - 8) / (float(wall[2]) - 8)
    assert inside == pytest.approx(dome.length_mm / dome.width_mm, rel=0.01)


@pytest.mark.django_db
def test_pots_do_not_overlap_and_stay_inside_the_wall(tray: Callable[[], str], graft: Callable[..., Written], dome: Dome) -> None:
    graft(10, dome=dome.pk)
    text = tray()
    found = re.findall(r'class="pot" x="([\d.]+)" y="([\d.]+)" width="([\d.]+)"', text)
    pots = [tuple(float(value) for value in pot) for pot in found]
    assert len(pots) == 10
    for i, (x, y, size) in enumerate(pots):
        assert x >= 2
        assert y >= 2
        assert x + size <= 306
        for x2, y2, _ in pots[i + 1 :]:
            assert abs(x - x2) >= size or abs(y - y2) >= size


@pytest.mark.django_db
def test_each_pot_leads_to_its_plant_and_says_its_chance(tray: Callable[[], str], graft: Callable[..., Written], dome: Dome) -> None:
    plant = graft(1, dome=dome.pk).plants[0]
    text = tray()
    assert f'<a href="/plants/{plant.pk}/"><title>Red Tarn 1: ' in text
    assert text.count('class="pot-empty"') == 9
    assert "The tray as a table" in text


@pytest.mark.django_db
def test_every_place_shows_its_number(tray: Callable[[], str], graft: Callable[..., Written], dome: Dome) -> None:
    graft(2, dome=dome.pk, places=(3, 14))
    text = tray()
    numbers = re.findall(r'class="soft[^"]* place"[^>]*>(\d+)</text>', text)
    assert sorted(numbers, key=int) == [str(at) for at in range(1, 11)]
    assert "Red Tarn 2</a> (place 14)" in text


@pytest.mark.django_db
def test_round_pots_are_circles(tray: Callable[[], str], graft: Callable[..., Written], dome: Dome, now: Any) -> None:
    save_noun(Dome, {"pot_kind": PotKind.objects.get(shape="round")}, now=now, pk=dome.pk)
    graft(1, dome=dome.pk)
    assert '<circle class="pot"' in tray()


@pytest.mark.django_db
def test_a_large_case_keeps_its_pots_wide_enough_for_a_thumb(
    tray: Callable[[], str], graft: Callable[..., Written], dome: Dome, now: Any
) -> None:
    save_noun(Dome, {"length_mm": 1800.0, "width_mm": 600.0}, now=now, pk=dome.pk)
    graft(3, dome=dome.pk, happened_at=now - timedelta(days=2))
    text = tray()
    assert 'class="natural"' in text
    widths = [float(width) for width in re.findall(r'class="pot"[^>]* width="([\d.]+)"', text)]
    assert min(widths) >= 48


def _rate(name: str, low: float, mean: float, high: float, grafts: int, takes: int) -> Rate:
    return Rate(name, name, grafts, takes, 1, mean, low, high)


def _rates(stage: str, *rows: Rate) -> RatesAnswer:
    return RatesAnswer(stage, "cultivar", list(rows), _rate("all", 0, 0, 0, 0, 0), 0)


def test_bars_stand_where_their_numbers_are() -> None:
    answer = RatesAnswer(
        "in_leaf",
        "cultivar",
        [_rate("Lanthorn", 0.25, 0.5, 1.0, 34, 31), _rate("Merrybeck", 0, 0.4, 0.9, 0, 0)],
        _rate("all", 0, 0, 0, 0, 0),
        0,
    )
    text = _drawn("rate_bars answer", answer=answer)
    assert 'class="bar-range" d="M140.5 24.0H268.0"' in text
    assert 'd="M183.0 16.0V32.0"' in text
    assert "31 of 34" in text
    assert "none yet" in text
    assert "<td>50 %, 25 to 100 %</td>" in text


def test_a_long_name_stands_whole_above_its_bar() -> None:
    long = "The weeping one of the long lane by the northern gate"
    rows = [_rate(name, 0.1, 0.2, 0.3, 5, 1) for name in ("Lanthorn", long, "Merrybeck")]
    text = _drawn("rate_bars answer", answer=RatesAnswer("firm", "cultivar", rows, _rate("all", 0, 0, 0, 0, 0), 0))
    lines = re.findall(r'<text x="2" y="([\d.]+)">([^<]+)</text>', text)
    assert " ".join(words for _, words in lines) == long
    bars = [float(y) for y in re.findall(r'class="bar-range" d="M[\d.]+ ([\d.]+)H', text)]
    assert bars[0] + 8 < float(lines[0][0]) - 9
    assert float(lines[-1][0]) < bars[1] - 8
    assert bars[2] - bars[1] == 33.0


def test_without_anything_counted_no_bars_are_drawn() -> None:
    text = _drawn("rate_bars answer", answer=_rates("firm"))
    assert "<svg" not in text
    assert "Nothing counted yet." in text


@pytest.mark.django_db
def test_a_name_of_one_usual_word_is_drawn_whole(tray: Callable[[], str], graft: Callable[..., Written], dome: Dome, now: Any) -> None:
    graft(1, dome=dome.pk, cultivar=save_noun(Cultivar, {"spoken": "Merrybeck"}, now=now).pk)
    assert ">Merrybeck</text>" in tray()
