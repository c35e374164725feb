"""A terminal has no worker beside it: it fits the logs of a few domes itself."""

import pytest

from answers.dome_in_book import NOW, keep_log, keep_weather
from scionary.answers import dome_model, kept
from scionary.answers.dome_model import model_of, spec_of

pytestmark = pytest.mark.django_db


@pytest.fixture
def logged(dome, tmp_path, settings):
    """A dome with a log under weather that the book holds, of which nothing was learned yet."""
    settings.DATA_FOLDER = tmp_path
    kept.forget()
    spec, largest = spec_of(dome)
    keep_log(dome, spec, keep_weather(), largest_cm2=largest)
    assert model_of(dome).fit is None
    return dome


@pytest.mark.parametrize("asked", [("due",), ("air", "--dome", "Dome 1")])
def test_what_tomorrow_brings_rests_on_the_log_without_any_page_having_been_opened(scionary, logged, asked):
    named = [logged.name if each == "Dome 1" else each for each in asked]
    scionary(*named, "--on", NOW.date().isoformat())
    assert model_of(logged).fit is not None


def test_many_domes_are_left_to_the_worker(scionary, logged, monkeypatch):
    monkeypatch.setattr(dome_model, "FEW_DOMES", 0)
    scionary("due", "--on", NOW.date().isoformat())
    assert model_of(logged).fit is None
