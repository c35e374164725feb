"""The bench sheet of a trial: which place of which dome gets what, in the order of grafting."""

from __future__ import annotations

from datetime import date
from uuid import UUID

from scionary.answers.trial_trays import DrawnTray, trial_trays
from scionary.answers.trials import LETTERS, trial_called
from scionary.answers.words import weekday_words
from scionary.book import queries
from scionary.errors import BadValue, Refused
from scionary.files.trial_sheet import SheetPot, SheetTray, TrialSheetText, trial_sheet
from scionary.language import mark, say

CAUTION = mark(
    "blades cut away from hand and body, with a guard or a cut-resistant glove; stop when tired or cold. "
    "Heated mats and misting only on a residual-current circuit. Alcohol burns: no flame or heater near."
)


def trial_sheet_pdf(ident: UUID, *, today: date) -> bytes:
    """The sheet of a trial as a PDF, a page or more a filling of a dome."""
    trial = trial_called(ident)
    whole = say(" A dome gets one thing as a whole.") if trial.whole_dome else ""
    text = TrialSheetText(
        name=trial.name,
        question=trial.question,
        arms=list(zip(LETTERS, trial.arms, strict=False)),
        trays=[_tray(tray) for tray in trial_trays(trial)],
        about=say(
            "What gets what was drawn by lot.{whole} Begins {day}; counted: {stage}.",
            whole=whole,
            day=weekday_words(trial.begins_on),
            stage=trial.get_stage_display(),
        ),
        caution=say(CAUTION),
        printed=weekday_words(today),
        page=queries.nursery().paper,
    )
    try:
        return trial_sheet(text)
    except BadValue as error:
        raise Refused(
            say("this sheet cannot be drawn: {error}.", error=error), where=trial.name, remedy=say("Look at the sizes of its domes.")
        ) from error


def _tray(tray: DrawnTray) -> SheetTray:
    """The page counts downwards, the tray from its near left corner."""
    return SheetTray(
        name=tray.name,
        stands=tray.stands,
        length_mm=tray.length_mm,
        width_mm=tray.width_mm,
        pot_mm=tray.pot_mm,
        pots=[SheetPot(pot.place, pot.x_mm, tray.width_mm - pot.y_mm, pot.arm) for pot in tray.pots],
        round_pots=tray.round_pots,
        beyond=[SheetPot(place, 0.0, 0.0, arm) for place, arm in tray.beyond],
    )
