"""Rules about time and room: hours a day by kind of work, metres of rail a day."""

from __future__ import annotations

from gambrel.plan.model import PlanModel, Terms


def work_fits_the_hours_of_the_day(model: PlanModel) -> None:
    """minutes of a kind of work on a day <= minutes there are"""
    days = sorted({day for group in model.groups for day in group.days})
    for day in days:
        for work, limit in model.week.shop.minutes_a_day.items():
            terms = model.minutes(work, day)
            if terms:
                row = model.problem.rule(f"{work} hours on {day:%a} {day}", terms, high=limit, soft=True)
                model.marks[row] = ("hours", work)


def hanging_sides_fit_the_rail(model: PlanModel) -> None:
    """sides hung by a day - sides cut before it <= sides that the rail holds; a side cut that day still counts"""
    shop = model.week.shop
    if shop.rail_mm is None:
        return
    holds = shop.rail_mm / shop.rail_per_side_mm
    for day in shop.calendar():
        hung = sum(group.count for group in model.groups if group.hanging.killed <= day)
        if hung <= holds + 1e-9:
            continue
        terms: Terms = {
            column: -shop.rail_per_side_mm / 1000.0
            for (group, cut_on), column in model.cut.items()
            if cut_on < day and model.groups[group].hanging.killed <= day
        }
        high = (holds - hung) * shop.rail_per_side_mm / 1000.0
        row = model.problem.rule(f"metres of rail on {day:%a} {day}", terms, high=high, soft=True)
        model.marks[row] = ("rail", "rail")
