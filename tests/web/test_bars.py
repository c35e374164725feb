"""Bars with their ranges: each stands where its number is, with words for a screen reader and a table behind it."""

from __future__ import annotations

import re
from typing import Any

from django.template import Context, Template

from scionary.answers.difference import DifferenceAnswer
from scionary.answers.importance import ImportanceAnswer, Weight
from scionary.answers.rates import Rate, RatesAnswer
from scionary.answers.stage_chain import ChainAnswer, Step
from scionary.take import RateRange


def _drawn(tag: str, **context: Any) -> str:
    return Template("{% load bars %}{% " + tag + " %}").render(Context(context))


def _rate(name: str, low: float, mean: float, high: float, grafts: int, takes: int) -> Rate:
    return Rate(name, name, grafts, takes, 1, mean, low, high)


def _rates(stage: str, *rows: Rate, kind: str = "long_run") -> RatesAnswer:
    return RatesAnswer(stage, "cultivar", kind, list(rows), _rate("all", 0, 0, 0, 0, 0), 0)


def test_bars_stand_where_their_numbers_are() -> None:
    rows = [_rate("Lanthorn", 0.25, 0.5, 1.0, 34, 31), _rate("Merrybeck", 0, 0.4, 0.9, 0, 0)]
    text = _drawn("rate_bars answer", answer=_rates("in_leaf", *rows))
    assert 'class="bar-range" d="M138.0 24.0H258.0"' in text
    assert 'd="M178.0 16.0V32.0"' in text
    assert "31 of 34" in text
    assert "none yet" in text
    assert "<td>50 %, 25 to 100 %</td>" in text


def test_what_was_counted_is_an_open_dot_and_nothing_counted_has_none() -> None:
    text = _drawn(
        "rate_bars answer", answer=_rates("firm", _rate("Lanthorn", 0.2, 0.4, 0.6, 4, 1), _rate("Merrybeck", 0.2, 0.4, 0.6, 0, 0))
    )
    assert re.findall(r'class="bar-count" cx="([\d.]+)"', text) == ["138.0"]


def test_picture_and_table_name_the_rate_that_is_shown() -> None:
    for kind, called in (("long_run", "in the long run"), ("next_season", "next season"), ("reference", "all else alike")):
        text = _drawn("rate_bars answer", answer=_rates("firm", _rate("Lanthorn", 0.2, 0.4, 0.6, 4, 1), kind=kind))
        assert f'aria-label="Chance {called}, by cultivar, grafts firm' in text
        assert f"<th>Chance {called}, range</th>" in text


def test_a_long_name_stands_whole_above_its_bar() -> None:
    long = "The weeping one of the long lane by the northern gate"
    rows = [_rate(name, 0.1, 0.2, 0.3, 5, 1) for name in ("Lanthorn", long, "Merrybeck")]
    text = _drawn("rate_bars answer", answer=_rates("firm", *rows))
    lines = re.findall(r'<text x="2" y="([\d.]+)">([^<]+)</text>', text)
    assert " ".join(words for _, words in lines) == long
    bars = [float(y) for y in re.findall(r'class="bar-range" d="M[\d.]+ ([\d.]+)H', text)]
    assert bars[0] + 8 < float(lines[0][0]) - 9
    assert float(lines[-1][0]) < bars[1] - 8
    assert bars[2] - bars[1] == 33.0


def test_of_very_many_levels_those_with_most_grafts_are_drawn_and_all_are_in_the_table() -> None:
    rows = [_rate(f"No {at}", 0.1, 0.2, 0.3, at, 0) for at in range(45)]
    text = _drawn("rate_bars answer", answer=_rates("firm", *rows))
    assert text.count('class="bar-range"') == 40
    assert text.count("<td>No ") == 45
    assert ">No 4</text>" not in text
    assert "Drawn are the 40 with most grafts; 5 more are in the table." in text


def test_without_anything_counted_no_bars_are_drawn() -> None:
    text = _drawn("rate_bars answer", answer=_rates("firm"))
    assert "<svg" not in text
    assert "Nothing counted yet." in text


def test_a_difference_has_nothing_in_the_middle_of_its_scale() -> None:
    lower, higher = _rate("24-A", 0.2, 0.4, 0.6, 10, 4), _rate("24-B", 0.4, 0.6, 0.8, 10, 6)
    answer = DifferenceAnswer("firm", "lot", lower, higher, 0.93, -0.2, -0.4, 0.02, 0.5, 0.2, 1.1, [])
    text = _drawn("difference_bars answer", answer=answer)
    assert 'x="178.0" y="59.0">0</text>' in text
    assert "−40</text>" in text
    assert 'd="M138.0 16.0V32.0"' in text
    assert "<td>−20, −40 to +2 points</td>" in text
    assert "24-A is lower than 24-B" in text


def test_shares_of_importance_are_drawn_with_their_best_guess() -> None:
    answer = ImportanceAnswer("firm", [Weight("lot", "stock lot", 0.5, 0.25, 0.75, "3 so far")], [])
    text = _drawn("importance_bars answer", answer=answer)
    assert 'class="bar-range" d="M138.0 24.0H218.0"' in text
    assert "<td>50 %, 25 to 75 %</td><td>3 so far</td>" in text


def test_the_chain_leaves_out_a_step_of_which_nothing_is_known() -> None:
    coming = RateRange(0.7, 0.1, 0.5, 0.9)
    steps = [Step("firm", "growing", 8, 6, 2, 1, 0.4, 0.9, coming), Step("growing", "in_leaf", 0, 0, 6, 0, 0.0, 1.0, coming)]
    text = _drawn("chain_bars answer", answer=ChainAnswer(steps))
    assert text.count('class="bar-range"') == 1
    assert "<td>75 %, 40 to 90 %</td><td>70 %, 50 to 90 %</td>" in text
    assert "<td>not known yet</td><td></td>" in text
