"""Which scion goes to which stock: as many as can be, within the limits, in the order in which the stocks stand."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pypdfium2
import pytest

from scionary.answers.join_ask import JoinAsk
from scionary.answers.join_stems import join_stems
from scionary.answers.join_typed import read_ask
from scionary.answers.match_paper import pairs_pdf
from scionary.answers.match_stems import MatchAnswer, MatchAsk, match_stems
from scionary.answers.match_typed import MatchTyped, read_match
from scionary.answers.stems_typed import StemLine, read_lines
from scionary.answers.stock_stage import StockStage
from scionary.answers.usual_method import method_for
from scionary.book.models import Nursery
from scionary.errors import Refused
from scionary.union import COMPATIBILITY, METHODS, SKILLS, Stage, Stem

HOW = JoinAsk(Stem(7.0), Stem(3.0), METHODS["side_veneer"], SKILLS["practised"], rows=COMPATIBILITY)


def matched(scions: str, stocks: str, **more: Any) -> MatchAnswer:
    above, below = (read_lines(text, where, "mm")[0] for text, where in ((scions, "scions"), (stocks, "stocks")))
    return match_stems(MatchAsk(above, below, HOW, **{"rows": COMPATIBILITY, **more}))


def test_pairs_are_listed_as_the_stocks_stand(db: None) -> None:
    answer = matched("3\n7\n5", "9\n6\n7")
    assert [pair.stock.label for pair in answer.pairs] == ["1", "2", "3"]
    assert answer.sentence == "3 pairs: every scion has its stock."
    assert answer.pairs[0].words.startswith("Stock 1 with scion")
    assert answer.pairs[0].how.startswith("cut 40 mm, 2.1 mm deep, ")
    assert "of 100" in answer.pairs[0].how


@pytest.mark.parametrize(("method", "stock_mm", "scion_mm"), [("cleft", 8.0, 3.2), ("top_wedge", 10.0, 7.0), ("side_veneer", 16.0, 16.0)])
def test_how_far_off_the_middle_a_scion_goes_stands_in_the_list_as_on_its_own_page(
    db: None, method: str, stock_mm: float, scion_mm: float
) -> None:
    how = replace(HOW, method=METHODS[method], stock=Stem(stock_mm), scion=Stem(scion_mm), stage=Stage.DORMANT)
    (pair,) = match_stems(MatchAsk([StemLine("1", scion_mm)], [StemLine("1", stock_mm)], how, rows=COMPATIBILITY)).pairs
    alone = join_stems(how, compare=False)
    assert alone.best
    assert abs(alone.best.shift_mm) > 0.1
    ends = {f"{abs(mm):.1f}".removesuffix(".0") + " mm" for mm in (alone.best.foot_mm, alone.best.top_mm)}
    assert all(mm in pair.how and mm in alone.sentence for mm in ends)
    assert "to one side" in pair.how


def test_a_scion_too_thick_for_every_stock_is_left_over_and_a_stock_is_ordered(db: None) -> None:
    answer = matched("3 Ash Gill\n12 Red Tarn", "7\n8")
    assert answer.sentence == "1 of 2 scions have a stock."
    assert answer.left_words[0] == "Scions left over: 2 (12 mm)."
    assert len(answer.order_words) == 1
    assert "by their sizes" in " ".join(answer.notes)
    (line,) = answer.order
    assert (line.count, line.low_mm >= 12.0) == (1, True)
    assert "no stock of" not in " ".join(answer.notes)


def test_a_scion_for_which_no_stock_can_be_ordered_is_told(db: None) -> None:
    answer = matched("0.1\n12", "7")
    assert [line.count for line in answer.order] == [1]
    assert "For 1 scion left over no stock of 2 to 40 mm would do by side veneer" in " ".join(answer.notes)


def test_limits_hold_lot_pot_and_names(db: None) -> None:
    assert matched("3; lot a", "7; lot b").pairs == []
    assert len(matched("3; lot a", "7; lot a").pairs) == 1
    assert matched("3; pot round", "7; pot square").pairs == []
    beech, maple = StemLine("1", 7.0, name="Fagus sylvatica"), StemLine("1", 3.0, name="Acer palmatum")
    assert match_stems(MatchAsk([maple], [beech], HOW, rows=COMPATIBILITY)).pairs == []
    assert len(match_stems(MatchAsk([maple], [beech], HOW, names_go_together=False, rows=COMPATIBILITY)).pairs) == 1


def test_where_stocks_are_too_few_what_comes_first_has_one(db: None) -> None:
    assert matched("3 a\n3 b!\n3 c", "7").pairs[0].scion.label == "2"


def test_stems_that_were_not_measured_have_the_spread_of_their_lot(lot: Any) -> None:
    answer = matched("3", "? 24-B")
    assert (len(answer.pairs), answer.pairs[0].sizes) == (1, "stock not measured, scion 3 mm")
    assert answer.pairs[0].how == "cut 18 mm; measure the stock for the rest"
    assert "not measured" in " ".join(answer.notes)


def test_without_anything_that_tells_a_thickness_it_is_refused(db: None) -> None:
    with pytest.raises(Refused, match="nothing tells how thick"):
        matched("3", "? 99")
    with pytest.raises(Refused, match="stocks: none stand there"):
        matched("3", "")


def test_the_bench_list_is_printed_with_a_line_for_each_pair(nursery: Nursery, now: Any) -> None:
    scions = "\n".join(f"{3 + at / 20:.2f} Red Tarn" for at in range(40))
    stocks = "\n".join(f"{6 + at / 20:.2f}" for at in range(40))
    pdf = pypdfium2.PdfDocument(pairs_pdf(matched(f"{scions}\n19", stocks), nursery, today=now.date()))
    pages = [" ".join(page.get_textpage().get_text_range().split()) for page in pdf]
    text = "\n".join(pages)
    assert len(pages) > 1
    assert all("Cut away from hand" in page or "cut away from hand" in page for page in pages)
    for words in ("Pairs: side veneer, page 1 of", "1 Red Tarn", "Scions left over: 41 (19 mm).", "To order: 1 stock of"):
        assert words in text


@pytest.mark.parametrize(
    ("stage", "told"),
    [
        (None, "try it first with the back of the blade"),
        (Stage.GROWTH_RIPENING, "try it first"),
        (Stage.IN_GROWTH, ""),
    ],
)
def test_a_list_of_grafts_under_bark_says_whether_bark_parts(db: None, stage: Stage | None, told: str) -> None:
    how = replace(HOW, method=METHODS["side_inlay"], stage=stage)
    scions, stocks = [StemLine("1", 3.0)], [StemLine("1", 9.0)]
    notes = " ".join(match_stems(MatchAsk(scions, stocks, how, rows=COMPATIBILITY, stage_words="The stock counts as one.")).notes)
    assert told in notes
    assert ("Bark must part" in notes) == bool(told)
    assert "The stock counts as one." in notes


def test_where_bark_does_not_part_no_pair_is_listed_and_it_is_said_what_to_do(nursery: Nursery, now: Any) -> None:
    how = replace(HOW, method=METHODS["side_inlay"], stage=Stage.DORMANT)
    answer = match_stems(MatchAsk([StemLine("1", 3.0)], [StemLine("1", 9.0)], how, rows=COMPATIBILITY, stage_words="As the warmth tells."))
    assert (answer.sentence, answer.pairs, answer.order_words) == ("None may be joined now.", (), [])
    assert [stem.label for stem in (*answer.left_scions, *answer.left_stocks)] == ["1", "1"]
    notes = " ".join(answer.notes)
    for words in (
        "that of a stock at rest does not",
        "As the warmth tells.",
        "on a stock in growth",
        "side veneer",
        "say what they are doing",
    ):
        assert words in notes
    assert "T-bud" not in notes
    with pytest.raises(Refused, match="None may be joined now"):
        pairs_pdf(answer, nursery, today=now.date())


def test_a_match_takes_what_the_stocks_are_doing_and_the_books_method(nursery: Nursery, now: Any, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("scionary.answers.join_usual.stock_stage", lambda day, nursery: StockStage(Stage.DORMANT, "at rest, as told"))
    ask, _ = read_match(MatchTyped("3", "7"), nursery, today=now.date())
    assert (ask.how.stage, ask.stage_words) == (Stage.DORMANT, "at rest, as told")
    joined, _ = read_ask({"stock": "7", "scion": "3"}, nursery, today=now.date())
    assert ask.how.called == joined.called == str(method_for(now.date(), nursery))


def test_one_scion_without_a_stock_is_one(db: None) -> None:
    assert matched("12", "7").sentence == "The scion has no stock."
