"""What a wish list needs. The three calls that other engines answer are stood in for by sums that can be done by hand."""

from fractions import Fraction
from math import ceil

import numpy as np
import pytest

from scionary.errors import BadValue
from scionary.plan import Supplies, Way, Wish, season_needs


def needed(draws, wanted, assurance):
    """By mean rate, and never below one in ten."""
    rate = Fraction(float(np.mean(draws))).limit_denominator(1000)
    return None if rate < Fraction(1, 10) else ceil(wanted / rate)


def chance(draws, grafts, wanted):
    return min(1.0, float(np.mean(draws)) * grafts / wanted / 2)


def likely(draws, grafts):
    middle = round(float(np.mean(draws)) * grafts)
    return (middle - 1, middle, middle + 1)


def answer(wishes, supplies=None):
    return season_needs(wishes, supplies, grafts_needed=needed, chance_of_at_least=chance, likely_takes=likely)


WAY = Way(grafts_per_stick=2, minutes_per_graft=6, healing_weeks=4)
WISHES = [
    Wish("Red Tarn", 10, [0.5, 0.5], pot="four inch", rootstock="palmatum", survival=1.0, way=WAY),
    Wish("Ash Gill", 3, [0.4, 0.6], pot="four inch", rootstock="palmatum", survival=0.5, way=WAY),
    Wish("Lanthorn", 4, [0.8], pot="gallon", rootstock="witch hazel", survival=1.0, way=Way(3, 5, 6)),
]
ENOUGH = Supplies(
    rootstocks={"palmatum": 32, "witch hazel": 5},
    sticks={"Red Tarn": 10, "Ash Gill": 6, "Lanthorn": 2},
    trays=6,
    bench_hours=4,
    pots_per_tray={"four inch": 10, "gallon": 3},
)


def changed(**given):
    return Supplies(**{**vars(ENOUGH), **given})


def test_needs_add_up_as_by_hand():
    # 10 / .5 = 20; 3 / (.5 * .5) = 12; 4 / .8 = 5 grafts
    season = answer(WISHES, ENOUGH)
    assert [wish.grafts for wish in season.wishes] == [20, 12, 5]
    assert [wish.sticks for wish in season.wishes] == [10, 6, 2]
    assert [wish.hours for wish in season.wishes] == pytest.approx([2.0, 1.2, 5 / 12])
    assert season.rootstocks_by_kind == {"palmatum": 32, "witch hazel": 5}
    assert (season.grafts, season.rootstocks, season.sticks) == (37, 37, 18)
    assert season.hours == pytest.approx(2 + 1.2 + 5 / 12)
    assert season.healing_weeks == 6


def test_wishes_share_trays_but_kinds_of_pots_do_not():
    # 32 four-inch pots on trays of 10, and 5 gallons on trays of 3
    season = answer(WISHES, ENOUGH)
    assert season.trays_by_pot == {"four inch": 4, "gallon": 2}
    assert season.trays == 6


def test_nothing_is_short_when_there_is_just_enough():
    season = answer(WISHES, ENOUGH)
    assert season.short == ()
    assert season.assumed == ()


def test_later_losses_count_against_finished_plants_not_takes():
    ash_gill = answer(WISHES, ENOUGH).wishes[1]
    assert ash_gill.takes == (5, 6, 7)
    assert ash_gill.finished == (2, 3, 4)
    assert ash_gill.chance == pytest.approx(0.25 * 12 / 3 / 2)


@pytest.mark.parametrize(
    ("supplies", "words"),
    [
        (changed(rootstocks={"palmatum": 30, "witch hazel": 5}), "Rootstocks of palmatum: 32 needed, 30 there, 2 short."),
        (changed(trays=2), "Trays: 6 needed, 2 there, 4 short; or 3 rounds, 6 weeks apart."),
        (changed(trays=0), "Trays: 6 needed, 0 there, 6 short."),
        (changed(bench_hours=1.5), "Bench hours: 3.6 needed, 1.5 there, 2.1 short."),
        (
            changed(sticks={"Red Tarn": 4, "Ash Gill": 6, "Lanthorn": 2}),
            "Sticks of Red Tarn: 10 needed, 4 there, 6 short; they allow 8 grafts, with a chance of 20 %.",
        ),
    ],
)
def test_what_is_short_is_named_with_how_much(supplies, words):
    short = answer(WISHES, supplies).short
    assert [shortage.words for shortage in short] == [words]
    assert short[0].missing == pytest.approx(short[0].needed - short[0].have)


def test_part_of_a_stick_is_a_stick():
    wish = Wish("Fell Lace", 1, [1.0], way=Way(grafts_per_stick=2), planned_grafts=7)
    assert answer([wish]).wishes[0].sticks == 4
    with_few = answer([Wish("Fell Lace", 1, [1.0], way=Way(grafts_per_stick=1.5), planned_grafts=7)], Supplies(sticks={"Fell Lace": 3}))
    assert with_few.wishes[0].sticks == 5
    assert with_few.wishes[0].grafts_with_sticks == 4


def test_a_wish_out_of_reach_is_said_and_left_out_of_the_sums():
    hopeless = Wish("Merrybeck", 10, [0.05], pot="four inch", rootstock="palmatum", survival=1.0, way=WAY)
    season = answer([*WISHES, hopeless], changed(sticks={**ENOUGH.sticks, "Merrybeck": 2}))
    assert season.wishes[3].grafts is None
    assert season.wishes[3].chance is None
    assert season.grafts == 37
    assert [shortage.words for shortage in season.short] == ["Merrybeck: no sensible number of grafts gives 10 with a chance of 90 %."]
    assert season.short[0].needed is None


def test_a_number_of_ones_own_is_kept():
    wish = Wish("Red Tarn", 10, [0.5], survival=1.0, way=WAY, planned_grafts=8)
    need = answer([wish]).wishes[0]
    assert (need.grafts, need.chance) == (8, 0.2)


def test_what_is_not_known_is_not_called_short_but_told():
    season = answer([Wish("Red Tarn", 10, [0.5])])
    assert season.short == ()
    assert season.trays is None
    assert season.wishes[0].sticks == 20
    assert season.hours == pytest.approx(20 * 5 / 60)
    assert season.assumed == (
        "Red Tarn: 1 graft a stick (project default, unsourced).",
        "Red Tarn: 5 minutes a graft (common practice, no source).",
        "Red Tarn: 5 weeks on the tray (common practice, no source).",
        "Red Tarn: every take becomes a finished plant (project default, unsourced).",
        "Red Tarn: sticks at hand are not known, so not called short.",
        "Rootstocks of no named kind: how many are usable is not known.",
        "Pots of no named kind: how many a tray takes is not known, so their trays are not counted.",
        "How many trays can stand at once is not known.",
        "Hours at the bench are not known.",
    )


def test_trays_that_are_known_to_be_too_few_are_short_though_another_kind_is_unknown():
    season = answer(WISHES, changed(pots_per_tray={"four inch": 10}, trays=3))
    assert season.trays is None
    assert [shortage.missing for shortage in season.short] == [1]


def test_many_names_are_cut_short():
    wishes = [Wish(f"Tarn {number}", 1, [1.0]) for number in range(5)]
    assert answer(wishes).assumed[0].startswith("Tarn 0, Tarn 1, Tarn 2 and 2 more: 1 graft a stick")


def test_an_empty_list_needs_nothing():
    season = answer([])
    assert (season.grafts, season.trays, season.hours, season.short, season.assumed) == (0, 0, 0, (), ())


def test_everything_comes_as_plain_values():
    values = answer(WISHES, changed(trays=1)).to_dict()
    assert values["wishes"][0]["name"] == "Red Tarn"
    assert values["short"][0]["missing"] == 5


def test_one_name_twice_is_refused():
    with pytest.raises(BadValue, match="wishes is 'Red Tarn'; allowed: one wish a name"):
        answer([WISHES[0], WISHES[0]])
