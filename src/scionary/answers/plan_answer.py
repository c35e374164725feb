"""What a season's wishes need, as it is told: each wish's line, what is needed of each thing, the sums and what is short."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from math import ceil
from typing import Any
from uuid import UUID

from scionary.answers.plan_assumptions import STAGE_NOTE
from scionary.answers.rare import FEW
from scionary.answers.rates import STAGES
from scionary.answers.words import how_sure, listed, percent, plural
from scionary.book.models import AcceptedPlan
from scionary.language import mark, say, several
from scionary.plan import SeasonNeeds, Shortage

NONE_YET = mark("none yet")
_SUPPLIES = {"sticks": mark("scion wood"), "trays": mark("domes"), "hours": mark("hours at the bench")}


@dataclass(frozen=True)
class PlanLine:
    """One wish and what it needs; `grafts` is None where no sensible number reaches it."""

    wish: UUID
    cultivar: UUID
    name: str
    wanted: int
    assurance: float
    grafts: int | None
    rootstocks: int | None
    sticks: int | None
    hours: float | None
    takes: tuple[int, int, int] | None
    chance: float | None
    counted: str
    by_rate: int | None
    by_rate_chance: float | None
    stage: str = "in_leaf"
    cultivar_name: str = ""

    @property
    def is_few(self) -> bool:
        """Whether so few are wished for that how they are staged decides whether the name survives."""
        return self.wanted <= FEW

    @property
    def spoken(self) -> str:
        """The cultivar's name, where the line's name also says which wish it is."""
        return self.cultivar_name or self.name

    @property
    def hours_words(self) -> str:
        """2.5 hours at the bench."""
        said = f"{self.hours or 0:.1f}".removesuffix(".0")
        return several(1 if said == "1" else 2, "{hours} hour at the bench.", "{hours} hours at the bench.", hours=said)

    @property
    def takes_words(self) -> str:
        if self.takes is None:
            return say("not reachable at any sensible number")
        low, mid, _ = self.takes
        return say("{mid}; one year in twenty {few}", mid=mid, few=say("{low} or fewer", low=low) if low else say("none"))

    @property
    def promise(self) -> str:
        """At least 20 nine years in ten, likely 37 in leaf the next spring; one year in twenty 15 or fewer."""
        if self.takes is None:
            return ""
        low, mid, _ = self.takes
        few = say("{low} or fewer", low=low) if low else say("none")
        return say(
            "At least {wanted} {sure}, likely {mid} {stage}; one year in twenty {few}.",
            wanted=self.wanted,
            sure=how_sure(self.assurance),
            mid=mid,
            stage=STAGES[self.stage],
            few=few,
        )

    @property
    def stage_note(self) -> str:
        """What is not in the number, where it ends before the next spring; empty where it does not."""
        return "" if self.stage == "in_leaf" else say(STAGE_NOTE, stage=STAGES[self.stage])

    @property
    def sentence(self) -> str:
        """20 Red Tarn, nine years in ten: graft 34."""
        answer = say("graft {grafts}", grafts=self.grafts) if self.grafts is not None else say("no sensible number of grafts is enough")
        return f"{self.wanted} {self.name}, {how_sure(self.assurance)}: {answer}."

    @property
    def why(self) -> str:
        """What dividing by the rate would say, and how often that would be enough."""
        if self.counted != NONE_YET and (self.by_rate is None or self.by_rate_chance is None):
            return say(
                "Counted so far: {counted}. Dividing by that gives no number; the chance used leans on the other cultivars.",
                counted=self.counted,
            )
        if self.by_rate is None or self.by_rate_chance is None:
            return say("Nothing is counted for this cultivar yet: the number rests on the others, or on what growers tell.")
        chance = percent(self.by_rate_chance)
        return say(
            "Counted so far: {counted}. Dividing by that would say {by_rate}, and be enough with a chance of {chance}.",
            counted=self.counted,
            by_rate=self.by_rate,
            chance=chance,
        )


@dataclass(frozen=True)
class Resource:
    """What is needed of one thing, and what is there (None: not known; `partly` when some of it is written down).

    `kind` is stocks, sticks, trays or hours; `of` the kind of stock, where it is known.
    """

    kind: str
    name: str
    needed: float
    have: float | None
    partly: bool = False
    of: str = ""


@dataclass(frozen=True)
class PlanAnswer:
    """The season's wishes, each with what it needs, the sums, what is short, and what was assumed."""

    season: int
    stage: str
    lines: list[PlanLine]
    needs: SeasonNeeds
    resources: list[Resource]
    shortages: list[Shortage]
    assumed: list[str]
    accepted: AcceptedPlan | None
    waiting: str = ""
    year_words: str = ""

    @property
    def stage_words(self) -> str:
        return STAGES[self.stage]

    @property
    def by_weeks(self) -> int | None:
        """Grafts of the plan by weeks that the bench counts against; None where it counts against these sums, or nothing."""
        plan = self.accepted
        return sum(int(line["grafts"]) for line in plan.lines) if plan is not None and plan.schedule else None

    @property
    def not_written_down(self) -> list[str]:
        """The supplies of which nobody said how many there are."""
        named = [(_supply(each), each) for each in self.resources if each.have is None]
        return [say("{name} of some cultivars", name=name) if each.partly else name for name, each in named]

    @property
    def _shortness(self) -> str:
        unknown = self.not_written_down
        told = say("Not written down: {unknown}; whether these are short cannot be told.", unknown=listed(unknown)) if unknown else ""
        if self.shortages:
            return f"{plural(len(self.shortages), 'thing')} short. {told}".strip()
        known = any(each.have is not None for each in self.resources)
        return told if unknown and not known else say("Nothing else is short. {told}", told=told) if unknown else say("Nothing is short.")

    @property
    def short(self) -> list[str]:
        return [shortage.words for shortage in self.shortages]

    @property
    def sentence(self) -> str:
        if not self.lines:
            return say("No wishes for {season} yet.", season=self.season)
        parts = [plural(self.needs.grafts, "graft", "grafts"), plural(self.needs.sticks, "stick", "sticks")]
        if self.needs.trays is not None:
            parts.append(plural(self.needs.trays, "tray", "trays"))
        parts.append(plural(ceil(self.needs.hours), "hour", "hours"))
        if self.by_weeks is not None:
            return say(
                "{season}: {grafts} in the weeks that were taken to the bench. All {wishes} as sure as you asked: {parts}. {shortness}",
                season=self.season,
                grafts=plural(self.by_weeks, "graft"),
                wishes=plural(len(self.lines), "wish", "wishes"),
                parts=", ".join(parts),
                shortness=self._shortness,
            )
        return say(
            "{season}: {parts} for {wishes}. {shortness}",
            season=self.season,
            parts=", ".join(parts),
            wishes=plural(len(self.lines), "wish", "wishes"),
            shortness=self._shortness,
        )

    def to_dict(self) -> dict[str, Any]:
        return {
            "season": self.season,
            "stage": self.stage,
            "sentence": self.sentence,
            "year": self.year_words,
            "lines": [
                {**asdict(line), "sentence": line.sentence, "why": line.why, "promise": line.promise, "stage_note": line.stage_note}
                for line in self.lines
            ],
            "totals": {name: getattr(self.needs, name) for name in ("grafts", "rootstocks", "sticks", "trays", "hours")},
            "short": self.short,
            "assumed": self.assumed,
            "accepted": bool(self.accepted),
            "waiting": self.waiting,
        }


def _supply(resource: Resource) -> str:
    if resource.kind == "stocks":
        return resource.name if resource.of else say("stocks")
    return say(_SUPPLIES[resource.kind])
