"""A mother tree's water: its roots as they are written down, what it was given, and its balance over record and forecast."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from math import pi

import numpy as np

from scionary.answers.tree_looks import TreeLook
from scionary.answers.weather import Floats, SiteWeather
from scionary.book.models import MotherTree
from scionary.language import say
from scionary.season import Soil, TreeWater, WaterBalance, tree_balance
from scionary.units import length_words

BALANCE_DAYS = 400  # the balance begins so long before today; a soaking since then settles it
_CROWN_MM = 2000.0  # where it is not written down; project default, unsourced


def roots_of(tree: MotherTree) -> TreeWater:
    """What its roots reach; a tree of which nothing is written down is taken to stand in loam."""
    if tree.grows_in == MotherTree.GrowsIn.POT and tree.pot_litres and tree.mouth_mm:
        mouth = disc_m2(tree.mouth_mm)
        return TreeWater.in_pot(tree.pot_litres, crown_m2=disc_m2(tree.crown_mm or tree.mouth_mm), mouth_m2=mouth)
    depth = tree.root_depth_mm / 1000.0 if tree.root_depth_mm else 0.6
    return TreeWater.in_ground(Soil[(tree.soil or "loam").upper()], root_depth_m=depth)


def roots_words(tree: MotherTree, unit: str) -> str:
    """How it stands, as the balance takes it."""
    if tree.grows_in == MotherTree.GrowsIn.POT:
        if not (tree.pot_litres and tree.mouth_mm):
            return say("It stands in a pot whose litres and mouth are not written down: reckoned as if in loam, which holds far more.")
        return say("It stands in a pot of {litres:g} litres.", litres=tree.pot_litres)
    if not tree.grows_in:
        return say("Where its roots are is not written down: reckoned as if in loam, 0.6 m deep.")
    soil = tree.get_soil_display() if tree.soil else say("loam (taken, as none is written down)")
    return say("It stands in the ground: {soil}, roots {depth} deep.", soil=soil, depth=length_words(tree.root_depth_mm or 600.0, unit))


def crown_mm(tree: MotherTree) -> float:
    """How wide its crown is: as written, else its pot's mouth, else two metres."""
    return tree.crown_mm or (tree.mouth_mm if tree.grows_in == MotherTree.GrowsIn.POT else None) or _CROWN_MM


def crown_words(tree: MotherTree, unit: str) -> str:
    """Which crown litres are reckoned under, where none is written down; else empty."""
    if tree.crown_mm:
        return ""
    width = length_words(crown_mm(tree), unit)
    if tree.grows_in == MotherTree.GrowsIn.POT and tree.mouth_mm:
        return say("Its crown is not written down: litres are reckoned under one as wide as its pot's mouth, {width}.", width=width)
    return say("Its crown is not written down: litres are reckoned under one of {width}, which is taken.", width=width)


def disc_m2(across_mm: float) -> float:
    """The ground that a round crown, or a pot's mouth, covers."""
    return pi * (across_mm / 2000.0) ** 2


def watering_mm(tree: MotherTree, roots: TreeWater, looks: Sequence[TreeLook], weather: SiteWeather) -> Floats:
    """Water given on each day in millimetres under the crown; watered through, without litres, fills the root zone."""
    given = np.zeros(weather.dates.size)
    for look in looks:
        row = weather.at(look.day) if look.kind == "watered" else None
        if row is not None:
            given[row] += _mm(tree, roots, look)
    return np.minimum(given, 2000.0)


def _mm(tree: MotherTree, roots: TreeWater, look: TreeLook) -> float:
    if look.payload.get("water_mm") is not None:
        return float(look.payload["water_mm"])
    if look.payload.get("litres") is not None:
        return float(look.payload["litres"]) / disc_m2(crown_mm(tree))
    return roots.available_mm


def balance_of(roots: TreeWater, demand_mm: Floats, watering: Floats, weather: SiteWeather) -> WaterBalance:
    """The balance over these days; how wet it was before them is not known."""
    return tree_balance(roots, weather.rain_mm, demand_mm, irrigation_mm=watering)


def lately(weather: SiteWeather, today: date) -> SiteWeather:
    """The days that a balance of today needs, with the forecast."""
    row = weather.at(today)
    begin = max((row if row is not None else weather.dates.size) - BALANCE_DAYS, 0)
    return weather.rows(begin, weather.dates.size)
