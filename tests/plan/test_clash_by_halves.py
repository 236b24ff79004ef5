"""The smallest clash against every subset there is: which orders clash is given, and the planner is a table."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable
from dataclasses import replace
from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from gambrel.catalog.ways import Tree
from gambrel.measures import CannotDo, Finding
from gambrel.plan import PlanResult, Week, solve_week
from gambrel.plan.questions.clash_set import clash_finding, promises_of, smallest_clash
from gambrel.plan.shares import book_shares

Read = Callable[[str], Week]
Clashes = tuple[frozenset[int], ...]

ORDERS = 9
ORDER = '[[order]]\nid = "{}"\ncut = "short-ribs"\nweight = "1kg"\nby = 2026-03-16\nprice = "20/kg"\n'


class Table:
    """A planner that knows which orders clash, and counts what it is asked."""

    def __init__(self, clashes: Clashes) -> None:
        self.clashes, self.asked = clashes, 0

    def __call__(self, week: Week) -> PlanResult:
        self.asked += 1
        there = {int(one.id) for one in week.orders}
        kept = not any(clash <= there for clash in self.clashes)
        return PlanResult("optimal" if kept else "no-plan", 0, 0.0, 0.0)


def least(clashes: Clashes) -> set[frozenset[int]]:
    """Of the clashes those with no other inside, found by trying every subset of the orders."""
    found: set[frozenset[int]] = set()
    for size in range(1, ORDERS + 1):
        for some in itertools.combinations(range(ORDERS), size):
            tried = frozenset(some)
            if any(clash <= tried for clash in clashes) and not any(one < tried for one in found):
                found.add(tried)
    return found


@pytest.fixture(scope="module")
def crowded(read: Read) -> Week:
    """Nine orders, hours, rail and an animal: a dozen promises."""
    shop = '[shop]\nstart = 2026-03-09\ndays = 14\nrail = "6m"\n[hours]\nknife = "8h"\n'
    steer = (
        '[[animal]]\nid = "C1"\nkind = "grain-finished"\nsex = "steer"\nhot = "360kg"\nkilled = 2026-02-27\n'
    )
    demand = '[[demand]]\ncut = "top-round"\nsteps = [{ upto = "9kg", price = "9/kg" }]\n'
    return read(shop + steer + demand + "".join(ORDER.format(number) for number in range(ORDERS)))


@settings(max_examples=150, deadline=None)
@given(
    clashes=st.lists(
        st.frozensets(st.integers(0, ORDERS - 1), min_size=1, max_size=5), min_size=1, max_size=4
    )
)
def test_what_is_found_is_a_least_clash_and_few_questions_are_asked(
    clashes: list[frozenset[int]], crowded: Week
) -> None:
    solve = Table(tuple(clashes))
    found = smallest_clash(crowded, solve)
    assert {one.what for one in found} == {"order"}
    names = frozenset(int(one.of) for one in found)
    assert len(names) == len(found)
    assert names in least(tuple(clashes))
    # By halves: at most 2 k log2(n / k) + 2 k questions for k of n [Junker, AAAI 2004, from memory], and two before.
    n, k = len(promises_of(crowded)), len(found)
    assert solve.asked <= 2 * k * (math.ceil(math.log2(n / k)) + 1) + 2


@settings(max_examples=60, deadline=None)
@given(clash=st.frozensets(st.integers(0, ORDERS - 1), min_size=1, max_size=6))
def test_giving_way_on_any_one_of_a_single_clash_makes_a_plan(clash: frozenset[int], crowded: Week) -> None:
    found = smallest_clash(crowded, Table((clash,)))
    assert {int(one.of) for one in found} == clash
    told = clash_finding(found)
    assert all(f"order {number}," in told.given for number in clash)
    for one in found:
        assert Table((clash,))(one.given_way(crowded)).status == "optimal"


def test_a_week_that_no_giving_way_mends_has_no_clash_to_name(crowded: Week) -> None:
    assert smallest_clash(crowded, lambda _: PlanResult("no-plan", 0, 0.0, 0.0)) == ()


def test_a_question_that_runs_out_of_time_counts_as_kept(crowded: Week) -> None:
    assert smallest_clash(crowded, lambda _: PlanResult("time-limit", 0, 0.0, 0.0)) == ()


def test_a_slip_is_no_clash(crowded: Week) -> None:
    def slips(_: Week) -> PlanResult:
        raise CannotDo([Finding("animal C1, pin day", "Sunday", "a cutting day", "Move the pin.")])

    assert smallest_clash(crowded, slips) == ()


def test_orders_that_may_be_left_are_no_promises(crowded: Week) -> None:
    free = replace(crowded, orders=tuple(replace(one, must=False) for one in crowded.orders))
    assert {one.what for one in promises_of(free)} == {"hours", "rail", "cut by"}


def test_an_animal_is_not_left_to_hang_beyond_what_is_known_of_its_loss(
    read: Read, parts: dict[str, str], small_tree: Tree
) -> None:
    """Bison killed on 22 February: its loss is known for 28 days, to the plan's last day and no further.

    A minute a day is too little to cut it. More hours make a plan; hanging longer does not, for it has to be cut.
    """
    bison = (
        '[[animal]]\nid = "B1"\nkind = "bison"\nsex = "bull"\nhot = "300kg"\nkilled = 2026-02-22\n'
        "hang_days = [10, 14, 18]\n"
    )
    week = read(parts["shop"] + '[hours]\nsaw = "1min"\n' + bison + parts["counter"])
    found = smallest_clash(week, lambda one: solve_week(one, tree=small_tree, shares=book_shares, gap=1.0))
    assert [(one.what, one.of) for one in found] == [("hours", "saw")]


@pytest.mark.parametrize(
    ("killed", "days", "latest"),
    [
        (date(2026, 2, 27), (10, 14, 21), 24),  # 22 March is day 23, the day after it 24
        (
            date(2026, 1, 20),
            (10, 14, 60),
            60,
        ),  # what the shop said already is longer than any figure: it stays
        (date(2026, 2, 27), (10, 14, 40), 40),
    ],
)
def test_given_way_on_its_latest_day_an_animal_may_hang_past_the_plan(
    killed: date, days: tuple[int, int, int], latest: int, crowded: Week
) -> None:
    steer = replace(crowded.animals[0], killed=killed, hang_days=days)
    week = replace(crowded, animals=(steer,))
    (longer,) = [one for one in promises_of(week) if one.what == "cut by"]
    assert longer.given_way(week).animals[0].hang_days == (*days[:2], latest)
    assert longer.sentence == f"C1 hangs {days[2]} days at most"
