"""Drawings: the ring and the tray; each with words for a screen reader and a table behind it."""

from __future__ import annotations

import re
from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from django.template import Context, Template

from scionary.answers.chances import Ring
from scionary.answers.domes import dome_answer
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


@pytest.mark.django_db
def test_a_name_of_one_usual_word_is_drawn_whole(tray: Callable[[], str], graft: Callable[..., Written], dome: Dome, now: Any) -> None:
    graft(1, dome=dome.pk, cultivar=save_noun(Cultivar, {"spoken": "Merrybeck"}, now=now).pk)
    assert ">Merrybeck</text>" in tray()
