"""Colour orders: every order of a design's pots, or choice from a dye book, ranked by what a maker cares about."""

from batiksim.ordering.course import want_pictures
from batiksim.ordering.data import orders_data
from batiksim.ordering.design_of_order import NewPlan, order_plan
from batiksim.ordering.ranking import Orders, Question, Ranked, rank_orders

__all__ = ["NewPlan", "Orders", "Question", "Ranked", "order_plan", "orders_data", "rank_orders", "want_pictures"]
