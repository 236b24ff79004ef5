"""Week files that no shop would write: each ends in findings that name the slip, or in a plan that holds."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from gambrel.catalog.ways import Tree
from gambrel.files.reading import read_toml
from gambrel.measures import CannotDo, Entry, Finding, Findings
from gambrel.plan import PlanResult, Week, read_week, solve_week
from gambrel.plan.read_week import MOST
from gambrel.plan.shares import book_shares

ANIMAL = """
[[animal]]
id = "{id}"
kind = "grain-finished"
sex = "steer"
age_months = 18
hot = "{hot}"
killed = {killed}
"""

DEMAND = '[[demand]]\ncut = "{cut}"\nsteps = [{{ upto = "{upto}", price = "{price}" }}]\n'

ORDER = '[[order]]\nid = "{id}"\ncut = "{cut}"\nweight = "{weight}"\nprice = "9/kg"\nby = {by}\n'

GROUND = (
    '[[ground]]\nname = "{name}"\nspecies = "cattle"\nlean = {lean}\n'
    'steps = [{{ upto = "9kg", price = "9/kg" }}]\n'
)


STOCK = '[[stock]]\ncut = "{cut}"\nkind = "grain-finished"\nweight = "{weight}"\n{state}\n'

SHARE = '[[share]]\nid = "{id}"\nanimal = "{animal}"\nportion = "half"\nowner = "Rowan Ash"\n{more}\n'


def stock(*, cut: str = "top-round", weight: str = "2kg", state: str = "frozen = true") -> str:
    return STOCK.format(cut=cut, weight=weight, state=state)


def share(*, name: str = "S1", of: str = "C1", more: str = "") -> str:
    return SHARE.format(id=name, animal=of, more=more)


def animal(*, name: str = "C2", hot: str = "360kg", killed: str = "2026-02-27", more: str = "") -> str:
    return ANIMAL.format(id=name, hot=hot, killed=killed) + more + "\n"


def demand(*, cut: str = "neck-bones", upto: str = "9kg", price: str = "3/kg") -> str:
    return DEMAND.format(cut=cut, upto=upto, price=price)


def order(*, name: str = "1", cut: str = "top-round", weight: str = "2kg", by: str = "2026-03-16") -> str:
    return ORDER.format(id=name, cut=cut, weight=weight, by=by)


@pytest.fixture
def planned(small_tree: Tree, tmp_path: Path) -> Callable[[str], PlanResult]:
    """The file written, read as the command reads it, and planned with the little tree."""

    def plan(text: str) -> PlanResult:
        path = tmp_path / "week.toml"
        path.write_text(text, "utf-8")
        week = read_week(Entry(read_toml(path), "", Findings()))
        return solve_week(week, tree=small_tree, shares=book_shares, gap=0.005, seconds=20.0)

    return plan


def refused(planned: Callable[[str], PlanResult], text: str) -> tuple[Finding, ...]:
    with pytest.raises(CannotDo) as refusal:
        planned(text)
    return refusal.value.findings


def named(findings: tuple[Finding, ...], where: str, given: str, wanted: str) -> bool:
    """Whether one finding stands at `where` and holds both words."""
    return any(where == one.where and given in one.given and wanted in one.wanted for one in findings)


# What is added to a good week, and where the finding stands, what it was given and what it wanted.
ADDED = {
    # numbers below nothing
    "a demand below nothing": (demand(upto="-20kg"), "demand 9 (neck-bones), steps 1, upto", "-20kg", "0.001 kg"),
    "a demand of nothing": (demand(upto="0kg"), "demand 9 (neck-bones), steps 1, upto", "0kg", "0.001 kg"),
    "a price below nothing": (demand(price="-3/kg"), "demand 9 (neck-bones), steps 1, price", "-3/kg", ""),
    "an order below nothing": (order(weight="-4kg"), "order 1, weight", "-4kg", "at least 0.001 kg"),
    "a carcass below nothing": (animal(hot="-360kg"), "animal C2, hot", "-360kg", "at least 60 kg"),
    "days on the rail below nothing": (
        animal(more="hang_days = [-3, 10, 20]"), "animal C2, hang_days", "-3", "rising"),
    "an age below nothing": (animal(more="").replace("= 18", "= -18"), "animal C2, age_months", "-18", "at least 1"),
    # numbers beyond sense
    "a demand of a planet": (demand(upto="1e308kg"), "demand 9 (neck-bones), steps 1, upto", "1e308kg", "100,000 kg"),
    "a price past all money": (demand(price="9" * 30 + "/kg"), "demand 9 (neck-bones), steps 1, price", "999", ""),
    "an order of a planet": (order(weight="9" * 30 + "kg"), "order 1, weight", "999", "at most 100,000 kg"),
    "a carcass of a whale": (animal(hot="90000kg"), "animal C2, hot", "90000kg", "at most 900 kg"),
    "an age of four hundred digits": (
        animal().replace("= 18", "= " + "9" * 400), "animal C2, age_months", "999", "a whole number"),
    "an age that is no number": (animal().replace("= 18", "= nan"), "animal C2, age_months", "nan", "a whole number"),
    "an age without end": (animal().replace("= 18", "= inf"), "animal C2, age_months", "inf", "a whole number"),
    "fat without end": (animal(more='fat = "infmm"'), "animal C2, fat", "infmm", "a length"),
    "lean over a hundred": (GROUND.format(name="ground-beef-101", lean=101), "ground 2 (ground-beef-101), lean",
                            "101", "at most 100"),
    "shelf days without end": (demand() + "shelf_days = 4000", "demand 9 (neck-bones), shelf_days", "4000", "400"),
    # days
    "killed at the end of time": (animal(killed="9999-12-31"), "animal C2, killed", "9999-12-31", "within 120 days"),
    "killed at its beginning": (animal(killed="0001-01-01"), "animal C2, killed", "0001-01-01", "within 120 days"),
    "killed on a day there is not": (
        animal(killed='"2026-02-30"'), "animal C2, killed", "2026-02-30", "such as 2026-03-09"),
    "killed on a number": (animal(killed="20.26"), "animal C2, killed", "20.26", "such as 2026-03-09"),
    "an order for a day long gone": (order(by="0001-01-01"), "order 1, by", "0001-01-01", "2026-03-09 to 2026-03-22"),
    "an order for the end of time": (order(by="9999-12-31"), "order 1, by", "9999-12-31", "2026-03-09 to 2026-03-22"),
    "a pin before the kill": (animal(killed="2026-03-20", more="pin = { day = 2026-03-13 }"),
                              "animal C2, pin day", "2026-03-13", "after the kill"),
    "a pin on a closed day": (animal(more="pin = { day = 2026-03-10 }"),
                              "animal C2, pin day", "2026-03-10", "a cutting day"),
    "a pin at the end of time": (animal(more="pin = { day = 9999-12-31 }"),
                                 "animal C2, pin day", "9999-12-31", "a cutting day"),
    "a carcass past the loss figures": (
        animal(killed="2025-11-12"), "animal C2, day on the rail", "117", "0 to 55 days"),
    # names
    "an animal twice": (animal(name="C1"), "animal", "C1 2 times", "each animal once"),
    "an animal thrice": (animal(name="C1") * 2, "animal", "C1 3 times", "each animal once"),
    "an order twice": (order() * 2, "order", "1 2 times", "each order once"),
    "an order twice, each with another slip": (order(weight="-1kg") * 2, "order", "1 2 times", "each order once"),
    "a demand twice": (demand() * 2, "demand", "neck-bones (any) 2 times", "each demand once"),
    "a name of a thousand letters": (animal(name="x" * 1000), "animal 2, id", "xxx", "at most 40 characters"),
    "a name that steers the terminal": (animal(name="\\u001b[2J"), "animal 2, id", "[2J", "at most 40 characters"),
    "a cut there is not": (demand(cut="chuck-rolls"), "demand chuck-rolls (any), cut", "chuck-rolls", "a cut that"),
    "an order of a cut there is not": (order(cut="dragon-tail"), "order 1, cut", "dragon-tail", "a cut that"),
    "a kind there is not": (animal().replace("grain-f", "gravel-f"), "animal C2, kind", "gravel-finished", "one of"),
    # what is on hand, shares, the freezer, hours
    "stock below nothing": (stock(weight="-2kg"), "stock 1 (top-round), weight", "-2kg", "at least 0.001 kg"),
    "stock of a planet": (stock(weight="1e308kg"), "stock 1 (top-round), weight", "1e308kg", "at most 100,000 kg"),
    "stock that never was": (stock(cut="dragon-tail"), "stock dragon-tail (grain-finished) on hand, frozen, cut",
                             "dragon-tail", "a cut that"),
    "stock of no day": (stock(state=""), "stock 1 (top-round), use_by", "nothing", ""),
    "a share of nobody's animal": (share(of="C9"), "share S1, animal", "C9", "an animal of this file"),
    "three halves of one animal": (share() + share(name="S2", more='style = "boneless"\nby = 2026-03-20')
                                   + share(name="S3", more="by = 2026-03-18"), "share S3", "C1", "no more than"),
    "a share at the end of time": (share(more="by = 9999-12-31"), "share S1, by", "9999-12-31", "2026-03-22"),
    "a share paid for with a planet": (share(more='price = "' + "9" * 30 + '/kg"'), "share S1, price", "999", ""),
    "an arrival at the end of time": (animal(more="arrives = 9999-12-31"), "animal C2, arrives", "9999-12-31",
                                      "2026-02-27"),
    "a freezer of less than nothing": ('[freezer]\nholds = "-9kg"\n', "freezer, holds", "-9kg", "at least 0"),
    "freezing that pays": ('[freezer]\ncost = "-1/kg"\n', "freezer, cost", "-1/kg", ""),
    "hours on a day there is not": ('[hours.on.2026-02-30]\nknife = "1h"\n', "hours, on", "2026-02-30", "one of mon"),
    "overtime of a lifetime": ('[hours]\nknife = "1h"\n[overtime]\nknife = "999999h"\n', "overtime, knife",
                               "999999h", "at most"),
    "a room that is open for ever": ('[room]\nopen = "99h"\nknife = 1\n', "room, open", "99h", "at most"),
    # things of the wrong sort
    "a list for a weight": (animal().replace('"360kg"', '["360kg"]'), "animal C2, hot", "360kg", ""),
    "a table for a name": (animal().replace('"C2"', "{ a = 1 }"), "animal 2, id", "a", "one line"),
    "yes for a weight": (animal().replace('"360kg"', "true"), "animal C2, hot", "True", ""),
    "no side": (animal(more="sides = []"), "animal C2, sides", "[]", "left"),
    "the left side twice": (animal(more='sides = ["left", "left"]'), "animal C2, sides", "left", "left"),
    "no steps": (
        '[[demand]]\ncut = "neck-bones"\nsteps = []\n',
        "demand 9 (neck-bones), steps", "none", "at least one"),
    "prices that rise": (
        '[[demand]]\ncut = "neck-bones"\nsteps = [{ upto = "2kg", price = "1/kg" },{ upto = "3kg", price = "2/kg" }]',
        "demand 9 (neck-bones), steps 2, price", "2/kg", "no more than the step before"),
    "every way of a piece shut": (animal(more='ways_forbidden = { forequarter = ["whole", "bone-in", "boneless"] }'),
                                  "animal C2, ways_forbidden", "every way of forequarter", "at least one way"),
}  # fmt: skip


@pytest.mark.parametrize("name", ADDED)
def test_a_slip_added_to_a_good_week_is_named(
    name: str, planned: Callable[[str], PlanResult], parts: dict[str, str]
) -> None:
    text, where, given, wanted = ADDED[name]
    counter = parts["counter"].replace('"top-round"\nsteps', '"top-round"\nspecies = "cattle"\nsteps')
    filler = demand(cut="chine-bones")  # the eighth demand, so that what is added is the ninth
    findings = refused(planned, parts["shop"] + parts["steer"] + counter + filler + text)
    assert named(findings, where, given, wanted), [one.sentence() for one in findings]


# What is changed in the good week's shop.
CHANGED = {
    "no days": ("days = 14", "days = 0", "shop, days", "0", "at least 1"),
    "days below nothing": ("days = 14", "days = -14", "shop, days", "-14", "at least 1"),
    "a plan of a lifetime": ("days = 14", "days = 30000", "shop, days", "30000", "at most 60"),
    "a start at the end of time": ("2026-03-09", "9999-12-31", "shop, start", "9999-12-31", "year 9000"),
    "no cutting day": ('["mon", "wed", "fri"]', "[]", "shop, cutting_days", "[]", "a list out of"),
    "a day there is not": (
        "days = 14",
        'days = 14\nclosed = ["2026-02-30"]',
        "shop, closed",
        "2026-02-30",
        "a list",
    ),
    "closed for good": ("days = 14", "days = 14\nclosed = true", "shop, closed", "True", "a list of days"),
    "closed at noon": (
        "days = 14",
        "days = 14\nclosed = [2026-03-13T12:00:00]",
        "shop, closed",
        "2026",
        "a list",
    ),
    "a rail below nothing": ('"6m"', '"-6m"', "shop, rail", "-6m", "at least 0"),
    "a rail round the world": ('"6m"', '"40000km"', "shop, rail", "40000km", ""),
    "sides of no width": ('"0.6m"', '"0m"', "shop, rail_per_side", "0m", "at least 50"),
    "a wage past all money": ("$24.00", "$" + "9" * 25, "wages, per_hour", "999", "at most"),
    "a wage below nothing": ("$24.00", "-$24.00", "wages, per_hour", "24.00", ""),
    "hauling that pays": ("0.10/kg", "-0.10/kg", "shop, waste", "-0.10/kg", ""),
}


@pytest.mark.parametrize("name", CHANGED)
def test_a_slip_in_the_shop_is_named(
    name: str, planned: Callable[[str], PlanResult], parts: dict[str, str]
) -> None:
    before, after, where, given, wanted = CHANGED[name]
    assert before in parts["shop"]
    text = parts["shop"].replace(before, after) + parts["steer"] + parts["counter"]
    findings = refused(planned, text)
    assert named(findings, where, given, wanted), [one.sentence() for one in findings]


MANY = {
    "animal": lambda number: animal(name=f"D{number}", hot="-1kg"),
    "demand": lambda number: demand(cut=f"chuck-rol{number}"),
    "ground": lambda number: GROUND.format(name=f"ground-beef-{number}", lean=20),
    "order": lambda number: order(name=f"{number}", cut=f"chuck-rol{number}"),
    "stock": lambda number: stock(cut=f"chuck-rol{number}"),
    "share": lambda number: share(name=f"S{number}"),
}


@pytest.mark.parametrize("name", MANY)
def test_more_than_a_plan_can_hold_is_one_finding_and_no_reckoning(
    name: str, planned: Callable[[str], PlanResult], parts: dict[str, str]
) -> None:
    count = 5000  # animals: ten thousand sides
    findings = refused(planned, parts["shop"] + "".join(MANY[name](number) for number in range(count))
                       + ("" if name == "animal" else parts["steer"]))  # fmt: skip
    assert [(one.where, one.given) for one in findings] == [(name, f"{count} of them")]
    assert f"at most {MOST[name]} in one plan" == findings[0].wanted


def test_as_many_as_a_plan_can_hold_are_read(read: Callable[[str], Week], parts: dict[str, str]) -> None:
    week = read(parts["shop"] + "".join(animal(name=f"D{number}") for number in range(MOST["animal"])))
    assert len(week.animals) == MOST["animal"]


def test_ten_thousand_unknown_fields_are_ten_thousand_findings(
    planned: Callable[[str], PlanResult], parts: dict[str, str]
) -> None:
    fields = "".join(f"f{number} = 1\n" for number in range(10_000))
    findings = refused(planned, parts["shop"] + parts["steer"] + fields)
    assert [one.where for one in findings] == [f"animal C1, f{number}" for number in range(10_000)]


@pytest.mark.parametrize(
    ("text", "given"),
    [
        ("x = " + "[" * 3000 + "]" * 3000, "brackets within brackets"),
        ("x = " + "9" * 5000, "digits"),
        ("x = ", "Invalid value"),
        ("[shop]\n[shop]\n", "shop"),
    ],
)
def test_writing_that_breaks_is_told_of_the_file(
    text: str, given: str, planned: Callable[[str], PlanResult]
) -> None:
    (finding,) = refused(planned, text)
    assert finding.where.endswith("week.toml")
    assert given in finding.given


def test_an_empty_file_wants_a_shop_and_an_animal(planned: Callable[[str], PlanResult]) -> None:
    places = [one.where for one in refused(planned, "# nothing yet\n")]
    assert {"shop, start", "shop, days", "animal"} <= set(places)


def test_where_nothing_brings_anything_the_plan_is_the_least_work(
    planned: Callable[[str], PlanResult], parts: dict[str, str]
) -> None:
    free = "".join(demand(cut=cut, price="0/kg") for cut in ("top-round", "chuck-roll", "strip-steak"))
    plan = planned(parts["shop"] + parts["steer"] + free)
    assert plan.status in ("optimal", "within-gap")
    money = plan.money
    assert money.counter_cents == money.orders_cents == 0
    assert plan.profit_cents == money.wages_cents + money.hauling_cents + money.surplus_cents < 0


def test_where_no_window_holds_a_cutting_day_every_side_hangs_on(
    planned: Callable[[str], PlanResult], parts: dict[str, str]
) -> None:
    young = parts["steer"].replace("2026-02-27", "2026-03-22")
    plan = planned(parts["shop"] + young + parts["counter"])
    assert plan.status == "optimal"
    assert [side.day for side in plan.sides] == [None, None]
    assert plan.profit_cents == 0


@pytest.mark.parametrize(
    ("before", "after", "where"),
    [
        ('rail = "6m"', 'rail = "0m"', "metres of rail"),
        ("[wages]", '[hours]\nsaw = "0min"\nknife = "0min"\npacker = "0min"\n[wages]', "hours on"),
    ],
)
def test_no_rail_or_no_hours_at_all_is_a_clash_that_names_them(
    before: str, after: str, where: str, planned: Callable[[str], PlanResult], parts: dict[str, str]
) -> None:
    plan = planned(parts["shop"].replace(before, after) + parts["steer"] + parts["counter"])
    assert plan.status == "no-plan"
    assert any(where in one.where for one in plan.findings)
