"""Meat on hand, fresh and frozen, and the freezer: worked by hand beside a side whose day and ways are settled."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date

import pytest

from gambrel.catalog.ways import Tree
from gambrel.measures import CannotDo
from gambrel.plan import PlanResult, Week
from gambrel.plan.check import BadPlan, check_plan
from gambrel.plan.questions.week_changes import week_changes
from gambrel.plan.questions.why import Solver
from gambrel.plan.shares import book_shares
from gambrel.plan.tell import product_lines, to_json
from gambrel.plan.week import Freezer

Read = Callable[[str], Week]

RIBS = """
[[demand]]
cut = "short-ribs"
kind = "grain-finished"
steps = [{ upto = "4kg", price = "20.00/kg" }]
salvage = "3.00/kg"
"""

FROZEN_RIBS = """
[[demand]]
cut = "short-ribs"
kind = "grain-finished"
frozen = true
kept = "11.00/kg"
steps = [{ upto = "5kg", price = "15.00/kg" }]
"""


def stock(weight: str, state: str, cut: str = "short-ribs") -> str:
    return f'\n[[stock]]\ncut = "{cut}"\nkind = "grain-finished"\nweight = "{weight}"\n{state}\n'


def week_of(read: Read, parts: dict[str, str], more: str) -> Week:
    """A side that gives no short ribs: all there are lie on hand. The plan's weeks begin on March 9 and 16."""
    return read(parts["shop"] + parts["steer"] + parts["settled"] + more)


def ribs(plan: PlanResult) -> dict[tuple[str, int | None], float]:
    """Kilograms of short ribs by where they go and in which week."""
    return {(move.to, move.week): pytest.approx(move.kg) for move in plan.moves if move.slug == "short-ribs"}


@pytest.mark.parametrize(
    ("more", "goes", "cents"),
    [
        # Fresh to the 15th: 4 kg in the first week, the second comes too late, 6 kg to salvage.
        (RIBS + stock("10kg", "use_by = 2026-03-15"), {("counter", 1): 4.0, ("surplus", None): 6.0}, 9_800),
        # Fresh to the 16th, the first day of the second week: 4 kg in each.
        (RIBS + stock("10kg", "use_by = 2026-03-16"),
         {("counter", 1): 4.0, ("counter", 2): 4.0, ("surplus", None): 2.0}, 16_600),
        # Frozen meat is not sold as fresh, nor thrown away: it stays where it is, worth nothing that was said.
        (RIBS + stock("10kg", "frozen = true"), {("kept", None): 10.0}, 0),
        # Frozen: 5 kg a week at 15.00; 2 kg kept, worth 11.00.
        (FROZEN_RIBS + stock("12kg", "frozen = true"),
         {("counter", 1): 5.0, ("counter", 2): 5.0, ("kept", None): 2.0}, 17_200),
        # Fresh on hand may be frozen at the start, for 1.00/kg: 5 and 5 kg net of it, 2 kg kept at 11.00.
        ('[freezer]\ncost = "1.00/kg"\n' + FROZEN_RIBS + stock("12kg", "use_by = 2026-03-09"),
         {("counter", 1): 5.0, ("counter", 2): 5.0, ("kept", None): 2.0}, 16_000),
        # The freezer holds 4 kg: after the first week 4 kg for the second; the rest hauled away for 0.10/kg.
        ('[freezer]\nholds = "4kg"\n' + FROZEN_RIBS + stock("12kg", "frozen = true"),
         {("counter", 1): 5.0, ("counter", 2): 4.0, ("surplus", None): 3.0}, 13_470),
    ],
)  # fmt: skip
def test_what_is_on_hand_is_sold_in_its_days(
    more: str,
    goes: dict[tuple[str, int | None], float],
    cents: int,
    read: Read,
    parts: dict[str, str],
    solve: Solver,
) -> None:
    week = week_of(read, parts, more)
    plan = solve(week)
    bare = solve(replace(week, stock=()))
    assert ribs(plan) == goes
    assert plan.profit_cents - bare.profit_cents == pytest.approx(cents, abs=2)


def test_what_is_cut_may_be_frozen_for_a_later_week(read: Read, parts: dict[str, str], solve: Solver) -> None:
    """Cut on the 13th, fresh to the 14th only: what the first week does not buy is frozen, for 1.00/kg."""
    roll = '[[demand]]\ncut = "chuck-roll"\nkind = "grain-finished"\nsteps = [{ upto = "10kg", price = "20.00/kg" }]\n'
    more = ('[freezer]\nholds = "200kg"\ncost = "1.00/kg"\n' + roll + "shelf_days = 1\n"
            + roll.replace("20.00", "14.00") + 'frozen = true\nkept = "6.00/kg"\n')  # fmt: skip
    plan = solve(week_of(read, parts, more))
    made_kg = plan.sides[0].weight_kg * 0.50 * 0.40
    goes = {(move.taker, move.week): move.kg for move in plan.moves if move.slug == "chuck-roll"}
    assert goes == {(0, 1): pytest.approx(10.0), (1, 1): pytest.approx(10.0), (1, 2): pytest.approx(10.0),
                    (None, None): pytest.approx(made_kg - 30.0)}  # fmt: skip
    frozen_kg = made_kg - 10.0
    assert plan.money.freezing_cents == pytest.approx(-100 * frozen_kg, abs=1)
    assert plan.freezer == (pytest.approx(frozen_kg - 10.0), pytest.approx(frozen_kg - 20.0))
    frozen = next(
        line for line in product_lines(week_of(read, parts, more), plan) if line.group.endswith("frozen")
    )
    assert frozen.sold_kg == pytest.approx(20.0) and frozen.leftover_kg == pytest.approx(made_kg - 30.0)
    assert [one["limit_kg"] for one in to_json(week_of(read, parts, more), plan)["freezer"]] == [200.0, 200.0]


def test_an_order_takes_fresh_meat_on_hand_and_no_frozen(
    read: Read, parts: dict[str, str], solve: Solver
) -> None:
    order = ('[[order]]\nid = "17"\ncut = "short-ribs"\nkind = "grain-finished"\nweight = "6kg"\nby = 2026-03-12\n'
             'price = "22.00/kg"\n')  # fmt: skip
    fresh = solve(week_of(read, parts, order + stock("8kg", "use_by = 2026-03-12")))
    assert ribs(fresh) == {("order", None): 6.0, ("surplus", None): 2.0}
    late = solve(week_of(read, parts, order + stock("8kg", "use_by = 2026-03-11")))
    few = solve(week_of(read, parts, order + stock("5kg", "use_by = 2026-03-12")))
    frozen = solve(week_of(read, parts, order + stock("8kg", "frozen = true")))
    assert [plan.status for plan in (late, few, frozen)] == ["no-plan"] * 3
    assert few.findings[0].given == "what is on hand gives 5.0 kg, and no side may serve it"


def test_meat_past_its_day_is_told_and_left_out(read: Read, parts: dict[str, str], solve: Solver) -> None:
    week = week_of(read, parts, RIBS + stock("8kg", "use_by = 2026-03-08"))
    plan = solve(week)
    assert not ribs(plan)
    assert any("past its last day" in finding.given for finding in plan.findings)


@pytest.fixture
def stocked(read: Read, parts: dict[str, str], solve: Solver) -> tuple[Week, PlanResult]:
    more = ('[freezer]\nholds = "30kg"\ncost = "1.00/kg"\n' + RIBS + FROZEN_RIBS + stock("9kg", "frozen = true")
            + stock("7kg", "use_by = 2026-03-10"))  # fmt: skip
    week = week_of(read, parts, more)
    return week, solve(week)


def test_the_check_weighs_stock_and_freezer_again(stocked: tuple[Week, PlanResult], small_tree: Tree) -> None:
    week, plan = stocked
    shares = {one.id: book_shares(one.animal, small_tree) for one in week.animals}
    check_plan(week, small_tree, shares, plan)

    def with_moves(**changes: object) -> PlanResult:
        moves = tuple(replace(one, **changes) if one.origin.stock == 0 and one.to == "counter" else one  # type: ignore[arg-type]
                      for one in plan.moves)  # fmt: skip
        return replace(plan, moves=moves)

    fresh = next(number for number, one in enumerate(week.demands) if not one.frozen)
    wrongs = {
        "used": with_moves(kg=0.5),
        "is fresh": with_moves(taker=fresh),
        "keeps its inspection": with_moves(origin=replace(plan.moves[-1].origin, stock=0, inspected="state")),
        "counted right": replace(plan, freezer=(0.0, 0.0)),
        "freezing is": replace(plan, money=replace(plan.money, freezing_cents=-1)),
        "worth what is said": replace(plan, surplus=tuple(
            replace(one, price_cents_per_kg=1.0) if one.kept else one for one in plan.surplus)),
    }  # fmt: skip
    for sentence, wrong in wrongs.items():
        with pytest.raises(BadPlan, match=sentence):
            check_plan(week, small_tree, shares, wrong)
    small = replace(week, shop=replace(week.shop, freezer=Freezer(2.0, week.shop.freezer.cost_cents_per_kg)))
    with pytest.raises(BadPlan, match="in the freezer after week"):
        check_plan(small, small_tree, shares, plan)
    older = replace(week, stock=(week.stock[0], replace(week.stock[1], use_by=date(2026, 3, 8))))
    with pytest.raises(BadPlan, match="are used"):
        check_plan(older, small_tree, shares, plan)


def test_a_full_freezer_holds_the_plan_back(read: Read, parts: dict[str, str], solve: Solver) -> None:
    """One kilogram more of room keeps one more for the second week at 15.00, instead of hauling it for 0.10."""
    more = (
        '[freezer]\nholds = "4kg"\n' + FROZEN_RIBS.replace("kept", "# kept") + stock("12kg", "frozen = true")
    )
    plan = solve(week_of(read, parts, more))
    told = {one.rule: one.worth_cents for one in plan.binding if "freezer" in one.rule}
    assert told == {"kilograms in the freezer after week 1": pytest.approx(1510.0)}


def test_what_changed_on_hand_is_told(read: Read, parts: dict[str, str]) -> None:
    before = week_of(read, parts, RIBS + stock("8kg", "frozen = true"))
    after = week_of(read, parts, '[freezer]\nholds = "90kg"\n' + RIBS + stock("5kg", "frozen = true")
                    + stock("4kg", "frozen = true") + stock("2kg", "use_by = 2026-03-12"))  # fmt: skip
    told = {change.of: (change.before, change.after) for change in week_changes(before, after)}
    name = "short-ribs (grain-finished) on hand, "
    assert told == {name + "frozen": ("8.0 kg", "9.0 kg"), name + "use by 2026-03-12": (None, "2.0 kg"),
                    "in the freezer": (None, "room for 90.0 kg")}  # fmt: skip


@pytest.mark.parametrize(
    ("more", "wrong"),
    [
        (stock("8", "frozen = true"), "weight"),
        (stock("-8kg", "frozen = true"), "weight"),
        (stock("8kg", ""), "use_by"),
        (stock("8kg", 'frozen = "perhaps"'), "frozen"),
        (stock("8kg", 'frozen = true\ninspected = "custom"'), "inspected"),
        (stock("8kg", "frozen = true").replace('kind = "grain-finished"\n', ""), "kind"),
        (stock("8kg", 'frozen = true\nowner = "Rowan"'), "owner"),
        (RIBS + 'kept = "9.00/kg"\n', "kept"),
        ('[freezer]\nholds = "-1kg"\n', "holds"),
        ('[freezer]\ncost = "12"\n', "cost"),
        ('[freezer]\nlid = "open"\n', "lid"),
    ],
)
def test_stock_that_cannot_be_is_found(more: str, wrong: str, read: Read, parts: dict[str, str]) -> None:
    with pytest.raises(CannotDo) as refused:
        week_of(read, parts, more)
    assert any(finding.where.endswith(wrong) for finding in refused.value.findings), refused.value.findings


def test_an_unknown_cut_on_hand_is_a_slip(read: Read, parts: dict[str, str], solve: Solver) -> None:
    with pytest.raises(CannotDo) as refused:
        solve(week_of(read, parts, stock("8kg", "frozen = true", cut="short-rib")))
    assert refused.value.findings[0].do == "Did you mean short-ribs?"
