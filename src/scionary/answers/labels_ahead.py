"""Labels printed before the day: their code numbers are set aside, the name is written on by hand, and grafts then take these codes."""

from __future__ import annotations

import re
from datetime import datetime

from django.db import transaction

from scionary.answers.label_sheets import sheet_called
from scionary.answers.labels import LabelSheets, check_print, usual_preset
from scionary.book.leases import AHEAD, take_numbers
from scionary.book.models import Nursery
from scionary.book.patience import patiently
from scionary.errors import Refused
from scionary.files.grids import SheetGrid
from scionary.files.labels import LabelText, label_sheet
from scionary.language import say
from scionary.names import CodeStatus, code_of, grouped, number_of, read_code

_BETWEEN = re.compile(r"[,;\n\r]+")
_MOST_TYPED = 20_000


@patiently
def labels_ahead_pdf(
    count: int,
    *,
    nursery: Nursery,
    now: datetime,
    preset: str = "",
    grid: SheetGrid | None = None,
    start_at: int = 0,
    symbol: str = "qr",
    copies: int = 1,
) -> LabelSheets:
    """Set so many code numbers aside and print their labels with lines to write on; when they cannot be printed, none is set aside."""
    sheet = grid or sheet_called(preset or usual_preset(nursery))
    check_print(count, sheet, start_at=start_at, symbol=symbol, copies=copies)
    with transaction.atomic():
        numbers = take_numbers(AHEAD, count, now=now)
        printed = [LabelText("", code_of(number)) for number in numbers for _ in range(copies)]
        return LabelSheets(label_sheet(printed, sheet, start_at=start_at, symbol=symbol), len(printed), ())


def numbers_on_labels(typed: str) -> tuple[int, ...]:
    """The numbers of codes as they stand on labels, with commas between; each must be read for sure."""
    if len(typed) > _MOST_TYPED:
        raise Refused(say("that is more text than a day's labels hold."), where="codes", remedy=say("Give fewer codes at once."))
    return tuple(_number(part.strip()) for part in _BETWEEN.split(typed) if part.strip())


def _number(text: str) -> int:
    reading = read_code(text)
    if reading.status not in (CodeStatus.EXACT, CodeStatus.RECOVERED) or reading.code is None:
        raise Refused(f"{text[:40]!r}: {reading.words}", where="codes", remedy=say("Look at the label again; put commas between codes."))
    return number_of(reading.code)


def counted(count: int | None, numbers: tuple[int, ...]) -> int:
    """How many grafts: as many as there are codes; a number that says otherwise is refused."""
    if numbers and count not in (None, len(numbers)):
        codes = ", ".join(grouped(code_of(number)) for number in numbers[:4])
        remedy = say("Give {numbers}, or leave the number out.", numbers=len(numbers))
        raise Refused(
            say("{count} grafts, but {numbers} codes ({codes}).", count=count, numbers=len(numbers), codes=codes),
            where="codes",
            remedy=remedy,
        )
    return len(numbers) or (1 if count is None else count)
