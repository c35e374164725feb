"""What is due for what the weather will do to domes."""

import pytest

from answers.dome_in_book import NOW, TODAY, keep_holed, keep_weather
from scionary.answers import due_outlook, kept
from scionary.answers.domes import dome_answers
from scionary.answers.due import due
from scionary.answers.due_outlook import MOST_AT_ONCE, outlooks
from scionary.answers.put_off import NOT_NEEDED
from scionary.book.commands import save_noun, write_event
from scionary.book.models import Dome

pytestmark = pytest.mark.django_db


@pytest.fixture(autouse=True)
def _nothing_kept(tmp_path, settings):
    settings.DATA_FOLDER = tmp_path
    kept.forget()


def shaded(dome, percent):
    save_noun(Dome, {"shade_pct": percent}, now=NOW, pk=dome.pk)


def steps(step, today=TODAY):
    return [line for line in due(today=today).lines if line.step == step]


def test_heat_that_is_foretold_is_due_today_with_its_reason(graft, dome):
    graft(3, dome=dome.pk, days=120)
    keep_weather(sunny=800.0)
    shaded(dome, 0.0)
    (line,) = steps("heat")
    assert line.what.startswith("On Sunday 21 June it will be too hot in Dome 1: shade off ")
    assert "With that: " in line.why
    assert line.rests_on.startswith("the forecast; domes in general")


def test_a_day_of_which_too_little_is_foretold_is_one_line_for_all_domes(graft, dome):
    other = save_noun(Dome, {"name": "Dome 2", "shade_pct": 50.0}, now=NOW)
    for each in (dome, other):
        shaded(each, 50.0)
        graft(2, dome=each.pk, days=120)
    keep_holed(gone=(11, 12, 13, 14))
    (line,) = steps("heat")
    assert line.what == "What Sunday 21 June brings to Dome 1 and Dome 2 is not known: take it for a bright day"
    assert line.keys == (dome.key, other.key)


def test_an_empty_dome_and_one_of_which_nobody_said_how_much_sun_it_gets_ask_for_nothing(graft, dome):
    keep_weather(sunny=800.0)
    shaded(dome, 0.0)
    assert not steps("heat")
    shaded(dome, None)
    graft(3, dome=dome.pk, days=120)
    assert not steps("heat")


def test_shade_that_has_to_hold_is_one_line_for_all_domes_and_rests_once_answered(graft, dome, nursery):
    other = save_noun(Dome, {"name": "Dome 2", "shade_pct": 90.0}, now=NOW)
    for each in (dome, other):
        shaded(each, 90.0)
        graft(2, dome=each.pk, days=120)
    keep_weather(sunny=700.0, warm=15.0)
    (line,) = steps("shade")
    assert line.what.endswith("see that the shade sits firm on Dome 1 and Dome 2")
    for each in (dome, other):
        payload = {"line": "shade", "answer": NOT_NEEDED}
        write_event("answered", each.key, payload, happened_at=NOW, now=NOW)
    assert not steps("shade")


def test_a_page_works_out_a_dozen_domes_and_the_next_page_goes_on(nursery, dome, graft, monkeypatch):
    monkeypatch.setattr(due_outlook, "MOST_AT_ONCE", 1)
    others = [save_noun(Dome, {"name": f"Case {number}"}, now=NOW) for number in range(2)]
    for each in others:
        graft(1, dome=each.pk, days=120)
    keep_weather(sunny=200.0)
    answers = dome_answers(today=TODAY)
    assert [len(outlooks(answers, nursery, TODAY)) for _ in range(3)] == [1, 2, 2]
    assert MOST_AT_ONCE > 1
