"""The bench list of pairs, printed."""

from __future__ import annotations

from datetime import date

from scionary.answers.join_paper import page_of
from scionary.answers.match_stems import BenchPair, MatchAnswer
from scionary.book.models import Nursery
from scionary.errors import Refused
from scionary.files.pairs_list import PairRow, pairs_list
from scionary.language import say


def pairs_pdf(answer: MatchAnswer, nursery: Nursery, *, today: date) -> bytes:
    """A line for each pair, and at its end what is left over and what to order."""
    if not answer.pairs:
        raise Refused(answer.sentence, where="list", remedy=" ".join(answer.notes))
    order = [say("To order: {stocks}.", stocks=", ".join(answer.order_words))] if answer.order else []
    notes = [answer.sentence, *answer.left_words, *order, *answer.notes, *answer.assumed]
    title = say("Pairs: {method}", method=answer.ask.how.called)
    return pairs_list([_row(pair) for pair in answer.pairs], page=page_of(nursery), title=title, notes=notes, printed=today.isoformat())


def _row(pair: BenchPair) -> PairRow:
    named = pair.scion.said and pair.scion.said not in pair.scion.label
    return PairRow(pair.stock.label, f"{pair.scion.label} {pair.scion.said}" if named else pair.scion.label, pair.sizes, pair.how)
