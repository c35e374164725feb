"""The sheet that teaches a union."""

from __future__ import annotations

from scionary.answers.join_stems import JoinAnswer
from scionary.answers.join_words import size
from scionary.book.models import Nursery
from scionary.errors import Refused
from scionary.files.teaching_sheet import TeachingSheet, teaching_sheet
from scionary.language import say


def teaching_sheet_pdf(answer: JoinAnswer, nursery: Nursery) -> bytes:
    """The sheet for one pair; refused where the pair does not fit, since there is nothing to teach."""
    if not answer.views:
        raise Refused(answer.sentence, where="sheet", remedy=say("Choose another scion, stock or method."))
    ask = answer.ask
    sizes = {"scion": size(ask.scion.diameter_mm, ask.unit), "stock": size(ask.stock.diameter_mm, ask.unit)}
    title = say("{method}: a scion of {scion} on a stock of {stock}", method=ask.called[:1].upper() + ask.called[1:], **sizes)
    stage = [answer.stage_words] if answer.stage_words else []
    notes = (f"{answer.chance} {answer.range_words} {answer.reckoned}", *answer.cautions, *stage)
    return teaching_sheet(TeachingSheet(title, answer.steps, answer.views, notes=notes, page=page_of(nursery)))


def page_of(nursery: Nursery) -> str:
    return "letter" if nursery.paper == "letter" else "A4"
