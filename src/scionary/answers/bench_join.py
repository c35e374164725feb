"""At the bench: one line on how to set this scion on this stock, by the method of the day."""

from __future__ import annotations

from dataclasses import dataclass, replace

from scionary.answers.join_ask import ask_of_method
from scionary.answers.join_stems import JoinAnswer, join_stems
from scionary.answers.join_usual import UNKNOWN, stage_meant
from scionary.book.models import BenchDay, Nursery
from scionary.language import say
from scionary.units import length_words


@dataclass(frozen=True)
class BenchAdvice:
    """What is cut and how the scion is set, the chance, and what the page of joining is asked with."""

    answer: JoinAnswer
    sizes: str
    asked: dict[str, str]

    @property
    def words(self) -> str:
        """Both thicknesses, and how to set the scion or why not."""
        return f"{self.sizes} {self.answer.sentence}"

    @property
    def cuts(self) -> tuple[str, ...]:
        """What is cut, how long and how deep, before the scion is set."""
        return tuple(self.answer.steps[:-1])

    @property
    def line(self) -> str:
        """All of it in one line, for under a button."""
        return " ".join((self.sizes, *self.cuts, self.answer.sentence))

    @property
    def fits(self) -> bool:
        return self.answer.fits

    @property
    def stage_words(self) -> str:
        return self.answer.stage_words


def bench_advice(bench: BenchDay, stock_mm: float, scion_mm: float, nursery: Nursery) -> BenchAdvice | None:
    """Advice for two thicknesses; None where no method is set, or the book does not know how it joins."""
    if bench.method is None:
        return None
    names = {"stock_name": bench.lot.species if bench.lot else "", "scion_name": bench.cultivar.botanical if bench.cultivar else ""}
    found = ask_of_method(bench.method, stock_mm, scion_mm, nursery, grafter=bench.grafter, **names)
    if found is None:
        return None
    known = stage_meant("", nursery, today=bench.day)
    ask = replace(found, stage=known.stage, stage_told=known.words)
    answer = join_stems(ask, compare=False)
    stock, scion = (length_words(mm, nursery.length_unit) for mm in (stock_mm, scion_mm))
    sizes = say("Stock {stock}, scion {scion}.", stock=stock, scion=scion)
    typed = {"stock": f"{stock_mm:.4g} mm", "scion": f"{scion_mm:.4g} mm", "method": str(bench.method.pk), "grafter": bench.grafter}
    stage = known.stage.value if known.stage else UNKNOWN
    return BenchAdvice(answer, sizes, {**typed, **names, "stage": stage})
