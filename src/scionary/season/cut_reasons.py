"""The reasons for and against cutting on a morning, one function a topic."""

from __future__ import annotations

from scionary.language import say
from scionary.season.cut_limits import COMMON, CutLimits
from scionary.season.morning_facts import Morning
from scionary.season.reasons import Rating, Reason

FAO = "FAO-56 eq. 84; the limit: "


def _by(value: float, good: float, bad: float) -> Rating:
    """Rate a value of which more is better."""
    return Rating.GOOD if value >= good else Rating.DOUBT if value >= bad else Rating.BAD


def stage_reason(morning: Morning, limits: CutLimits) -> Reason:
    """The wood's stage, as it was seen, else by its warmth.

    Parameters
    ----------
    morning : Morning
        What is known.
    limits : CutLimits
        What it is held against.

    Returns
    -------
    Reason
        The reason.
    """
    wanted = say(" or ").join(stage.words for stage in morning.wanted)
    if morning.stage is not None:
        fits = morning.stage in morning.wanted
        words = (
            say("The wood is {stage}.", stage=morning.stage.words)
            if fits
            else say("The wood is {stage}; wanted: {wanted}.", stage=morning.stage.words, wanted=wanted)
        )
        return Reason("stage", morning.stage.words, "", wanted, COMMON, Rating.GOOD if fits else Rating.BAD, words)
    if not morning.stage_chances:
        return Reason("stage", None, "", wanted, COMMON, Rating.DOUBT, say("Look at the wood: is it {wanted}?", wanted=wanted))
    chance = sum(morning.stage_chances.get(stage, 0.0) for stage in morning.wanted)
    rating = _by(chance, limits.stage_good, limits.stage_bad)
    words = say("By the warmth so far the wood is {wanted} with a chance of {chance:.0f} %.", wanted=wanted, chance=100 * chance)
    return Reason("stage", chance, "", limits.stage_good, limits.source("stage_good"), rating, words)


def water_reasons(morning: Morning, limits: CutLimits) -> list[Reason | None]:
    """Firm leaves, the soil's water, the soaking; nothing for dormant wood.

    Parameters
    ----------
    morning : Morning
        What is known.
    limits : CutLimits
        What it is held against.

    Returns
    -------
    list of Reason or None
        The reason; None where nothing is known.
    """
    if not morning.leafy:
        return []
    stress = _stress(morning, limits)
    if morning.firm_at_dawn is None and stress is None:
        return [_firm(morning), _soaked(morning, limits, eased=False)]
    eased = morning.stress_low is not None and morning.stress_low >= limits.stress_good
    return [_firm(morning) if morning.firm_at_dawn is not None else None, stress, _soaked(morning, limits, eased=eased)]


def _firm(morning: Morning) -> Reason:
    words = {
        True: say("Leaves were firm at dawn."),
        False: say("Leaves hung at dawn: water the tree and wait."),
        None: say("Were leaves firm at dawn?"),
    }
    rating = {True: Rating.GOOD, False: Rating.BAD, None: Rating.DOUBT}[morning.firm_at_dawn]
    return Reason("firm", morning.firm_at_dawn, "", "firm", COMMON, rating, words[morning.firm_at_dawn])


def _stress(morning: Morning, limits: CutLimits) -> Reason | None:
    if morning.stress_low is None or morning.stress_high is None:
        return None
    worst, best = (_by(value, limits.stress_good, limits.stress_bad) for value in (morning.stress_low, morning.stress_high))
    rating = worst if worst is best or worst is Rating.DOUBT else Rating.DOUBT
    if rating is Rating.BAD and morning.firm_at_dawn:
        rating = Rating.DOUBT
    open_ = morning.stress_high - morning.stress_low > 0.005
    value = f"{morning.stress_low:.2g} to {morning.stress_high:.2g}" if open_ else morning.stress_low
    words = {
        Rating.GOOD: say("The soil holds water enough."),
        Rating.DOUBT: say("The soil's water is not sure to be enough.") if open_ else say("The soil begins to run short of water."),
        Rating.BAD: say("The soil is dry and the tree feels it."),
    }[rating]
    return Reason("stress", value, "", limits.stress_good, FAO + limits.source("stress_good"), rating, words)


def _soaked(morning: Morning, limits: CutLimits, *, eased: bool) -> Reason | None:
    """`eased`: the soil is known to hold enough, so that a soaking is no condition."""
    days = say("the last {count:g} days", count=limits.soak_days)
    if morning.soaked is not None:
        rating = Rating.GOOD if morning.soaked or eased else Rating.DOUBT
        words = say("It was soaked in {days}.", days=days) if morning.soaked else say("It was not soaked in {days}.", days=days)
        return Reason("soaked", morning.soaked, "", "soaked", limits.source("soak_days"), rating, words)
    if morning.soaked_mm is None:
        asked = Reason(
            "soaked", None, "mm", limits.soak_mm, limits.source("soak_mm"), Rating.DOUBT, say("Was it soaked in {days}?", days=days)
        )
        return None if eased else asked
    rating = Rating.GOOD if morning.soaked_mm >= limits.soak_mm or eased else Rating.DOUBT
    words = say("{water:.0f} mm of rain and watering in {days}.", water=morning.soaked_mm, days=days)
    return Reason("soaked", morning.soaked_mm, "mm", limits.soak_mm, limits.source("soak_mm"), rating, words)


def demand_reason(morning: Morning, limits: CutLimits) -> Reason | None:
    """How much the air draws from cut leaves.

    Parameters
    ----------
    morning : Morning
        What is known.
    limits : CutLimits
        What it is held against.

    Returns
    -------
    Reason or None
        The reason; None where nothing is known.
    """
    if morning.demand_kpa is None or not morning.leafy:
        return None
    rating = _by(-morning.demand_kpa, -limits.demand_good_kpa, -limits.demand_bad_kpa)
    words = {
        Rating.GOOD: say("The air is moist."),
        Rating.DOUBT: say("The air is drying: cut early, and bag at once."),
        Rating.BAD: say("The air is too dry."),
    }
    source = limits.source("demand_good_kpa")
    return Reason("demand", morning.demand_kpa, "kPa", limits.demand_good_kpa, source, rating, words[rating])


def frost_reason(morning: Morning, limits: CutLimits) -> Reason | None:
    """Frozen wood is not cut; leaves are hurt by frost, dormant wood is good again once it has thawed.

    Parameters
    ----------
    morning : Morning
        What is known.
    limits : CutLimits
        What it is held against.

    Returns
    -------
    Reason or None
        The reason; None where nothing is known.
    """
    known = [value for value in (morning.night_low_c, morning.now_c) if value is not None]
    if not known:
        return None
    lowest, limit, source = min(known), limits.frost_c, limits.source("frost_c")
    if lowest > limit:
        return Reason("frost", lowest, "°C", limit, source, Rating.GOOD, say("No frost."))
    if morning.leafy:
        return Reason("frost", lowest, "°C", limit, source, Rating.BAD, say("Frost in the night: leaves may be hurt."))
    if morning.now_c is not None and morning.now_c >= limits.thawed_c:
        return Reason("frost", morning.now_c, "°C", limits.thawed_c, limits.source("thawed_c"), Rating.GOOD, say("It has thawed."))
    rating = Rating.DOUBT if morning.now_c is None or morning.now_c > limit else Rating.BAD
    return Reason("frost", lowest, "°C", limit, source, rating, say("Frost in the night: wait until the wood has thawed."))


def wet_reason(morning: Morning, limits: CutLimits) -> Reason | None:
    """Whether leaves or bark are wet.

    Parameters
    ----------
    morning : Morning
        What is known.
    limits : CutLimits
        What it is held against.

    Returns
    -------
    Reason or None
        The reason; None where nothing is known.
    """
    if morning.leaves_dry is not None:
        rating = Rating.GOOD if morning.leaves_dry else Rating.DOUBT
        return Reason("wet", not morning.leaves_dry, "", "dry", COMMON, rating, _wet_words(morning.leafy, morning.leaves_dry))
    if morning.wet_mm is None:
        return None
    wet = morning.wet_mm >= limits.wet_mm
    words = say("Rain in the last hours: leaves and bark are wet.") if wet else say("No rain in the last hours.")
    return Reason("wet", morning.wet_mm, "mm", limits.wet_mm, limits.source("wet_mm"), Rating.DOUBT if wet else Rating.GOOD, words)


def _wet_words(leafy: bool, dry: bool) -> str:
    if leafy:
        return say("Leaves are dry.") if dry else say("Leaves are wet: wait until dry, wet sticks mould in the bag.")
    return say("The bark is dry.") if dry else say("The bark is wet: wait until dry, wet sticks mould in the bag.")
