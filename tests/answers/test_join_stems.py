"""How to join two stems, in sentences: how to set the scion, how likely it is, what is the matter, what moves it."""

from __future__ import annotations

from dataclasses import replace
from datetime import datetime
from typing import Any

import pypdfium2
import pytest

from scionary.answers.join_ask import JoinAsk, assumed, hand_of, join_method, method_meant
from scionary.answers.join_paper import teaching_sheet_pdf
from scionary.answers.join_stems import JoinAnswer, join_stems
from scionary.book.commands import save_noun, write_event
from scionary.book.models import Method, Nursery
from scionary.errors import UnknownSubject
from scionary.union import COMPATIBILITY, METHODS, SKILLS, Stage, Stem, Way


def ask(stock_mm: float = 7.0, scion_mm: float = 3.0, method: str = "side_veneer", **more: Any) -> JoinAsk:
    given: dict[str, Any] = {"skill": SKILLS["practised"], "rows": COMPATIBILITY, "stage": Stage.DORMANT, **more}
    return JoinAsk(Stem(stock_mm), Stem(scion_mm), METHODS[method], **given)


def told(*args: Any, **more: Any) -> JoinAnswer:
    return join_stems(ask(*args, **more), compare=False)


def test_a_3_mm_scion_is_leaned_on_a_7_mm_stock() -> None:
    answer = told()
    assert (
        answer.sentence
        == "Lean the scion by 1.3 mm over the middle of the cut: its foot half of that to one side, its top half to the other."
    )
    assert answer.steps[0] == "Cut the stock's side 18 mm long and 0.9 mm deep: through the bark, and 0.3 mm into the wood."
    assert answer.chance == "Chance that 5 mm or more of the living lines meet: 97 of 100."
    assert "Between 92 of 100 and 98 of 100" in answer.range_words
    assert answer.instead == ["Straight instead: 95 of 100"]
    assert [title for title, _ in answer.views] == ["straight", "leaning"]


def test_a_steady_hand_sets_it_straight_and_sees_one_drawing() -> None:
    answer = told(skill=SKILLS["experienced"])
    assert answer.sentence.startswith("Set the scion straight")
    assert [title for title, _ in answer.views] == ["straight"]


def test_the_advice_changes_when_what_nobody_knows_is_moved(nursery: Nursery) -> None:
    answer = join_stems(ask())
    words = {(each.tolerance_mm, each.wanted_mm): each.words for each in answer.moved}
    assert words[0.5, 5.0] == "leaning by 1.3 mm: 97 of 100"
    assert words[0.2, 10.0].startswith("straight: ")
    assert [each for each in answer.moved if each.here] == [
        each for each in answer.moved if (each.tolerance_mm, each.wanted_mm) == (0.5, 5.0)
    ]


@pytest.mark.parametrize(
    ("pair", "more", "sentence"),
    [
        ((7.0, 9.0), {}, "The scion, 9 mm, is too thick for a stock of 7 mm by side veneer: 7 mm at most."),
        ((7.0, 7.04), {}, "The scion, 7.04 mm, is too thick for a stock of 7 mm by side veneer: 7.00 mm at most."),
        ((4.97, 3.0), {}, "The stock, 4.97 mm, is too thin for side veneer: 5.00 mm at least."),
        ((10.0, 2.0), {}, "The scion, 2 mm, is too thin for a stock of 10 mm by side veneer: 3 mm at least."),
        ((4.0, 3.0), {}, "The stock, 4 mm, is too thin for side veneer: 5 mm at least."),
        ((30.0, 10.0), {}, "The stock, 30 mm, is too thick for side veneer: 25 mm at most."),
        ((8.0, 3.0, "t_bud"), {}, "Bark must part from the wood for T-bud, and that of a stock at rest does not"),
        ((7.0, 3.0), {"stock_name": "Fagus sylvatica", "scion_name": "Acer palmatum"},
         "Fagus sylvatica does not carry Acer palmatum, as the table has it. Of different genera. Source: general rule"),
    ],
)  # fmt: skip
def test_a_pair_that_does_not_fit_is_told_why_and_is_not_drawn(pair: tuple[Any, ...], more: dict[str, Any], sentence: str) -> None:
    answer = told(*pair, **more)
    assert answer.sentence.startswith(sentence)
    assert (answer.fits, answer.views, answer.steps, answer.chance) == (False, [], (), "")


@pytest.mark.parametrize(
    ("pair", "more", "words"),
    [
        ((8.0, 3.0, "t_bud"), {"stage": None}, "try it first with the back of the blade"),
        ((7.0, 3.0), {"stage": Stage.IN_GROWTH}, "On a stock in growth, side veneer is unusual"),
        ((7.0, 3.0), {"stock_name": "Acer pseudoplatanus", "scion_name": "Acer rubrum"}, "for long is in doubt"),
        ((7.0, 3.0), {"stock_name": "Betula pendula", "scion_name": "Betula utilis"}, "is not known to the table: try a few first"),
        ((8.0, 6.0, "splice"), {}, "The stock's living lines lie 0.8 mm further out than the scion's"),
    ],
)
def test_what_is_doubtful_is_a_caution_and_forbids_nothing(pair: tuple[Any, ...], more: dict[str, Any], words: str) -> None:
    answer = told(*pair, **more)
    assert answer.fits
    assert words in " ".join(answer.cautions)


def test_other_methods_are_told_with_why(nursery: Nursery) -> None:
    others = {other.key: other for other in join_stems(ask()).others}
    assert len(others) == len(METHODS) - 1
    assert not others["splice"].fits
    assert "too thin" in others["splice"].words
    assert "of 100; about" in others["chip_bud"].words


def test_inches_are_told_in_64ths() -> None:
    assert told(unit="in").sentence.startswith("Lean the scion by 3/64 in ")


def test_the_books_numbers_go_before_the_usual_ones(nursery: Nursery) -> None:
    row = Method.objects.get(joins="side_veneer")
    found = join_method(row)
    assert found is not None
    assert (found.cut_low_mm, found.source_of("cut_low_mm")) == (20.0, "as this book's method has it; common practice, no source")
    assert found.source_of("ratio_low") == METHODS["side_veneer"].source_of("ratio_low")
    assert "20 mm long" in join_stems(replace(ask(), method=found), compare=False).steps[0]


def test_a_range_of_the_book_that_passes_the_usual_one_takes_its_other_end_along(nursery: Nursery) -> None:
    row = Method.objects.get(joins="side_veneer")
    row.stock_low_mm, row.cut_high_mm, row.cut_low_mm = 30.0, 10.0, None
    found = join_method(row)
    assert found is not None
    assert (found.stock_low_mm, found.stock_high_mm, found.cut_low_mm, found.cut_high_mm) == (30.0, 30.0, 10.0, 10.0)


def test_a_method_is_meant_by_its_name_its_beginning_its_id_or_the_trades_word(nursery: Nursery) -> None:
    row = Method.objects.get(joins="side_veneer")
    assert [method_meant(typed)[1] for typed in (row.name, "side veneer, d", str(row.pk))] == [row.name] * 3
    assert method_meant("Whip and tongue") == (METHODS["whip_and_tongue"], "")


def test_an_unknown_method_is_refused_with_those_that_are_known(nursery: Nursery, now: datetime) -> None:
    with pytest.raises(UnknownSubject, match=r"no method is called 'grafting'. Methods: .*side_veneer"):
        method_meant("grafting")
    save_noun(Method, {"name": "Our own trick"}, now=now)
    with pytest.raises(UnknownSubject, match="does not know how Our own trick joins"):
        method_meant("our own trick")


def test_a_hand_is_the_books_until_unions_were_opened(nursery: Nursery, now: datetime) -> None:
    save_noun(Nursery, {"skill": "beginner"}, now=now, pk=nursery.pk)
    nursery.refresh_from_db()
    assert hand_of(nursery) == SKILLS["beginner"]
    for foot, depth in ((0.1, 0.0), (-0.1, 0.05)):
        payload = {"foot_mm": foot, "top_mm": 0.1, "depth_mm": depth, "grafter": "Ada"}
        write_event("union_opened", nursery.key, payload, happened_at=now, now=now)
    learned = hand_of(nursery, "ada")
    assert (learned.name, learned.unions) == ("learned", 6)
    assert learned.error_mm == pytest.approx(((20 * 0.36 + 0.04) / 24) ** 0.5)
    assert hand_of(nursery) == SKILLS["beginner"]  # what Ada missed says nothing of somebody else
    assert hand_of(nursery, "Ada", chosen="experienced") == SKILLS["experienced"]


def test_what_nobody_knows_stands_where_the_book_moved_it(nursery: Nursery, now: datetime) -> None:
    assert assumed(nursery) == {"tolerance_mm": 0.5, "wanted_mm": 5.0}
    save_noun(Nursery, {"union_assumptions": {"wanted_mm": 8.0}}, now=now, pk=nursery.pk)
    nursery.refresh_from_db()
    assert assumed(nursery, {"tolerance_mm": 0.3, "wanted_mm": None}) == {"tolerance_mm": 0.3, "wanted_mm": 8.0}


def test_lines_are_said_to_lie_on_each_other_only_where_they_do() -> None:
    for stock_mm in (6.0, 9.0, 12.0):
        for ratio in (0.4, 0.7, 0.85, 1.0):
            for method in ("side_veneer", "splice", "saddle", "top_wedge", "chip_bud", "whip_and_tongue"):
                answer = told(stock_mm, stock_mm * ratio, method)
                if not answer.fits or answer.best is None or answer.best.way is not Way.BOTH_SIDES:
                    continue
                joint = answer.found.chosen.joint
                assert joint is not None
                apart = abs(float(joint.apart_mm))
                assert ("both its living lines lie on the stock's" in answer.sentence) == (apart < 0.05), answer.sentence
                assert ("half way up neither living line meets" in answer.sentence) == (apart > 0.5), answer.sentence
                assert answer.sentence in answer.steps[-1]


def test_a_splice_of_unlike_stems_says_that_neither_line_meets_half_way_up() -> None:
    answer = told(7.0, 5.0, "splice")
    assert answer.sentence == (
        "Set the scion straight, in the middle of the cut: half way up neither living line meets, 0.8 mm beside the stock's; "
        "what meets lies nearer the ends."
    )
    assert not any(mark.meets for mark in answer.views[-1][1].marks)


@pytest.mark.parametrize(("gap", "said"), [(2.0, "0.2 or 2 mm"), (0.05, "0.05 or 1 mm"), (0.5, "0.2 or 1 mm")])
def test_the_range_names_the_gaps_that_it_was_worked_out_for(gap: float, said: str) -> None:
    assert f"as callus bridges {said}, which nobody knows" in told(tolerance_mm=gap).range_words


def test_a_bend_that_shortens_the_cut_or_its_face_is_said() -> None:
    inner = join_stems(replace(ask(12.0, 7.0), stock=Stem(12.0, bend_radius_mm=-30.0)), compare=False)
    assert inner.steps[0].startswith("Cut the stock's side 21 mm long and 1.9 mm deep")
    assert "The stock's bend makes the cut 21 mm long, not 40 mm" in " ".join(inner.cautions)
    outer = join_stems(replace(ask(), stock=Stem(7.0, bend_radius_mm=20.0)), compare=False)
    assert "On this bend the face runs out after 12.6 mm, short of 15 mm" in " ".join(outer.cautions)
    assert outer.steps[0].endswith("0.9 mm deep in the middle: on this bend the face is 12.6 mm long then.")
    edges = outer.views[-1][1].stock_edges
    assert all(abs(z) < 6.35 and (abs(x) > 0.0 or abs(z) > 5.0) for line in edges for x, z in line)


def test_less_than_an_even_chance_is_said_and_an_even_one_is_not() -> None:
    said = {}
    for wanted in (8.0, 10.0, 12.0, 14.0, 16.0, 18.0):
        answer = told(7.0, 3.0, wanted_mm=wanted, tolerance_mm=0.2)
        assert answer.best is not None
        said[answer.best.chance] = "less than an even chance" in " ".join(answer.cautions)
    assert {chance: chance < 0.5 for chance in said} == said
    assert any(0.2 < chance < 0.5 for chance in said)
    assert any(chance > 0.5 for chance in said)


def test_that_left_or_right_is_the_same_is_said_of_a_leaning_scion_only() -> None:
    assert told().steps[-1].endswith("Left or right is the same: take the side that you see best.")
    assert "Left or right" not in told(skill=SKILLS["experienced"]).steps[-1]


def test_the_teaching_sheet_names_hand_gap_and_cautions(nursery: Nursery) -> None:
    answer = told(8.0, 6.0, "splice", stage=None)
    pages = pypdfium2.PdfDocument(teaching_sheet_pdf(answer, nursery))
    text = " ".join(" ".join(page.get_textpage().get_text_range() for page in pages).split())
    for words in ("a practised hand, and callus that bridges 0.5 mm", "further out than the scion", "What the stock is doing is not said"):
        assert words in text
