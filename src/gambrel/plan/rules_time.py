"""Rules about time and room: hours and overtime a day by kind of work, blocks and saws, metres of rail a day."""

from __future__ import annotations

from datetime import date

from gambrel.plan.model import PlanModel, Terms

PLACES = {"knife": "blocks", "saw": "saws", "grinder": "grinders", "packer": "packing benches"}
"""Where each kind of work is done, in the trade's words."""


def work_fits_the_hours_of_the_day(model: PlanModel) -> None:
    """R4: minutes of a kind of work on a day - minutes of overtime <= minutes there are (overtime has a limit)"""
    for day in _days(model):
        for work, limit in model.week.shop.minutes_of(day).items():
            terms = model.minutes(work, day)
            if terms:
                if (work, day) in model.over:
                    terms[model.over[work, day]] = -1.0
                row = model.problem.rule(f"{work} hours on {day:%a} {day}", terms, high=limit, soft=True)
                model.marks[row] = ("hours", work)


def work_fits_the_places_there_are(model: PlanModel) -> None:
    """R10: minutes of a kind of work on a day, overtime among them <= blocks (or saws) x minutes the room is open"""
    room = model.week.shop.room
    for day in _days(model):
        for work, places in room.at_once.items():
            terms = model.minutes(work, day)
            if terms:
                sentence = f"{PLACES[work]} on {day:%a} {day}"
                row = model.problem.rule(sentence, terms, high=places * room.open_min, soft=True)
                model.marks[row] = ("places", work)


def _days(model: PlanModel) -> list[date]:
    return sorted({day for group in model.groups for day in group.days})


def hanging_sides_fit_the_rail(model: PlanModel) -> None:
    """R5: sides here by a day - sides cut before it <= sides that the rail holds; a side cut that day still counts"""
    shop = model.week.shop
    if shop.rail_mm is None:
        return
    holds = shop.rail_mm / shop.rail_per_side_mm
    for day in shop.calendar():
        hung = sum(group.count for group in model.groups if group.hanging.on_rail_from <= day)
        if hung <= holds + 1e-9:
            continue
        terms: Terms = {
            column: -shop.rail_per_side_mm / 1000.0
            for (group, cut_on), column in model.cut.items()
            if cut_on < day and model.groups[group].hanging.on_rail_from <= day
        }
        high = (holds - hung) * shop.rail_per_side_mm / 1000.0
        row = model.problem.rule(f"metres of rail on {day:%a} {day}", terms, high=high, soft=True)
        model.marks[row] = ("rail", "rail")
