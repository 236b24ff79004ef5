"""Rules about pieces: every piece that comes about is broken one way, and every side is cut or hangs on."""

from __future__ import annotations

from collections.abc import Mapping

from gambrel.plan.model import PlanModel
from gambrel.plan.places import Options


def each_side_is_cut_by_its_latest_day(model: PlanModel) -> None:
    """R1: sum over days of sides cut (+ sides hanging on, where they may) = number of sides

    Soft only where there is no cutting day at all: otherwise hours, rail or orders are what must give way.
    """
    for group in model.groups:
        terms = {model.cut[group.number, day]: 1.0 for day in group.days}
        if not group.must_cut:
            terms[model.hang_on[group.number]] = 1.0
        sentence = f"{group.name} is cut by {group.latest}"
        count = float(group.count)
        row = model.problem.rule(sentence, terms, low=count, high=count, soft=not group.days)
        model.marks[row] = ("side", group.name)


def each_piece_is_broken_one_way(model: PlanModel) -> None:
    """R2: sum of the choices at a place = what the choices above give it; at the top, sides cut that day"""
    for group in model.groups:
        columns = {day: {number: one for number, _, one in model.choices(group, day)} for day in group.days}
        for place in model.options[group.number].places:
            sentence = f"{group.name}: {place.piece} is broken one way"
            for day, column in columns.items():
                terms = {column[number]: 1.0 for number in place.choices if number in column}
                terms.update(
                    {column[above]: -share for above, share in place.above.items() if above in column}
                )
                if not place.above:
                    terms[model.cut[group.number, day]] = -1.0
                if terms:
                    model.problem.rule(sentence, terms, low=0.0, high=0.0)


def a_pooled_piece_goes_one_way_for_the_animal(model: PlanModel) -> None:
    """R3: sum of its ways = 1, and weight taken one way on a day <= the most there can be x (that way is the one)"""
    for group in model.groups:
        most = most_reaching(model.options[group.number])
        for number, place in enumerate(model.options[group.number].places):
            if not place.pooled:
                continue
            sentence = f"{group.name}: {place.piece} goes one way for the whole animal"
            ways = {model.settled[group.number, choice]: 1.0 for choice in place.choices}
            model.problem.rule(sentence, ways, low=1.0, high=1.0)
            for choice in place.choices:
                for day in group.days:
                    terms = {
                        model.chosen[group.number, day, choice]: 1.0,
                        model.settled[group.number, choice]: -most[number] * group.count,
                    }
                    model.problem.rule(sentence, terms, high=0.0)


def most_reaching(options: Options) -> dict[int, float]:
    """For each pooled place, the largest share of a side that can reach it."""
    below = options.below()
    most: dict[int, float] = {}
    for target, place in enumerate(options.places):
        if place.pooled:
            most[target] = _most_down(options, 0, target, below)
    return most


def _most_down(
    options: Options, place: int, target: int, below: Mapping[int, list[tuple[int, float]]]
) -> float:
    if place == target:
        return 1.0
    return max(
        sum(share * _most_down(options, child, target, below) for child, share in below.get(choice, ()))
        for choice in options.places[place].choices
    )
