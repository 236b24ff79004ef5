"""Every rule of the week, one function each, named by its sentence; R1 to R11 as numbered in docs/plan-rules.md."""

from __future__ import annotations

from gambrel.plan.model import PlanModel
from gambrel.plan.rules_grind import ground_product_is_as_lean_as_named
from gambrel.plan.rules_market import (
    promised_orders_are_met,
    the_counter_pays_by_step,
    the_freezer_holds_what_is_frozen,
    what_is_made_is_sold_ground_or_left,
)
from gambrel.plan.rules_pieces import (
    a_pooled_piece_goes_one_way_for_the_animal,
    each_piece_is_broken_one_way,
    each_side_is_cut_by_its_latest_day,
)
from gambrel.plan.rules_time import (
    hanging_sides_fit_the_rail,
    work_fits_the_hours_of_the_day,
    work_fits_the_places_there_are,
)

RULES = (
    each_side_is_cut_by_its_latest_day,
    each_piece_is_broken_one_way,
    a_pooled_piece_goes_one_way_for_the_animal,
    work_fits_the_hours_of_the_day,
    work_fits_the_places_there_are,
    hanging_sides_fit_the_rail,
    what_is_made_is_sold_ground_or_left,
    the_freezer_holds_what_is_frozen,
    ground_product_is_as_lean_as_named,
    the_counter_pays_by_step,
    promised_orders_are_met,
)


def lay_down(model: PlanModel, *, split: bool = False) -> None:
    """Add every rule to the model's problem; `split` leaves out that pooled pieces go one way."""
    for rule in RULES:
        if not (split and rule is a_pooled_piece_goes_one_way_for_the_animal):
            rule(model)
