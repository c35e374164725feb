"""The bench sheet says what the kept lot says."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from uuid import UUID

import pypdfium2
import pytest

from scionary.answers.trial_sheet import trial_sheet_pdf
from scionary.answers.trial_trays import trial_trays
from scionary.book.commands import save_noun
from scionary.book.models import Dome, PotKind, Trial
from scionary.errors import UnknownSubject

pytestmark = pytest.mark.django_db
TODAY = date(2026, 2, 14)


def words_of(pdf: bytes) -> list[str]:
    return [" ".join(page.get_textpage().get_text_range().split()) for page in pypdfium2.PdfDocument(pdf)]


def test_every_place_stands_on_the_sheet_with_its_arm(trial: Callable[..., Trial]) -> None:
    kept = trial(question="Which holds better?")
    [page] = words_of(trial_sheet_pdf(kept.pk, today=TODAY))
    for part in ("Dome 1", "Which holds better?", "1 A film", "2 B rubber", "3 B rubber", "4 A film", "residual-current", "counted: firm"):
        assert part in page
    assert "5 A" not in page


def test_a_dome_treated_as_a_whole_says_so(trial: Callable[..., Trial]) -> None:
    [page] = words_of(trial_sheet_pdf(trial(whole_dome=True).pk, today=TODAY))
    assert "A dome gets one thing as a whole" in page


def test_the_tray_is_drawn_with_all_its_places(trial: Callable[..., Trial], dome: Dome) -> None:
    [tray] = trial_trays(trial())
    assert [pot.arm for pot in tray.pots][:5] == [0, 1, 1, 0, None]
    assert all(0 < pot.x_mm < tray.length_mm and 0 < pot.y_mm < tray.width_mm for pot in tray.pots)
    assert tray.beyond == []


def test_places_for_which_the_tray_has_no_room_any_more_are_told(trial: Callable[..., Trial], dome: Dome, now: object) -> None:
    kept = trial()
    large = save_noun(PotKind, {"name": "tub", "across_mm": 260.0, "shape": "square"}, now=now)  # type: ignore[arg-type]
    save_noun(Dome, {"pot_kind": large}, now=now, pk=dome.pk)  # type: ignore[arg-type]
    [tray] = trial_trays(kept)
    assert (len(tray.pots), tray.beyond) == (2, [(3, 1), (4, 0)])
    [page] = words_of(trial_sheet_pdf(kept.pk, today=TODAY))
    assert all(part in page for part in ("2 B rubber", "3 B rubber", "4 A film"))


def test_an_unknown_trial_has_no_sheet(nursery: object) -> None:
    with pytest.raises(UnknownSubject, match="no such trial"):
        trial_sheet_pdf(UUID(int=3), today=TODAY)
