"""Commands for trials: new, show, list, sheet, skip."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from scionary.cli.nouns import dome_named, named
from scionary.cli.terminal import day, now, opened, say, say_json, table, write_file
from scionary.errors import Refused

if TYPE_CHECKING:
    from scionary.answers.trial_planning import TrialPlan
    from scionary.answers.trials import TrialAnswer
    from scionary.book.models import Cultivar, Trial

On = Annotated[str | None, typer.Option("--on", metavar="DATE", help="As on this day (2026-07-31); today when left out.")]
Json = Annotated[bool, typer.Option("--json", help="Answer as JSON.")]
Name = Annotated[str, typer.Argument(help="The trial, by its name.")]
CAUTION = "Heated mats and misting only on a residual-current circuit. Cut away from hand and body."

trials = typer.Typer(name="trial", no_args_is_help=True, help="Trials: two ways side by side, drawn by lot, and what they say.")


@trials.command()
def new(
    name: Annotated[str, typer.Argument(help="What you call it: 'Film or rubber'.")],
    arm: Annotated[list[str] | None, typer.Option(help="What is compared; give it two to four times.")] = None,
    dome: Annotated[list[str] | None, typer.Option(help="A dome that takes part; all in use when left out.")] = None,
    question: Annotated[str, typer.Option(help="What you want to know.")] = "",
    only: Annotated[list[str] | None, typer.Option(help="A cultivar that takes part; any when left out.")] = None,
    stage: Annotated[str | None, typer.Option(help="What counts: firm, growing or in_leaf; the latest known when left out.")] = None,
    whole_dome: Annotated[bool, typer.Option("--whole-dome", help="A dome gets one of them as a whole.")] = False,
    difference: Annotated[float, typer.Option(help="The difference that would matter, in 100 grafts.")] = 15.0,
    fillings: Annotated[int, typer.Option(help="How often each dome will be filled.")] = 1,
    grafts: Annotated[int | None, typer.Option(help="Grafts in each dome, at most.")] = None,
    free: Annotated[bool, typer.Option("--free", help="Only places that are free now.")] = False,
    begins: Annotated[str | None, typer.Option(metavar="DATE", help="Grafts from this day on count; today when left out.")] = None,
    seed: Annotated[int | None, typer.Option(help="The number of the lot, to draw the same one again.", min=0, max=2**48)] = None,
    look: Annotated[bool, typer.Option("--look", help="Only say what it can tell; draw and keep nothing.")] = False,
    as_json: Json = False,
) -> None:
    """Say what a trial can tell with the places at hand; draw the lot and keep it.

    Example: scionary trial new 'Film or rubber' --arm 'stretch film' --arm 'rubber strip' --dome 'Dome 1' --look
    """
    nursery = opened()
    from scionary.answers.trial_planning import TrialAsk, keep_trial, plan_trial
    from scionary.answers.trials import trial_answer
    from scionary.book.ids import uuid7

    ask = TrialAsk(
        name=name,
        arms=tuple(arm or ()),
        begins_on=day(begins, nursery),
        question=question,
        stage=stage or "",
        cultivars=tuple(_cultivar(each).pk for each in only or ()),
        whole_dome=whole_dome,
        domes=tuple(dome_named(each).pk for each in dome or ()),
        fillings=fillings,
        grafts_a_dome=grafts,
        free_only=free,
        difference=_share(difference),
    )
    plan = plan_trial(ask, today=day(None, nursery))
    if look:
        if as_json:
            say_json(plan.to_dict())
        else:
            _show_plan(plan)
        return
    kept = keep_trial(ask, now=now(), ident=uuid7(), seed=seed)
    if as_json:
        say_json({**trial_answer(kept.pk, today=day(None, nursery)).to_dict(), "plan": plan.to_dict(), "seed": kept.seed})
        return
    _show_plan(plan)
    say(f"The lot is drawn: {kept} (to draw the same again: --seed {kept.seed}). Print it: scionary trial sheet '{kept}' --out sheet.pdf")
    say(CAUTION)


@trials.command("list")
def list_(all_: Annotated[bool, typer.Option("--all", help="Those put away too.")] = False, on: On = None, as_json: Json = False) -> None:
    """All trials and what they say today.

    Example: scionary trial list
    """
    nursery = opened()
    from scionary.answers.trials import trials as answer_trials

    answers = answer_trials(today=day(on, nursery), all_trials=all_)
    if as_json:
        say_json([answer.to_dict() for answer in answers])
        return
    if not answers:
        say("No trial yet: scionary trial new NAME --arm ... --arm ...")
    for answer in answers:
        say(f"{answer.trial.name} ({answer.state}{', put away' if answer.trial.retired else ''}): {answer.sentence}")
        say(f"    {answer.why}")


@trials.command()
def show(
    name: Name,
    differ: Annotated[bool, typer.Option("--differ", help="The effect may differ from dome to dome.")] = False,
    places: Annotated[bool, typer.Option("--places", help="Also what each place gets and what became of it.")] = False,
    on: On = None,
    as_json: Json = False,
) -> None:
    """What a trial says, what was counted, and what that assumes.

    Example: scionary trial show 'Film or rubber'
    """
    nursery = opened()
    from scionary.answers.trials import trial_answer

    answer = trial_answer(_trial(name).pk, today=day(on, nursery), interaction=differ)
    if as_json:
        say_json(answer.to_dict())
        return
    _show(answer)
    if places:
        rows = [
            [row.dome, row.place.place, f"{row.letter} {row.arm}", row.place.plant.spoken if row.place.plant else "", row.place.fate]
            for row in answer.rows
        ]
        table(["dome", "place", "gets", "plant", "what became of it"], rows, right=(1,))


@trials.command()
def sheet(name: Name, out: Annotated[Path, typer.Option(help="The PDF to write.")], on: On = None) -> None:
    """Print the bench sheet: the trays, and the order of grafting with what each place gets, as PDF.

    Example: scionary trial sheet 'Film or rubber' --out sheet.pdf
    """
    nursery = opened()
    from scionary.answers.trial_sheet import trial_sheet_pdf

    write_file(out, trial_sheet_pdf(_trial(name).pk, today=day(on, nursery)))


@trials.command()
def skip(
    name: Name,
    dome: Annotated[str, typer.Argument(help="The dome as the trial names it: 'Dome 1', or 'Dome 1, filling 2'.")],
    place: Annotated[int | None, typer.Argument(help="The place.")] = None,
    whole: Annotated[bool, typer.Option("--whole", help="All places of the dome.")] = False,
    why: Annotated[str, typer.Option(help="What happened: no wood left, the wrong film.")] = "",
    again: Annotated[bool, typer.Option("--again", help="Count the place again.")] = False,
    as_json: Json = False,
) -> None:
    """Note what did not go as laid out, before its outcome is seen: it counts as missing.

    Example: scionary trial skip 'Film or rubber' 'Dome 1' 3 --why 'the wrong film'
    """
    nursery = opened()
    from scionary.answers.trial_notes import count_again, leave_out
    from scionary.answers.trials import layout_of, trial_answer

    trial = _trial(name)
    names = [each.casefold() for each in layout_of(trial).tray_names]
    if dome.strip().casefold() not in names:
        raise Refused(f"{dome!r} takes no part in it.", where="dome", remedy=f"One of: {'; '.join(layout_of(trial).tray_names)}.")
    block = names.index(dome.strip().casefold())
    if again and place is None:
        raise Refused("which place counts again?", where="place", remedy="Give its number.")
    if again and place is not None:
        count_again(trial.pk, block=block, place=place, now=now())
    elif (place is None) != whole:
        raise Refused("which place is left out?", where="place", remedy="Give its number, or --whole for all of the dome's.")
    else:
        leave_out(trial.pk, block=block, place=place, why=why, now=now())
    answer = trial_answer(trial.pk, today=day(None, nursery))
    if as_json:
        say_json(answer.to_dict())
        return
    say("It counts again." if again else "Left out.")
    if answer.late_words:
        say(f"Look: {answer.late_words}")
    say(answer.why)


def _show_plan(plan: TrialPlan) -> None:
    say(plan.sentence)
    say(plan.why)
    if plan.advice:
        say(f"Look: {plan.advice}")
    for remark in plan.remarks:
        say(f"Look: {remark}")
    table(["dome", "places", "stand there now"], [[each.dome.name, len(each.places), each.standing] for each in plan.domes], right=(1, 2))
    for assumed in plan.assumptions:
        say(f"  assumes: {assumed}")


def _show(answer: TrialAnswer) -> None:
    say(f"{answer.trial.name} ({answer.state}){f': {answer.trial.question}' if answer.trial.question else ''}")
    say(answer.sentence)
    say(answer.why)
    rows = [[f"{arm.letter} {arm.name}", arm.laid_out, arm.took, arm.known, arm.waiting, arm.missing] for arm in answer.arms]
    table(["gets", "laid out", "took", "known", "not known yet", "missing"], rows, right=(1, 2, 3, 4, 5))
    if answer.pairs and not answer.over:
        say("If it ended today (not a verdict):")
    for words in answer.pairs:
        say(f"  {words}")
    for remark in answer.remarks:
        say(f"Look: {remark}")
    for assumed in answer.assumptions:
        say(f"  assumes: {assumed}")


def _trial(name: str) -> Trial:
    from scionary.book.models import Trial

    found = named(Trial, name)
    assert found is not None
    return found


def _cultivar(name: str) -> Cultivar:
    from scionary.book.models import Cultivar

    found = named(Cultivar, name)
    assert found is not None
    return found


def _share(difference: float) -> float:
    """15 or 0.15: fifteen in a hundred."""
    return difference / 100.0 if difference >= 1.0 else difference


def add_to(program: typer.Typer) -> None:
    program.add_typer(trials)
