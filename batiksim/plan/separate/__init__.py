"""A picture taken apart: dyes, their order and strengths, what to wax before each, and where to brush."""

from batiksim.plan.separate.course import MOST_POTS, MOST_STEPS, Asked, Separation, separate
from batiksim.plan.separate.designing import SeparatedDesign, pot_names, separated_design
from batiksim.plan.separate.given import design_dyeings, read_dyeings
from batiksim.plan.separate.palette import Bath, Dyeing, Plan, all_ways, bath_pot, palette, pot_bath
from batiksim.plan.separate.search import search_plan
from batiksim.plan.separate.told import ToldRegion, ToldSeparation, tell_separation
from batiksim.plan.separate.wanted import Wanted

__all__ = [
    "MOST_POTS",
    "MOST_STEPS",
    "Asked",
    "Bath",
    "Dyeing",
    "Plan",
    "SeparatedDesign",
    "Separation",
    "ToldRegion",
    "ToldSeparation",
    "Wanted",
    "all_ways",
    "bath_pot",
    "design_dyeings",
    "palette",
    "pot_bath",
    "pot_names",
    "read_dyeings",
    "search_plan",
    "separate",
    "separated_design",
    "tell_separation",
]
