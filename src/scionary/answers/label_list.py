"""The list from which labels are written by hand."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from scionary.answers.labels import label_texts
from scionary.answers.protected import all_protected_words
from scionary.book.models import Nursery, Plant
from scionary.errors import Refused
from scionary.files.label_list import label_list
from scionary.language import say
from scionary.limits import LIMITS


def label_list_pdf(plants: Sequence[Plant], *, nursery: Nursery, today: date) -> bytes:
    """A line for each plant: name, code in open characters, boxes for "written" and "hung"."""
    if not 1 <= len(plants) <= LIMITS["label_count"]:
        remedy = say("Choose 1 to {label_count}.", label_count=LIMITS["label_count"])
        raise Refused(say("{number} plants are chosen.", number=len(plants) or say("no")), where="labels", remedy=remedy)
    cautions = all_protected_words((plant.cultivar for plant in plants), today)
    page = "letter" if nursery.paper == "letter" else "A4"
    return label_list(
        label_texts(plants, nursery), page=page, title=say("Labels to write"), printed=today.isoformat(), caution=" ".join(cautions)
    )
