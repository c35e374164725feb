"""What a season will come to while grafts of it still wait."""

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from scionary.answers import season_total as module
from scionary.answers.season_total import learn_season_total, season_total
from scionary.answers.take_model import cells_for, take_model, without_waiting
from scionary.book.commands import Written
from scionary.book.models import Dome
from scionary.book.record import Answer

pytestmark = pytest.mark.django_db
Write = Callable[..., Answer]
Grafts = Callable[..., Written]


def followed(graft: Grafts, write: Write) -> None:
    """Two past seasons: 14 of 20 were firm."""
    for days in (-200, -380):
        for i, plant in enumerate(graft(10, days=days).plants):
            write("scored", plant, sign="firm", answer="yes" if i < 7 else "no", days=days + 40)


def test_where_nothing_waits_there_is_no_total(graft: Grafts, write: Write) -> None:
    followed(graft, write)
    assert season_total() is None


def test_known_ends_of_the_season_count_as_they_are(graft: Grafts, write: Write) -> None:
    followed(graft, write)
    plants = graft(12).plants
    for plant in plants[:4]:
        write("scored", plant, sign="firm", answer="yes", days=31)
    for plant in plants[4:6]:
        write("scored", plant, sign="firm", answer="no", days=31)
    found = season_total()
    assert found is not None
    assert (found.season, found.grafts, found.firm, found.lost, found.waiting, found.unknown) == (2026, 12, 4, 2, 6, 0)
    assert 4 <= found.low <= found.middle <= found.high <= 10
    assert found.words.startswith(f"Of 12 grafts of 2026, between {found.low} and {found.high} will be firm")


def test_an_early_loss_counts_although_no_take_of_its_day_is_known(graft: Grafts, write: Write) -> None:
    followed(graft, write)
    write("lost", graft(5).plants[0], days=10)
    found = season_total()
    assert found is not None
    assert (found.grafts, found.lost, found.waiting, found.unknown) == (5, 1, 4, 0)
    assert found.high <= 4


def test_one_that_was_firm_and_died_later_was_firm(graft: Grafts, write: Write) -> None:
    followed(graft, write)
    plant = graft(3).plants[0]
    write("scored", plant, sign="firm", answer="yes", days=31)
    write("lost", plant, days=60)
    found = season_total()
    assert found is not None
    assert (found.firm, found.lost, found.waiting) == (1, 0, 2)


def test_without_signs_it_is_what_plain_simulation_from_the_model_gives(graft: Grafts, write: Write, dome: Dome, now: Any) -> None:
    followed(graft, write)
    plants = graft(30, dome=dome.pk).plants
    found = season_total()
    assert found is not None
    day, fit = now.date().isoformat(), take_model("firm").fit
    row = {"cultivar": str(plants[0].cultivar_id), "season": "2026", "day": day, "dome": f"{dome.pk}:{day}"}
    rates = fit.predict(cells_for(fit, [row]), draws=8000, rng=4)[:, 0]
    totals = np.random.default_rng(4).binomial(30, rates)
    for end, share in ((found.low, 0.05), (found.middle, 0.5), (found.high, 0.95)):
        assert abs(end - np.quantile(totals, share)) <= 1


def test_fillings_share_the_luck_of_the_season(graft: Grafts, write: Write, dome: Dome) -> None:
    followed(graft, write)
    graft(10, dome=dome.pk)
    alone = season_total()
    assert alone is not None
    for plant in graft(10).plants:
        write("scored", plant, sign="stalk_drops", answer="yes", days=14)
    both = season_total()
    assert both is not None
    assert (both.waiting, both.before > alone.before) == (20, True)
    assert both.middle > round(both.before)


def test_a_page_does_not_wait_for_a_large_total(graft: Grafts, write: Write, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(module, "QUICK_PLANTS", 3)
    followed(graft, write)
    graft(5)
    with without_waiting():
        assert season_total() is None
    learn_season_total()
    with without_waiting():
        kept = season_total()
    assert kept is not None
    assert (kept.waiting, kept.behind) == (5, False)
    graft(1)
    with without_waiting():
        kept = season_total()
    assert kept is not None
    assert (kept.waiting, kept.behind) == (5, True)
