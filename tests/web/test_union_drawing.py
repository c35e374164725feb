"""The drawing of a union as a page shows it: words, key, caution."""

from __future__ import annotations

from django.template import Context, Template

from scionary.files.union_drawing import drawn_union
from scionary.union import METHODS, Placement, Stem, planned_joint
from scionary.union.view import union_view


def _drawn(method: str = "side_veneer") -> str:
    joint = planned_joint(METHODS[method], Stem(7.0), Stem(3.0))
    views = [
        (title, union_view(joint, Placement(0.0, lean, joint.length_mm), 0.5)) for title, lean in (("straight", 0.0), ("leaning", 1.5))
    ]
    return Template("{% load union_drawn %}{% union_drawing drawn %}").render(Context({"drawn": drawn_union(views)}))


def test_both_drawings_have_words_for_those_who_hear_them() -> None:
    text = _drawn()
    assert (
        "<title>Stock and scion cut across, half way up: both living lines of the scion meet the stock&#x27;s living part</title>" in text
    )
    assert text.count("<title>") == 3


def test_every_colour_has_a_word() -> None:
    text = _drawn()
    for words in ("the stock's living line", "the scion's living line", "here they meet", ">stock</text>", ">scion</text>"):
        assert words in text


def test_the_cambium_is_named_as_hands_know_it() -> None:
    assert "the slick layer between green bark and white wood" in _drawn()


def test_where_a_cut_is_shown_the_caution_stands() -> None:
    text = _drawn()
    for words in ("Cut away from hand and body", "cut-resistant glove", "fresh, sharp blade", "stop when tired", "keep it from flame"):
        assert words in text


def test_under_bark_the_key_speaks_of_the_opening() -> None:
    assert "edge of the opened bark" in _drawn("side_inlay")
