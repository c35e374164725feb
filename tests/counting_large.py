"""What a process holds of a large book, begun afresh: tests take their records back, and ids come again."""

from __future__ import annotations

import pytest

from scionary.answers import domes, domes_held, due_plants, early_signs, take_model


def counts_as_large(monkeypatch: pytest.MonkeyPatch, grafts: int) -> None:
    """A book of more than so many grafts counts as large, and nothing of another is held."""
    monkeypatch.setattr(take_model, "QUICK_GRAFTS", grafts)
    monkeypatch.setattr(due_plants, "_STANDING_DUE", due_plants._StandingDue())
    monkeypatch.setattr(early_signs, "_NEAR", early_signs._Near())
    monkeypatch.setattr(domes, "HELD", domes_held.Held())
