"""How to join: the geometry of cuts, the meeting of cambium lines, methods, advice, and which scion goes to which stock."""

from scionary.union.advising import Advice, MethodOffer, advice, advice_when_moved
from scionary.union.chance import contact_chance, sampled_chance
from scionary.union.compatibility import COMPATIBILITY, SECTIONS, CompatibilityRow, Verdict, compatibility, compatible_pairs
from scionary.union.contact import Placement, Way, contact_length, leaning
from scionary.union.cut import cambium_half_width, cut_face_width
from scionary.union.flap import FlapContact, flap_contact
from scionary.union.joint import Joint, cut_length_mm, planned_joint
from scionary.union.matching import Matching, alike_pairs, match_stocks, pairs_in_order
from scionary.union.measuring import Doubt, Thickness, gauge_reading, gauge_slots, read_thickness
from scionary.union.methods import BARK_SLIPS, METHODS, CutFace, JoinMethod, Model, Shape, Stage, method_called
from scionary.union.placing import best_placement, placement_chance, ways_compared
from scionary.union.problems import Code, Problem, stage_problems
from scionary.union.shortfall import ShortfallCost, shortfall_cost
from scionary.union.skill import SKILLS, TOLERANCE_MM, WANTED_MM, Skill, contact_assumptions, learned_skill, skill_called
from scionary.union.stems import CutStem, Stem, line_half_width, matching_depth_mm
from scionary.union.unmeasured import OrderLine, likely_thicknesses, thicknesses_to_order
from scionary.union.view import UnionView, union_view

__all__ = [
    "BARK_SLIPS",
    "COMPATIBILITY",
    "METHODS",
    "SECTIONS",
    "SKILLS",
    "TOLERANCE_MM",
    "WANTED_MM",
    "Advice",
    "Code",
    "CompatibilityRow",
    "CutFace",
    "CutStem",
    "Doubt",
    "FlapContact",
    "JoinMethod",
    "Joint",
    "Matching",
    "MethodOffer",
    "Model",
    "OrderLine",
    "Placement",
    "Problem",
    "Shape",
    "ShortfallCost",
    "Skill",
    "Stage",
    "Stem",
    "Thickness",
    "UnionView",
    "Verdict",
    "Way",
    "advice",
    "advice_when_moved",
    "alike_pairs",
    "best_placement",
    "cambium_half_width",
    "compatibility",
    "compatible_pairs",
    "contact_assumptions",
    "contact_chance",
    "contact_length",
    "cut_face_width",
    "cut_length_mm",
    "flap_contact",
    "gauge_reading",
    "gauge_slots",
    "leaning",
    "learned_skill",
    "likely_thicknesses",
    "line_half_width",
    "match_stocks",
    "matching_depth_mm",
    "method_called",
    "pairs_in_order",
    "placement_chance",
    "planned_joint",
    "read_thickness",
    "sampled_chance",
    "shortfall_cost",
    "skill_called",
    "stage_problems",
    "thicknesses_to_order",
    "union_view",
    "ways_compared",
]
