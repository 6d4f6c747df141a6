"""Colour orders: every order of a design's pots, or choice from a dye book, ranked by what a maker cares about."""

from batiksim.plan.orders.outcome import order_plan
from batiksim.plan.orders.ranking import Orders, Question, Ranked, rank_orders
from batiksim.plan.orders.targets import want_pictures

__all__ = ["Orders", "Question", "Ranked", "order_plan", "rank_orders", "want_pictures"]
