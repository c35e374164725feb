"""The label of a bag of scions: cultivar and sticks, the tree, when it was cut, what was done with the leaves, the code."""

from __future__ import annotations

from scionary.answers.bags import cut_when
from scionary.answers.label_sheets import sheet_called
from scionary.answers.labels import CODE_PENDING, LabelSheets, check_print, usual_preset
from scionary.answers.yard import BagLine
from scionary.book.models import Nursery
from scionary.files.grids import SheetGrid
from scionary.files.labels import LabelText, label_sheet, label_warnings
from scionary.language import say, several
from scionary.names import code_of


def bag_label_text(line: BagLine, nursery: Nursery) -> LabelText:
    """What the label says; where the tree or bag is set apart or its name in doubt, that stands there too."""
    bag = line.bag
    sticks = ", " + several(line.sticks, "{count} stick", "{count} sticks") if line.sticks is not None else ""
    when = cut_when(bag, nursery)
    parts = (say("cut {when}", when=when) if when else "", "" if bag.code_number is not None else say(CODE_PENDING))
    return LabelText(
        said=f"{bag.cultivar.spoken}{sticks}",
        code=code_of(bag.code_number) if bag.code_number is not None else "",
        name_runs=((say("from {name}", name=bag.tree.name), False),) if bag.tree else (),
        date=" ".join(part for part in parts if part),
        method=bag.get_care_display() if bag.care else "",
        stock_lot=say("look in the book before use") if line.cautions else "",
    )


def bag_label_pdf(
    line: BagLine,
    *,
    nursery: Nursery,
    preset: str = "",
    grid: SheetGrid | None = None,
    start_at: int = 0,
    symbol: str = "qr",
    copies: int = 1,
) -> LabelSheets:
    """Print the label of one bag, on a named sheet or one that the person measured, as those of plants are printed."""
    sheet = grid or sheet_called(preset or usual_preset(nursery))
    check_print(1, sheet, start_at=start_at, symbol=symbol, copies=copies)
    text = bag_label_text(line, nursery)
    pdf = label_sheet([text] * copies, sheet, start_at=start_at, symbol=symbol, title=line.bag.name)
    return LabelSheets(pdf, copies, tuple(label_warnings([text], sheet)))
