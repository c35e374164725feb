"""A method's after-care and practices, edited as data."""

from __future__ import annotations

from datetime import datetime

import pytest
from django.test import Client

from scionary.book.commands import save_noun
from scionary.book.models import Method, Nursery
from web.rendered import check_page

pytestmark = pytest.mark.django_db

STEP = {"step": "vent", "say": "Open a crack", "why": "To try.", "day": "20", "open_pct": "10", "source": "my own practice"}


def test_the_page_shows_steps_with_their_sources_and_practices_side_by_side(client: Client, method: Method) -> None:
    text = check_page(client.get(f"/book/methods/{method.pk}/"))
    assert "Check which are firm" in text
    assert "common practice, no source" in text
    assert "Shallow water under a raised grid" in text
    assert "No standing water" in text


def test_lengths_in_after_care_are_said_in_the_persons_unit(client: Client, method: Method, nursery: Nursery, now: datetime) -> None:
    save_noun(Nursery, {"length_unit": "in"}, now=now, pk=nursery.pk)
    text = check_page(client.get(f"/book/methods/{method.pk}/"))
    assert "Top up the water under the grid to 1/4–1/2 in" in text
    assert "1/4 to 1/2 in of water stands in the tray" in text


def test_picking_a_practice_changes_which_steps_apply(client: Client, method: Method) -> None:
    client.post(f"/book/methods/{method.pk}/pick/", {"topic": "Water in the tray", "name": "No standing water"})
    says = [step["say"] for step in Method.objects.get(pk=method.pk).steps()]
    assert "Lift a pot: water only if it is light" in says
    assert not any(said.startswith("Top up the water") for said in says)


def test_a_step_is_added_in_its_place(client: Client, method: Method) -> None:
    assert client.post(f"/book/methods/{method.pk}/steps/new/", STEP).status_code == 303
    steps = Method.objects.get(pk=method.pk).after_care
    assert [step["day"] for step in steps] == sorted(step["day"] for step in steps)
    assert next(step for step in steps if step["say"] == "Open a crack")["open_pct"] == 10


def test_changing_a_step_keeps_what_the_form_does_not_show(client: Client, method: Method) -> None:
    place = next(i for i, step in enumerate(method.after_care) if step.get("cover_off"))
    form = client.get(f"/book/methods/{method.pk}/steps/{place}/").context["form"]
    fields = {name: form[name].value() for name in form.fields if form[name].value() is not None} | {"day": "50"}
    client.post(f"/book/methods/{method.pk}/steps/{place}/", fields)
    step = next(step for step in Method.objects.get(pk=method.pk).after_care if step.get("cover_off"))
    assert step["day"] == 50


def test_a_step_is_taken_out_only_while_it_says_what_was_seen(client: Client, method: Method) -> None:
    count = len(method.after_care)
    refused = client.post(f"/book/methods/{method.pk}/steps/0/out/", {"was": "something else"})
    assert refused.status_code == 422
    assert len(Method.objects.get(pk=method.pk).after_care) == count
    client.post(f"/book/methods/{method.pk}/steps/0/out/", {"was": method.after_care[0]["say"]})
    assert len(Method.objects.get(pk=method.pk).after_care) == count - 1


@pytest.mark.parametrize(("field", "typed"), [("open_pct", ""), ("day", "-1"), ("say", "")])
def test_a_step_that_cannot_be_keeps_the_form(client: Client, method: Method, field: str, typed: str) -> None:
    response = client.post(f"/book/methods/{method.pk}/steps/new/", {**STEP, field: typed})
    assert response.status_code == 422
    assert response.context["form"].errors[field]
    assert "To try." in response.content.decode()


def test_a_practice_is_put_beside_the_others(client: Client, method: Method) -> None:
    practice = {"topic": "Water in the tray", "name": "A wet cloth", "says": "A cloth under the pots is kept wet.", "source": "a neighbour"}
    client.post(f"/book/methods/{method.pk}/practice/", practice)
    again = client.post(f"/book/methods/{method.pk}/practice/", practice)
    topic = next(topic for topic in Method.objects.get(pk=method.pk).practices if topic["topic"] == "Water in the tray")
    assert [entry["name"] for entry in topic["practices"]].count("A wet cloth") == 1
    assert again.status_code == 422
    assert "stands there already" in again.context["form"].errors["name"][0]


def test_a_step_of_nobody_is_404(client: Client, method: Method) -> None:
    assert client.get(f"/book/methods/{method.pk}/steps/99/").status_code == 404
