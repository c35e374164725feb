"""A trial as it stands: what was made, what took, and what that says, by the layout that was drawn beforehand."""

from __future__ import annotations

import math
from dataclasses import asdict, dataclass, field, replace
from datetime import date
from typing import Any
from uuid import UUID

import numpy as np

from scionary.answers.take_model import STAGES
from scionary.answers.trial_places import MISSING, OPEN, WAITED_DAYS, Fate, TrialPlace, trial_places, without_place
from scionary.answers.trial_planning import before_the_lot, block_name
from scionary.answers.words import day_words, listed, percent, plural
from scionary.book import queries
from scionary.book.models import Cultivar, Trial
from scionary.errors import UnknownSubject
from scionary.language import say
from scionary.take import ArmComparison, LookVerdict, TrialAnalysis, TrialLayout, TrialLook, analyse_trial, layout_warnings, look_at_trial

LETTERS = "ABCD"


@dataclass(frozen=True)
class ArmCount:
    """One arm in numbers: laid out, took, known, and what is not known; its share with a range, NaN while nothing is known."""

    letter: str
    name: str
    laid_out: int
    took: int
    known: int
    waiting: int
    missing: int
    share: float
    low: float
    high: float

    @property
    def words(self) -> str:
        """7 of 9 took."""
        return say("{took} of {known} took", took=self.took, known=self.known) if self.known else say("none known yet")


@dataclass(frozen=True)
class PlaceRow:
    """A place with the names of its dome and of its arm."""

    dome: str
    letter: str
    arm: str
    place: TrialPlace


@dataclass(frozen=True)
class TrialAnswer:
    """What a trial says. `analysis` is that of what is known now; it is a verdict only once nothing is waited for."""

    trial: Trial
    cultivars: list[str]
    layout: TrialLayout
    places: list[TrialPlace]
    arms: list[ArmCount]
    interaction: bool
    analysis: TrialAnalysis | None
    look: TrialLook | None
    flags: list[str] = field(default_factory=list)

    @property
    def waiting(self) -> int:
        return sum(place.fate in OPEN for place in self.places)

    @property
    def known(self) -> int:
        return sum(arm.known for arm in self.arms)

    @property
    def begun(self) -> bool:
        return any(place.fate is not Fate.TO_COME for place in self.places)

    @property
    def over(self) -> bool:
        """Nothing is waited for any more."""
        return self.begun and not self.waiting

    @property
    def stage_words(self) -> str:
        return STAGES[self.trial.stage]

    @property
    def state(self) -> str:
        """Where it stands, in two or three words."""
        if not self.over:
            return "running" if self.begun else say("not begun")
        lacking = len(self.places) - self.known
        return say("over, {lacking} not known", lacking=lacking) if lacking else say("all is known")

    @property
    def sentence(self) -> str:
        """What it says today."""
        if not self.begun:
            return say("Nothing of it is grafted yet: print the bench sheet, and graft in its order.")
        if self.over:
            return self.analysis.words if self.analysis else say("Nothing of this trial can be known any more.")
        if self.look is not None:
            return _named(self.look.words, self.layout.arms)
        if not self.known:
            return say("Go on: no outcome is known yet.")
        return say("Go on: it is judged once, when all outcomes are in.")

    @property
    def why(self) -> str:
        """How much of it is known."""
        parts = [say("{known} of {places} known", known=self.known, places=len(self.places))]
        for fate in (Fate.WAITING, Fate.TO_COME, *MISSING):
            count = sum(place.fate is fate for place in self.places)
            if count:
                parts.append(f"{count} {fate}")
        return say("{parts}. Counted: grafts that were {stage_words}.", parts="; ".join(parts), stage_words=self.stage_words)

    @property
    def claim(self) -> bool:
        """Whether a running trial may be ended with a claim."""
        return self.look is not None and self.look.verdict is LookVerdict.CLAIM

    @property
    def pairs(self) -> list[str]:
        """Each two arms side by side, with the range of their difference."""
        return [_pair(pair, self.analysis.confidence) for pair in self.analysis.comparisons] if self.analysis else []

    @property
    def rows(self) -> list[PlaceRow]:
        """Every place with its dome and arm by name."""
        names, arms = self.layout.tray_names, self.layout.arms
        return [PlaceRow(names[place.block], LETTERS[place.arm], arms[place.arm], place) for place in self.places]

    @property
    def left_out(self) -> list[PlaceRow]:
        return [row for row in self.rows if row.place.fate in (Fate.LEFT_OUT, Fate.LEFT_OUT_KNOWN)]

    @property
    def late_words(self) -> str:
        """A warning of places that were left out after their outcome was known; empty without any."""
        return _late(self.places)

    @property
    def remarks(self) -> list[str]:
        """What weakens it."""
        told = self.analysis.warnings if self.analysis and self.over else self.layout.warnings
        return [*dict.fromkeys([*self.flags, *told])]

    @property
    def assumptions(self) -> list[str]:
        said = [*(self.analysis.assumptions if self.analysis else ()), *(self.look.assumptions if self.look else ())]
        said.append(
            say(
                "A graft counts where it began to heal, from {day} on, in the first filling of each dome that begins "
                "then or later (its next ones where the trial has more); moved later, it still counts there.",
                day=day_words(self.trial.begins_on),
            )
        )
        said.append(
            say(
                "An outcome that is not known {waited_days} days after it could be seen counts as missing until it "
                "is written down (project default, unsourced).",
                waited_days=WAITED_DAYS,
            )
        )
        said.append(say("The lot's number is {seed}: with it the same lot can be drawn again.", seed=self.trial.seed))
        said.append(say("What did not go as laid out is left out; it must be noted before its outcome is seen, or it bends the result."))
        return [*dict.fromkeys(said)]

    def to_dict(self) -> dict[str, Any]:
        return {
            "id": str(self.trial.pk),
            "name": self.trial.name,
            "question": self.trial.question,
            "stage": self.trial.stage,
            "begins_on": self.trial.begins_on.isoformat(),
            "whole_dome": self.trial.whole_dome,
            "state": self.state,
            "sentence": self.sentence,
            "why": self.why,
            "waiting": self.waiting,
            "arms": [_without_nan(asdict(arm)) for arm in self.arms],
            "interaction": self.interaction,
            "comparisons": [_without_nan(row) for row in self.analysis.to_dict()["comparisons"]] if self.analysis else [],
            "look": _without_nan(asdict(self.look)) if self.look else None,
            "places": [
                {
                    "dome": self.layout.tray_names[place.block],
                    "place": place.place,
                    "arm": self.layout.arms[place.arm],
                    "fate": str(place.fate),
                    "plant": place.plant.spoken if place.plant else None,
                }
                for place in self.places
            ],
            "remarks": self.remarks,
            "assumptions": self.assumptions,
        }


def trials(*, today: date, all_trials: bool = False) -> list[TrialAnswer]:
    """The trials of the book, the latest first; those put away only when all are asked for."""
    found = Trial.objects.all() if all_trials else Trial.objects.filter(retired=False)
    return [_answer(trial, today, interaction=False) for trial in found]


def trial_called(ident: UUID) -> Trial:
    found = Trial.objects.filter(pk=ident).first()
    if found is None:
        raise UnknownSubject(
            say("the book holds no such trial."), where="trial", remedy=say("Choose one that is listed under Findings, Trials.")
        )
    return found


def trial_answer(ident: UUID, *, today: date, interaction: bool = False) -> TrialAnswer:
    """One trial. With `interaction` the effect may differ from dome to dome."""
    return _answer(trial_called(ident), today, interaction=interaction)


def layout_of(trial: Trial) -> TrialLayout:
    """The layout as it was drawn, for the engine."""
    blocks = trial.layout
    layout = TrialLayout(
        arms=tuple(trial.arms),
        tray_names=tuple(block_name(block["name"], block["filling"]) for block in blocks),
        tray=np.repeat(np.arange(len(blocks)), [len(block["places"]) for block in blocks]),
        place=np.concatenate([np.array(block["places"], dtype=np.int64) for block in blocks]),
        arm=np.concatenate([np.array(block["arms"], dtype=np.int64) for block in blocks]),
        whole_tray=trial.whole_dome,
        warnings=(),
    )
    return replace(layout, warnings=layout_warnings(layout))


def _answer(trial: Trial, today: date, *, interaction: bool) -> TrialAnswer:
    layout, places = layout_of(trial), trial_places(trial, today=today)
    outcomes = np.array([place.took for place in places])
    kept = np.array([place.fate is not Fate.LEFT_OUT_KNOWN for place in places])
    counted = replace(layout, tray=layout.tray[kept], place=layout.place[kept], arm=layout.arm[kept])
    analysis = analyse_trial(counted, outcomes[kept], interaction=interaction) if np.isfinite(outcomes).any() else None
    arms = _arms(layout, places, analysis)
    return TrialAnswer(
        trial=trial,
        cultivars=sorted(Cultivar.objects.filter(pk__in=trial.cultivars).values_list("spoken", flat=True)),
        layout=layout,
        places=places,
        arms=arms,
        interaction=interaction and not trial.whole_dome,
        analysis=analysis,
        look=_look(layout, places, arms),
        flags=_flags(trial, places),
    )


def _arms(layout: TrialLayout, places: list[TrialPlace], analysis: TrialAnalysis | None) -> list[ArmCount]:
    rows = []
    for at, name in enumerate(layout.arms):
        mine = [place.fate for place in places if place.arm == at]
        result = analysis.arms[at] if analysis else None
        share, low, high = (result.share, result.low, result.high) if result else (math.nan,) * 3
        took, failed = mine.count(Fate.TOOK), mine.count(Fate.FAILED)
        waiting, missing = (sum(fate in kinds for fate in mine) for kinds in (OPEN, MISSING))
        rows.append(ArmCount(LETTERS[at], name, len(mine), took, took + failed, waiting, missing, share, low, high))
    return rows


def _look(layout: TrialLayout, places: list[TrialPlace], arms: list[ArmCount]) -> TrialLook | None:
    """The look at a running trial of two arms that stand beside each other; other trials are judged once."""
    waiting = any(arm.waiting for arm in arms)
    if len(arms) != 2 or layout.whole_tray or not waiting or not any(arm.known for arm in arms):
        return None
    grafts, takes = np.zeros(layout.counts.shape), np.zeros(layout.counts.shape)
    for place in places:
        if not math.isnan(place.took):
            grafts[place.block, place.arm] += 1.0
            takes[place.block, place.arm] += place.took
    reachable = min(arm.known + arm.waiting for arm in arms)
    return look_at_trial(grafts, takes, at_most=max(reachable, 1), waiting=[arm.waiting for arm in arms])


def _flags(trial: Trial, places: list[TrialPlace]) -> list[str]:
    said = []
    lost = without_place(trial)
    if lost:
        said.append(
            say("{grafts} in these domes without a place: whether they belong to the trial cannot be told.", grafts=plural(lost, "graft"))
        )
    others = [place.plant.spoken for place in places if place.fate is Fate.OTHER and place.plant]
    if others:
        said.append(say("Not of the trial's cultivars, and left out: {others}.", others=listed(others)))
    if late := _late(places):
        said.append(late)
    drawn = trial.made_at.astimezone(queries.nursery().zone).date()
    if trial.begins_on < drawn:
        said.append(before_the_lot(trial.begins_on, drawn))
    return said


def _late(places: list[TrialPlace]) -> str:
    late = sum(place.fate is Fate.LEFT_OUT_KNOWN for place in places)
    they = say("its outcome was") if late == 1 else say("their outcomes were")
    return (
        say(
            "{places} left out after {they} known: leaving out what is already seen bends the result.",
            places=plural(late, "place"),
            they=they,
        )
        if late
        else ""
    )


def _pair(pair: ArmComparison, confidence: float) -> str:
    """Rubber against film: about 6 more in 100 grafts (8 fewer to 21 more in 90 of 100 such cases); better with a chance of 71 %."""
    better = percent(pair.chance_second_better)
    return say(
        "{second} against {first}: about {middle} in 100 grafts ({low} to {high} in {number} of 100 such "
        "cases); it is the better one with a chance of {better}.",
        second=pair.second,
        first=pair.first,
        middle=_more(pair.difference),
        low=_more(pair.low),
        high=_more(pair.high),
        number=round(100 * confidence),
        better=better,
    )


def _more(share: float) -> str:
    count = round(100 * share)
    return say("{count} fewer", count=-count) if count < 0 else say("{count} more", count=count)


def _named(words: str, arms: tuple[str, ...]) -> str:
    """The arms by their names, where the engine counts them."""
    return words.replace(say("the first arm"), arms[0]).replace(say("the second arm"), arms[1])


def _without_nan(row: dict[str, Any]) -> dict[str, Any]:
    return {name: None if isinstance(value, float) and math.isnan(value) else value for name, value in row.items()}
