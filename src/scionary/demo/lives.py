"""The life of each graft as the growers saw and wrote it down, with gaps as in life.

What really became of it is in its outcome; what is written follows from that, seen through eyes that err, forget and lose sight.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any

from scionary.demo.chance import stream
from scionary.demo.diary import Diary
from scionary.demo.grafts import Planned
from scionary.demo.ground import Ground
from scionary.demo.seasons import HEALED_DAYS
from scionary.demo.tarn_bridge import BY_NAME, LARGE_POT, SMALL_POT

FIRM_DAY, GROWING_DAY = 31, 85
PHONE = "yard phone"
_NEVER_CHECKED, _GOES_MISSING, _TIE_FORGOTTEN = 0.03, 0.015, 0.03
_MISJUDGED, _UNSURE, _SKIPPED = 0.03, 0.05, 0.04
_STALK_SEEN, _STALK_DROPS_ALIVE, _STALK_DROPS_DEAD = 0.6, 0.92, 0.25
_STOCK_KEPT = 0.25  # of dormant grafts that failed early, the stock is sound and is kept to be grafted again
_SIGNS = {
    "overheated": ("scorched", "collapsed"),
    "dry": ("shrivelled", "dried up"),
    "": ("black at the base", "shrivelled", "mould", "brown bark"),
}
_CAUSES = {"overheated": "hot afternoon", "dry": "dried out over a weekend", "": "poor contact"}


@dataclass
class Life:
    """One graft of one plant, told to a diary."""

    planned: Planned
    plant: str  # subject key
    diary: Diary
    ground: Ground
    seed: int
    ended: date | None = None
    stock_kept: bool = False
    named: bool = False  # seen in leaf to be what its label says

    def __post_init__(self) -> None:
        self.rng = stream(self.seed, f"life {self.planned.key}")

    @property
    def day0(self) -> date:
        return self.planned.filling.day

    def tell(self) -> None:
        """All of it, from the day after the bench on."""
        self._heal()
        if self._chance(_NEVER_CHECKED):
            self._write("moved", self._day(HEALED_DAYS), {"stands": "shade tunnel"})
            self._after_care()
            self._winter()
            return
        self._check_firm()
        self._grow_on()
        self._spring()
        self._leave()

    def _chance(self, probability: float) -> bool:
        return bool(self.rng.random() < probability)

    def _day(self, after: int, spread: int = 0) -> date:
        return self.day0 + timedelta(days=after + (int(self.rng.integers(0, spread + 1)) if spread else 0))

    def _write(self, kind: str, day: date, payload: dict[str, Any] | None = None, *, step: int = 0) -> None:
        """Write unless the life has ended by then; steps of one day follow one another."""
        if self.ended is None or day < self.ended:
            moment = self.diary.at(day, 16, 4 * self.planned.place % 150 + step)
            self.diary.write(kind, moment, self.plant, payload, who=self.planned.filling.grower, device=PHONE)

    def _score(self, sign: str, day: date, really: bool, *, misjudged: float = _MISJUDGED) -> str:
        draw = self.rng.random()
        answer = "unsure" if draw < _UNSURE else "yes" if really != (draw > 1.0 - misjudged) else "no"
        self._write("scored", day, {"sign": sign, "answer": answer})
        return answer

    def _lose(self, day: date, sign: str = "", cause: str = "") -> None:
        """The loss is found: written down, the pot moved out sooner or later."""
        if self.ended:
            return
        harm = self.planned.outcome.harm
        sign = sign or str(self.rng.choice(_SIGNS[harm]))
        cause = cause or (_CAUSES[harm] if self._chance(0.8 if harm else 0.2) else "")
        self._write("lost", day, {"sign": sign, "cause": cause}, step=1)
        healing = (day - self.day0).days < HEALED_DAYS
        out = self.day0 + timedelta(days=HEALED_DAYS) if healing and self._chance(0.5) else day
        self.stock_kept = not self.planned.filling.leafy and healing and self._chance(_STOCK_KEPT)
        self._write("moved", out, {"stands": "stock bench" if self.stock_kept else "compost heap"}, step=2)
        self.ended = day

    def _heal(self) -> None:
        outcome, leafy = self.planned.outcome, self.planned.filling.leafy
        lost_early = not outcome.firm and self._chance(0.3)
        seen_on = int(self.rng.choice([14, 21, 28]))
        if leafy and self._chance(_STALK_SEEN) and not (lost_early and seen_on < 21):
            drops = self._chance(_STALK_DROPS_ALIVE if outcome.firm else _STALK_DROPS_DEAD)
            self._write("scored", self._day(20), {"sign": "stalk_drops", "answer": "yes" if drops else "no"})
        if not outcome.firm and self._chance(0.25):
            self._write("observed", self._day(13), {"seen": str(self.rng.choice(["wilting", "mould"]))})
        elif not leafy and self._chance(0.2):
            self._write("scored", self._day(24), {"sign": "bud_moving", "answer": "yes" if outcome.firm else "no"})
        if lost_early:
            self._lose(self._day(seen_on))

    def _check_firm(self) -> None:
        if self.ended:
            return
        day = self._day(FIRM_DAY)
        answer = "" if self._chance(_SKIPPED) else self._score("firm", day, self.planned.outcome.firm)
        if answer == "no" and not self.planned.outcome.firm and self._chance(0.6):
            self._lose(day)
        self._write("moved", self._day(HEALED_DAYS), {"stands": "shade tunnel"})

    def _grow_on(self) -> None:
        """After healing: cut back, untie, look whether it grows."""
        outcome = self.planned.outcome
        if self._chance(_GOES_MISSING):
            day = self._day(60, 40)
            self._write("observed", day, {"seen": "missing"})
            self.ended = self.ended or day
        if not outcome.growing and self._chance(0.45):
            self._lose(self._day(58, 24), "collapsed after leafing" if outcome.firm else "")
        if not self._chance(_SKIPPED):
            self._score("growing", self._day(GROWING_DAY, 6), outcome.growing)
        if not outcome.growing and self._chance(0.5):
            self._lose(self._day(GROWING_DAY + 7))
        self._after_care()
        self._winter()

    def _winter(self) -> None:
        season = self.planned.filling.season
        autumn = self._autumn(season)
        if autumn > self._day(HEALED_DAYS):
            self._write("wintered_in", autumn, {"stands": "cold frame"})
            self._write("wintered_out", date(season + 1, 3, 24), {"stands": "shade tunnel"})

    def _after_care(self) -> None:
        """A whole row at a time, whether it is known to have taken or not."""
        self._write("headed_back", self._day(60 if self.planned.filling.leafy else 75, 9), {"nodes_left": int(self.rng.integers(1, 3))})
        if not self._chance(_TIE_FORGOTTEN):
            self._write("untied", self._day(90, 10))
        if self._chance(0.35):
            self._write("suckers_rubbed", self._day(105, 20), {"count": int(self.rng.integers(1, 4))})
        if self._chance(0.15):
            self._write("staked", self._day(110, 10))
        if self._chance(0.06):
            self._write("relabelled", self._day(120, 20), {"medium": "UV-resistant ink"})

    def _autumn(self, year: int) -> date:
        return date(year, 11, 6) + timedelta(days=int(self.rng.integers(0, 6)))

    def _spring(self) -> None:
        """The next spring says which took; in full leaf the name is looked at."""
        outcome, year = self.planned.outcome, self.planned.filling.season + 1
        day = date(year, 5, 3) + timedelta(days=int(self.rng.integers(0, 12)))
        if not self._chance(_SKIPPED):
            self._score("in_leaf", day, outcome.in_leaf, misjudged=0.0)
        if not outcome.in_leaf:
            frost = outcome.growing and self._chance(0.3)
            self._lose(day, "no leaf in spring", "late frost" if frost else "")
            return
        self._look_at_name(date(year, 5, 30) + timedelta(days=int(self.rng.integers(0, 9))))
        if self._chance(0.8):
            self._write(
                "potted_on", date(year, 6, 12) + timedelta(days=int(self.rng.integers(0, 9))), {"pot": str(self.ground.pot[LARGE_POT])}
            )

    def _look_at_name(self, day: date) -> None:
        planned = self.planned
        if planned.really == planned.cultivar:
            self.named = self._chance(0.6)
            if self.named:
                self._write("name_confirmed", day)
        elif self._chance(0.5):
            self._write("name_confirmed", day, {"cultivar": str(self.ground.cultivar[planned.really])})
        elif self._chance(0.5):
            self._write("observed", day, {"seen": "name_in_doubt"})

    def _leave(self) -> None:
        """Sold or given away in its second autumn, or kept for another winter."""
        year, price = self.planned.filling.season + 1, BY_NAME[self.planned.cultivar].price
        day = date(year, 9, 4) + timedelta(days=int(self.rng.integers(0, 45)))
        fate = self.rng.random()
        if fate < 0.4 and price:
            got = round(price * float(self.rng.choice([0.8, 0.9, 1.0, 1.0])), 2)
            if not self.named and self.planned.really == self.planned.cultivar:
                self._write("name_confirmed", day - timedelta(days=1))  # a last look before the sale
            self._write("left", day, {"how": "sale", "price": got})
            self.ended = self.ended or day
        elif fate > 0.95:
            self._write("left", day, {"how": "gift"})
            self.ended = self.ended or day
        self._write("wintered_in", self._autumn(year), {"stands": "cold frame"})
        self._write("wintered_out", date(year + 1, 3, 26), {"stands": "shade tunnel"})


def grafted_payload(planned: Planned, ground: Ground, seed: int, *, first: bool) -> dict[str, Any]:
    """What the growers wrote at the bench."""
    filling = planned.filling
    payload: dict[str, Any] = {
        "cultivar": str(ground.cultivar[planned.cultivar]),
        "method": str(ground.method[filling.method]),
        "lot": str(ground.lot[planned.lot]),
        "tree": str(ground.tree[planned.tree]) if planned.tree else None,
        "bench": str(ground.bench[filling.key]),
        "dome": str(ground.dome[filling.dome]),
        "place": planned.place,
        "pot": str(ground.pot[SMALL_POT]),
        "stock_mm": planned.stock_mm,
        "scion_mm": planned.scion_mm,
        "grafter": filling.grower,
    }
    if first:
        media = ("ordinary marker", "pencil", "UV-resistant ink")
        payload["label_medium"] = media[int(stream(seed, f"label {planned.key}").choice(3, p=[0.3, 0.3, 0.4]))]
        payload["label_light"] = ("sun", "shade", None)[int(stream(seed, f"light {planned.key}").choice(3, p=[0.3, 0.4, 0.3]))]
    return {name: value for name, value in payload.items() if value is not None}
