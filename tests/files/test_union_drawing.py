"""A union in drawing units: to scale, within a phone's width, with words."""

from __future__ import annotations

import re

import pytest

from scionary.files.union_drawing import PHONE, drawn_union
from scionary.union import METHODS, Placement, Stem, planned_joint
from scionary.union.view import union_view

JOINT = planned_joint(METHODS["side_veneer"], Stem(7.0), Stem(3.0))


def view(shift_mm=0.0, lean_mm=0.0):
    return union_view(JOINT, Placement(shift_mm, lean_mm, JOINT.length_mm), 0.5)


def points(path):
    return [(float(x), float(y)) for x, y in re.findall(r"(-?[\d.]+) (-?[\d.]+)", path)]


def test_before_and_after_stand_side_by_side_at_one_scale():
    drawn = drawn_union([("straight", view()), ("leaning", view(lean_mm=1.5))])
    assert [face.title for face in drawn.faces] == ["straight", "leaning"]
    heights = [max(y for _, y in points(face.stock_face)) - min(y for _, y in points(face.stock_face)) for face in drawn.faces]
    assert heights[0] == pytest.approx(heights[1], abs=0.1)
    assert max(x for x, _ in points(drawn.faces[0].stock_face)) < min(x for x, _ in points(drawn.faces[1].scion_face))


@pytest.mark.parametrize(
    ("stock_mm", "scion_mm", "method"), [(7, 3, "side_veneer"), (60, 10, "cleft"), (150, 20, "bark_graft"), (4, 3, "splice")]
)
def test_everything_lies_within_a_phone_s_width(stock_mm, scion_mm, method):
    joint = planned_joint(METHODS[method], Stem(stock_mm), Stem(scion_mm))
    two = [(name, union_view(joint, Placement(shift, lean, joint.length_mm), 0.5)) for name, shift, lean in (("a", 0, 0), ("b", 1, 3))]
    drawn = drawn_union(two)
    paths = [area.path for area in drawn.cross.areas] + [
        path for face in drawn.faces for path in (face.stock_face, face.scion_face, face.met)
    ]
    at = [point for path in paths for point in points(path)]
    assert min(x for x, _ in at) >= 0
    assert max(x for x, _ in at) <= PHONE
    assert max(y for _, y in at) <= max(drawn.height, drawn.cross.height)


def test_the_bar_is_as_long_as_it_says():
    drawn = drawn_union([("straight", view())])
    across = [x for area in drawn.cross.areas if area.kind == "union-stock-bark" for x, _ in points(area.path)]
    per_mm = (max(across) - min(across)) / 7.0
    assert drawn.cross.scale.x2 - drawn.cross.scale.x1 == pytest.approx(per_mm * float(drawn.cross.scale.words.split()[0]), rel=0.01)


def test_words_say_what_the_lines_do():
    drawn = drawn_union([("straight", view())])
    assert drawn.faces[0].words == "straight: the scion's two living lines on the stock's, 18 mm long; 36 mm of them meet"
    assert "both living lines of the scion meet" in drawn.cross.words
    assert "neither of the scion's two living lines meets" in drawn_union([("off", view(shift_mm=5.0))]).cross.words
    assert "one of the scion's two living lines meets" in drawn_union([("off", view(shift_mm=2.5))]).cross.words
