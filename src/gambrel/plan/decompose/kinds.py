"""The kinds apart: what little ties one kind's meat to another's is priced, and each kind is solved by itself, whole.

Hours, rail and orders that several kinds may fill are *links*. At any prices of theirs, the best whole plans of the
kinds add up to a bound, and it is nearer than the split week's: no side is split in it [Geoffrion, Lagrangean
relaxation for integer programming, Mathematical Programming Study 2, 1974; cited from memory]. Kinds that a price
fails to set apart are solved as one. Together, or one after another put into the best plan known, they often make a
better one.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from gambrel.optimize import Answer, Problem, Watch
from gambrel.plan.bound import relaxed
from gambrel.plan.decompose.shared import MOST
from gambrel.plan.market import origin_of
from gambrel.plan.model import PlanModel

LAST = frozenset(("hours", "places", "rail"))
"""Marks of rules that nearly always tie all kinds together: looked at after all others."""

LEAST = 1e-7
"""What is given to a link below this is the solver's dust."""


@dataclass(frozen=True, slots=True)
class Part:
    """Columns and rules of one kind, or of what belongs to none (`name` is empty)."""

    name: str
    columns: tuple[int, ...]
    rules: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class KindsApart:
    """A bound on every plan of the model, and values of its columns that may make one: those of `parts` are new."""

    bound_cents: float
    values: np.ndarray
    parts: tuple[Part, ...]
    links: tuple[int, ...]


def parts_of(model: PlanModel) -> tuple[tuple[int, ...], tuple[Part, ...]]:
    """The rules that link kinds, and what falls apart without them; another inspection is another kind."""
    problem = model.problem
    name = [""] * len(problem.gains)
    for columns in (model.cut, model.chosen, model.settled):
        for key, column in columns.items():
            name[column] = _name(model, key[0])
    for group, column in model.hang_on.items():
        name[column] = _name(model, group)
    above = list(range(len(name)))

    def top(column: int) -> int:
        while above[column] != column:
            above[column] = above[above[column]]
            column = above[column]
        return column

    links = []
    for number in sorted(range(len(problem.rows)), key=lambda one: model.marks.get(one, ("", ""))[0] in LAST):
        tops = {top(column) for column in problem.rows[number].columns}
        names = {name[one] for one in tops} - {""}
        if len(names) > 1:
            links.append(number)
        elif tops:
            first = tops.pop()
            for other in tops:
                above[other] = first
            name[first] = names.pop() if names else ""
    of: dict[str, tuple[list[int], list[int]]] = {}
    for column in range(len(name)):
        of.setdefault(name[top(column)], ([], []))[0].append(column)
    tied = set(links)
    for number, row in enumerate(problem.rows):
        if number not in tied and row.columns:
            of[name[top(row.columns[0])]][1].append(number)
    return tuple(links), tuple(
        Part(one, tuple(columns), tuple(rules)) for one, (columns, rules) in of.items()
    )


def _name(model: PlanModel, group: int) -> str:
    origin = origin_of(model.groups[group].hanging)
    return f"{origin.name}, {origin.inspected}"


def kinds_apart(
    model: PlanModel, *, gap: float, seconds_left: Callable[[], float], threads: int, watch: Watch,
    start: np.ndarray | None,
) -> Iterator[KindsApart]:  # fmt: skip
    """Every kind solved by itself to `gap`, the smallest first; then, again and again, those at odds as one.

    Nothing comes where all is one kind, or time is up.
    """
    problem = model.problem
    links, parts = parts_of(model)
    if sum(bool(part.name) for part in parts) < 2:
        return
    split = relaxed(problem).solve(seconds=max(0.0, seconds_left()), threads=threads, watch=watch)
    if split.status != "optimal":
        return
    gains, brings = priced(problem, links, split.row_prices)

    def solved(part: Part, share: float) -> Answer | None:
        alone = problem_of(problem, part, gains, links, problem.lows, problem.highs)
        answer = alone.solve(gap=gap, seconds=max(0.1, share * seconds_left()), threads=threads, watch=watch,
                             start=None if start is None else start[list(part.columns)])  # fmt: skip
        return answer if answer.values.size and np.isfinite(answer.bound) else None

    values, bounds = np.zeros(len(gains)), dict[Part, float]()
    waiting = sum(len(part.columns) for part in parts)
    for part in sorted(parts, key=lambda one: len(one.columns)):
        answer = solved(part, len(part.columns) / waiting)
        waiting -= len(part.columns)
        if answer is None:
            return
        bounds[part], values[list(part.columns)] = answer.bound, answer.values
    bound_cents = brings + sum(bounds.values())
    yield KindsApart(bound_cents, values.copy(), tuple(part for part in bounds if part.name), links)
    dust_cents = gap * abs(bound_cents)
    while tied := at_odds(problem, links, split.row_prices, bounds, values, dust_cents):
        together = united(tied)
        answer = solved(together, 1.0) if seconds_left() > 0 else None
        if answer is None:
            return
        bounds[together] = min(answer.bound, sum(bounds.pop(part) for part in tied))
        values[list(together.columns)] = answer.values
        yield KindsApart(brings + sum(bounds.values()), values.copy(), (together,), links)


def at_odds(
    problem: Problem, links: tuple[int, ...], prices: np.ndarray, parts: Iterable[Part], values: np.ndarray,
    dust_cents: float,
) -> tuple[Part, ...]:  # fmt: skip
    """The parts that fill the link where most is lost, for together they fill it too far or not enough.

    A price that sets kinds apart has its link filled to the side it pays for; else more than `dust_cents` are lost.
    To one that fills it by itself, or none, comes the smallest that may fill it.
    """
    most_cents = dust_cents
    tied: tuple[Part, ...] = ()
    for number in links:
        row, price = problem.rows[number], float(prices[number])
        side = row.high if price > 0 else row.low
        if not price or not np.isfinite(side):
            continue
        given = np.zeros(len(values))
        given[list(row.columns)] = np.asarray(row.coefficients) * values[list(row.columns)]
        lost_cents = abs(price * (side - given.sum()))
        may = [part for part in parts if not set(part.columns).isdisjoint(row.columns)]
        may.sort(key=lambda part: (abs(given[list(part.columns)].sum()) <= LEAST, len(part.columns)))
        if lost_cents > most_cents and len(may) > 1:
            filling = sum(abs(given[list(part.columns)].sum()) > LEAST for part in may)
            most_cents, tied = lost_cents, tuple(may[: max(2, filling)])
    return tied


def united(parts: Sequence[Part]) -> Part:
    """Several parts as one; the rules that link them are links as before."""
    return Part(
        " and ".join(part.name for part in parts),
        tuple(sorted(column for part in parts for column in part.columns)),
        tuple(sorted(rule for part in parts for rule in part.rules)),
    )


def within(problem: Problem, part: Part, links: tuple[int, ...], values: np.ndarray) -> Problem:
    """The part by itself within what a plan's other parts leave of every link, none of them priced."""
    return problem_of(problem, part, np.asarray(problem.gains), links, values, values)


def priced(problem: Problem, links: tuple[int, ...], prices: np.ndarray) -> tuple[np.ndarray, float]:
    """The columns' gains when links are paid for, and what all the links bring at these prices."""
    gains, brings = np.asarray(problem.gains, dtype=float).copy(), 0.0
    for number in links:
        row, price = problem.rows[number], float(prices[number])
        side = row.high if price > 0 else row.low
        if price and np.isfinite(side):  # a price on a side that is not there is dust: it is left out
            gains[list(row.columns)] -= price * np.asarray(row.coefficients)
            brings += price * side
    return gains, brings


def problem_of(
    problem: Problem, part: Part, gains: np.ndarray, links: tuple[int, ...],
    lows: Sequence[float] | np.ndarray, highs: Sequence[float] | np.ndarray,
) -> Problem:  # fmt: skip
    """The part by itself at these gains of all columns, with what others at `lows` to `highs` leave of the links."""
    new = {column: number for number, column in enumerate(part.columns)}
    alone = Problem()
    for column in part.columns:
        alone.variable(gain=float(gains[column]), low=problem.lows[column],
                       high=min(problem.highs[column], MOST), whole=problem.integer[column])  # fmt: skip
    for number in (*part.rules, *links):
        row = problem.rows[number]
        terms, least, most = [], 0.0, 0.0
        for column, entry in zip(row.columns, row.coefficients, strict=True):
            if column in new:
                terms.append((new[column], entry))
            elif entry:  # else nothing is given, be the column without an end
                ends = entry * lows[column], entry * highs[column]
                least, most = least + min(ends), most + max(ends)
        if terms:
            alone.rule(row.sentence, terms, low=row.low - most, high=row.high - least)
    return alone
