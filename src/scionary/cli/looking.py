"""Commands that only look: due, plan, findings; `find` stands by itself."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from scionary.cli.finding import Json, On, find
from scionary.cli.near_names import cultivar_meant
from scionary.cli.planning import Typed, plan_by_weeks, write_figures, write_offers
from scionary.cli.rare import show_rare
from scionary.cli.terminal import day, now, opened, say, say_json, table
from scionary.errors import Refused

if TYPE_CHECKING:
    from scionary.answers.difference import DifferenceAnswer
    from scionary.answers.due_lines import DueAnswer, DueLine
    from scionary.answers.importance import ImportanceAnswer
    from scionary.answers.plan_answer import PlanAnswer
    from scionary.answers.rates import RatesAnswer
    from scionary.answers.stage_chain import ChainAnswer


def due(
    on: On = None, everything: Annotated[bool, typer.Option("--all", help="All lines, not the first five.")] = False, as_json: Json = False
) -> None:
    """What is due today, and why.

    Example: scionary due
    """
    nursery = opened()
    from scionary.answers.dome_model import learn_few_fits
    from scionary.answers.due import due as answer_due

    learn_few_fits()
    answer = answer_due(today=day(on, nursery))
    if as_json:
        say_json(answer.to_dict())
        return
    show_due(answer, everything=everything)


def show_due(answer: DueAnswer, *, everything: bool = False) -> None:
    say(answer.sentence)
    for line in answer.lines if everything else answer.first:
        _show_line(line)
    if answer.behind and not everything:
        say(f"  … and {len(answer.behind)} more: scionary due --all")
    if answer.lines and answer.ahead:
        say("Coming up:")
    for line in answer.ahead[:5]:
        say(f"  {line.when:%a} {line.when.day} {line.when:%b}  {line.what}")


def _show_line(line: DueLine) -> None:
    late = f" ({line.late_days} days late)" if line.late_days > 1 else ""
    say(f"• {line.what}{late}")
    say(f"    {line.why}")


def plan(
    wish: Annotated[list[str] | None, typer.Argument(metavar="[WISH]...", help="Wishes to add, such as '20 Red Tarn'.")] = None,
    season: Annotated[
        int | None,
        typer.Option(help="The growing year, such as 2027: autumn 2026 to autumn 2027; this one when left out.", min=1900, max=2999),
    ] = None,
    sure: Annotated[str, typer.Option(help="How sure you want to be of each added wish: 0.5 to 0.999, or 50 to 99.9 per cent.")] = "0.9",
    new: Annotated[bool, typer.Option("--new", help="A wish names a new cultivar, although the book holds a name nearly like it.")] = False,
    take: Annotated[bool, typer.Option("--take", help="Take this plan to the bench.")] = False,
    rare: Annotated[
        str | None, typer.Option(metavar="CULTIVAR", help="Instead: how to stage the few grafts of a name worth keeping.")
    ] = None,
    scions: Annotated[int, typer.Option(help="With --rare: how many grafts the wood gives.")] = 3,
    days: Annotated[int, typer.Option(help="With --rare: bench days it could be spread over.")] = 2,
    domes: Annotated[int | None, typer.Option(help="With --rare: domes; up to three of the book's when left out.")] = None,
    methods: Annotated[int, typer.Option(help="With --rare: methods that are in your hands.")] = 1,
    solve: Annotated[bool, typer.Option("--solve", help="Plan by weeks: what to graft when, in which dome, from which tree.")] = False,
    effort: Annotated[str, typer.Option(help="With --solve: quick, or normal or long, which also find out what holds it back.")] = "quick",
    seconds: Annotated[float | None, typer.Option(help="With --solve: stop the search after so many seconds.")] = None,
    assurance_of_all: Annotated[
        str | None, typer.Option("--assurance", help="With --solve: how sure, for all wishes; or value, for most value.")
    ] = None,
    tried: Annotated[list[str] | None, typer.Option("--try", help="A change to set beside, such as 'one more tray in week 13'.")] = None,
    from_today: Annotated[bool, typer.Option("--from-today", help="Plan the rest anew, and say how far it went as planned.")] = False,
    weeks: Annotated[bool, typer.Option("--weeks", help="Each week: domes and hours at the bench.")] = False,
    order: Annotated[bool, typer.Option("--order", help="What to order, cut and use up.")] = False,
    wishes: Annotated[Path | None, typer.Option("--wishes", help="Plan this wish list instead; nothing of it is written.")] = None,
    column: Annotated[
        list[str] | None, typer.Option(metavar="HEADER=WHAT", help="With --wishes: what a column holds: 'Anzahl=number'.")
    ] = None,
    date_order: Annotated[str | None, typer.Option(help="With --wishes: dmy, mdy or ymd, where dates can be read in two ways.")] = None,
    same: Annotated[
        list[str] | None, typer.Option(metavar="WRITTEN=MEANT", help="With --wishes: what a misspelt cultivar is: 'Ash Gil=Ash Gill'.")
    ] = None,
    assume: Annotated[
        list[str] | None, typer.Option("--assume", help="Move what is assumed, such as worth=25; empty: the default.")
    ] = None,
    offer: Annotated[list[str] | None, typer.Option("--offer", help="'Beck Nursery: Acer, 25 for 30, 3 weeks'.")] = None,
    scores: Annotated[bool, typer.Option("--scores", help="How the plans that were taken to the bench came out.")] = False,
    on: On = None,
    as_json: Json = False,
) -> None:
    """How many grafts, rootstocks, sticks, trays and hours the wishes need, and what is short; by weeks with --solve.

    Exit code 1 when --solve finds nothing that can be grafted.

    Example: scionary plan '20 Red Tarn' '6 Ash Gill' --sure 0.9

    Example: scionary plan --solve --weeks
    """
    nursery = opened()
    if rare is not None:
        if wish or take:
            raise Refused("--rare stands alone.", where="--rare", remedy="Leave out the wishes and --take.")
        show_rare(cultivar_meant(rare, new=new), scions, days, domes, methods, as_json=as_json)
        return
    from scionary.answers.protected import all_protected_words, wished
    from scionary.answers.season_plan import accept_plan, add_wishes, coming_season, name_in_wish, season_plan

    today, assurance = day(on, nursery), _assurance(sure)
    if wish:
        for name in filter(None, map(name_in_wish, wish)):
            cultivar_meant(name, new=new)
        add_wishes(wish, season=season, today=today, assurance=assurance, now=now())
    write_figures(assume or [])
    write_offers(offer or [])
    typed = Typed(
        effort, seconds, assurance_of_all, tried or [], from_today, weeks, order, take, scores, wishes, solve,
        column or [], date_order, same or [], new,
    )  # fmt: skip
    if typed.wanted:
        plan_by_weeks(typed, season or coming_season(today, nursery), today, as_json=as_json)
        return
    answer = season_plan(today=today, season=season)
    if take:
        accept_plan(answer, now=now())
    if as_json:
        say_json(answer.to_dict())
        return
    show_plan(answer)
    for words in all_protected_words(wished(answer.lines), today):
        say(f"Look: {words}")
    if take:
        say("Taken to the bench.")


def _assurance(typed: str) -> float:
    """A share of one, from a share or from per cent."""
    try:
        number = float(typed.strip().removesuffix("%").replace(",", "."))
    except ValueError:
        number = 0.0
    share = round(number / 100, 6) if 50 <= number <= 99.9 else number
    if not 0.5 <= share <= 0.999:
        raise Refused(f"{typed!r} is not how sure one can be.", where="--sure", remedy="--sure takes 0.5 to 0.999, or 50 to 99.9 per cent.")
    return share


def show_plan(answer: PlanAnswer) -> None:
    from scionary.answers.words import how_sure

    say(answer.sentence)
    if answer.waiting and answer.lines:
        say(answer.waiting)
    if answer.lines:
        rows = [
            [
                line.name,
                line.wanted,
                how_sure(line.assurance),
                line.grafts if line.grafts is not None else "no number",
                line.sticks if line.sticks is not None else "",
                line.takes_words,
                line.counted,
            ]
            for line in answer.lines
        ]
        table(
            ["cultivar", "wanted", "enough in", "graft", "sticks", f"likely {answer.stage_words}", "counted so far"], rows, right=(1, 3, 4)
        )
    if answer.lines and answer.lines[0].stage_note:
        say(answer.lines[0].stage_note)
    if answer.lines:
        say(answer.year_words)
    for short in answer.short:
        say(f"Short: {short}")
    for assumed in answer.assumed:
        say(f"  assumes: {assumed}")


def findings(
    stage: Annotated[str | None, typer.Option(help="firm, growing or in-leaf; the latest known when left out.")] = None,
    by: Annotated[str, typer.Option(help="cultivar, tree, method, lot, season, day, dome or grafter.")] = "cultivar",
    rate: Annotated[
        str | None, typer.Option(help="long-run, next-season, or reference (all else alike, for comparing); the first when left out.")
    ] = None,
    first: Annotated[str | None, typer.Option("--compare", metavar="FIRST", help="Is this one really worse or better ...")] = None,
    second: Annotated[str | None, typer.Option("--with", metavar="SECOND", help="... than that one? Both as a person says them.")] = None,
    more: Annotated[bool, typer.Option("--more", help="All three rates side by side, what matters most, losses between stages.")] = False,
    signs: Annotated[
        bool, typer.Option("--signs", help="What early signs are worth, when buds push, what the season will come to.")
    ] = False,
    as_json: Json = False,
) -> None:
    """How often it takes, with the range in which the truth lies nine times in ten; what made the difference.

    Example: scionary findings --compare 25-A --with 25-B --by lot
    """
    nursery = opened()
    if signs:
        _signs(as_json=as_json)
        return
    from scionary.cli.choices import factor_meant, rate_meant, stage_meant

    stage, by = stage_meant(stage), factor_meant(by)
    rate = rate_meant(rate, by)
    if first is not None or second is not None:
        _compare(stage, by, first, second, as_json=as_json)
        return
    from scionary.answers.difference import contrast
    from scionary.answers.importance import importance
    from scionary.answers.rates import rates
    from scionary.answers.stage_chain import stage_chain
    from scionary.answers.waiting import waiting

    answer = rates(stage, by, rate)
    open_ones = waiting(answer.stage, today=day(None, nursery))
    apart, weights, chain = contrast(answer), importance(answer.stage), stage_chain()
    if as_json:
        beside = {"waiting": open_ones, "difference": apart, "importance": weights, "losses_between_stages": chain}
        say_json({**answer.to_dict(), **{name: part.to_dict() if part else None for name, part in beside.items()}})
        return
    show_rates(answer, open_ones.words)
    _show_beside(answer, apart, weights, chain, more=more)
    for line in answer.assumptions:
        say(f"  assumes: {line}")


def _compare(stage: str | None, by: str, first: str | None, second: str | None, *, as_json: bool) -> None:
    from scionary.answers.difference import difference

    if first is None or second is None:
        given, missing = ("--compare", "--with") if second is None else ("--with", "--compare")
        raise Refused(f"{given} stands alone.", where=given, remedy=f"Name the other one too: {missing} NAME.")
    answer = difference(first, second, stage=stage, factor=by)
    if as_json:
        say_json(answer.to_dict())
        return
    say(f"Take, {answer.stage_words}: {answer.sentence}")
    if answer.why_not:
        say(answer.why_not)
    for words in answer.confounded:
        say(f"  but: {words}")
    rows = [[rate.name, rate.counted, rate.words] for rate in (answer.first, answer.second)]
    rows += [["difference", "", answer.points_words], ["ratio of the odds", "", answer.odds_words]]
    table(["", "counted", "chance all else alike, range"], rows)
    if answer.behind:
        say(answer.behind)
    for words in answer.notes:
        say(f"  assumes: {words}")


def _signs(*, as_json: bool) -> None:
    from scionary.answers.early_signs import one_reading
    from scionary.answers.sign_findings import sign_findings

    with one_reading():
        answer = sign_findings()
    if as_json:
        say_json(answer.to_dict())
        return
    say(answer.sentence)
    if answer.total is not None:
        say(answer.total.rest)
    for worth in answer.worths:
        say(f"• {worth.says} {worth.counted}")
        say(f"    {worth.worth} {worth.followed_words}")
    if answer.push is not None:
        say(answer.push.words)
        say(answer.push.learned_from)
        rows = [[row.day, row.words, f"{row.if_lost:.0%}"] for row in answer.push.days]
        table(["day", "takes whose bud has moved, range", "failures in leaf"], rows, right=(0, 2))
    elif answer.worths:
        say(answer.no_push)
    told = [line for worth in answer.worths for line in worth.assumptions]
    for line in dict.fromkeys([*told, *(answer.push.assumptions if answer.push else ())]):
        say(f"  assumes: {line}")


def show_rates(answer: RatesAnswer, waiting: str = "") -> None:
    say(f"Take, {answer.stage_words}: {answer.sentence}")
    for words in answer.whole_words:
        say(words)
    if waiting:
        say(waiting)
    rows = [[r.name, r.counted, r.words, f"{r.unknown} not known" if r.unknown else ""] for r in answer.rows]
    if answer.year_words:
        say(answer.year_words)
    if rows:
        table([answer.factor_words, "counted", f"chance {answer.kind_words}, range", ""], rows)
        say(f"{answer.kind_words.capitalize()}: {answer.kind_means}.")
    if answer.pull:
        say(answer.pull)
    if answer.behind:
        say(answer.behind)


def _show_beside(answer: RatesAnswer, apart: DifferenceAnswer | None, weights: ImportanceAnswer, chain: ChainAnswer, *, more: bool) -> None:
    """Differences, what matters, losses between stages: a sentence each, and their tables when there is to be more."""
    if apart is not None:
        said = [apart.sentence, *apart.confounded] if apart.plain else [f"No {answer.factor_words} stands out from the others yet."]
        say(" ".join(said))
    say(weights.sentence)
    if chain.known:
        say(chain.sentence)
    if not more:
        return
    if answer.ways:
        table([f"three rates of {answer.example}", "", ""], [[way.called, way.words, way.answers] for way in answer.ways])
    if weights.weights:
        rows = [[weight.words, weight.share_words, weight.note] for weight in weights.weights]
        table(["what makes grafts differ", "share, range", ""], rows)
        for words in (*weights.measured, weights.geometry):
            say(f"  {words}")
    if chain.known:
        rows = [
            [
                step.name,
                f"{step.reached} of {step.known}",
                step.share_words,
                step.coming_words if step.known else "",
                f"{step.waiting} not known",
            ]
            for step in chain.steps
        ]
        table(["from stage to stage", "counted", "share, range", "a coming season", ""], rows)


def add_to(program: typer.Typer) -> None:
    for command in (due, plan, findings, find):
        program.command()(command)
