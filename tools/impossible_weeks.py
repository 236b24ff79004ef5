"""Weeks made impossible in ways that are known, and whether the planner names the promise that is broken.

    python tools/impossible_weeks.py 300

makes so many weeks, plans each, and prints a table by kind of impossibility: how many had no plan, in how many the
sentences name a promise that is truly at odds, in how many the smallest set is the one that was made to clash, and in
how many giving way on each one of the set makes a plan.
"""

from __future__ import annotations

import random
import sys
import tomllib
from collections.abc import Callable
from dataclasses import dataclass, replace

from gambrel.catalog.ways import shipped_tree
from gambrel.measures import Entry, Findings
from gambrel.plan import PlanResult, Week, read_week, solve_week
from gambrel.plan.questions.clash_set import Promise, smallest_clash

SHOP = """
[shop]
name = "Cottonwood Bend"
start = 2026-03-09
days = 14
cutting_days = ["mon", "wed", "fri"]
rail = "{rail}m"
rail_per_side = "0.6m"
waste = "0.10/kg"
[wages]
per_hour = "$24.00"
"""

ANIMAL = """
[[animal]]
id = "{id}"
kind = "{kind}"
sex = "{sex}"
age_months = {age}
hot = "{hot}kg"
killed = 2026-{killed}
inspected = "{inspected}"
hang_days = [{days}]
{more}
"""

COUNTER = """
[[demand]]
cut = "ribeye-steak"
steps = [{ upto = "20kg", price = "50/kg" }]
[[demand]]
cut = "strip-steak"
steps = [{ upto = "20kg", price = "45/kg" }]
[[demand]]
cut = "brisket-whole"
steps = [{ upto = "20kg", price = "18/kg" }]
"""

ORDER = """
[[order]]
id = "{id}"
cut = "{cut}"
{who}
weight = "{kg:.2f}kg"
by = 2026-{by}
price = "20/kg"
shelf_days = 20
{more}
"""

CATTLE = ("grain-finished", "grass-finished", "wagyu")
READY = "02-27"
"""Killed then, an animal may be cut on every day of the plan."""


@dataclass(frozen=True, slots=True)
class Impossible:
    """A week without a plan, and what clashes in it: (what, of) of each promise."""

    how: str
    week: Week
    clash: frozenset[tuple[str, str]]


def solve(week: Week) -> PlanResult:
    """Any plan will do: only whether there is one is asked."""
    return solve_week(week, tree=shipped_tree(), gap=1.0, seconds=30.0, threads=1)


def animal(luck: random.Random, name: str = "A1", **fields: object) -> str:
    usual: dict[str, object] = {
        "id": name, "kind": luck.choice(CATTLE), "sex": "steer", "age": luck.randint(15, 27),
        "hot": luck.randint(280, 420), "killed": READY, "inspected": "federal", "days": "10, 14, 24", "more": "",
    }  # fmt: skip
    return ANIMAL.format(**{**usual, **fields})


def order(
    name: str, cut: str, kg: float, *, by: str = "03-20", who: str = 'species = "cattle"', more: str = ""
) -> str:
    return ORDER.format(id=name, cut=cut, kg=kg, by=by, who=who, more=more)


def week_of(*texts: str, rail_m: float = 9.0) -> Week:
    text = SHOP.format(rail=rail_m) + "".join(texts) + COUNTER
    return read_week(Entry(tomllib.loads(text), "", Findings()))


def most_kg(cut: str, *texts: str) -> float:
    """The most of a cut that the animals of `texts` can give: what is sold when it is the only thing of worth."""
    dear = f'[[demand]]\ncut = "{cut}"\nsteps = [{{ upto = "9999kg", price = "9000/kg" }}]\nshelf_days = 20\n'
    week = read_week(Entry(tomllib.loads(SHOP.format(rail=9) + "".join(texts) + dear), "", Findings()))
    plan = solve_week(week, tree=shipped_tree(), gap=1e-4, threads=1)
    return sum(sale.kg for sale in plan.sales)


def too_much(luck: random.Random) -> Impossible:
    one = animal(luck)
    kg = most_kg("ribeye-steak", one) * luck.uniform(1.05, 3.0)
    return Impossible(
        "one order beyond the animal", week_of(one, order("17", "ribeye-steak", kg)), _orders("17")
    )


def no_such_kind(luck: random.Random) -> Impossible:
    text = order("17", "ribeye-steak", luck.uniform(1, 9), who='kind = "bison"')
    return Impossible("an order of a kind that does not hang", week_of(animal(luck), text), _orders("17"))


def too_early(luck: random.Random) -> Impossible:
    text = order("17", "brisket-whole", luck.uniform(1, 3), by="03-10")
    one = animal(luck, killed=f"03-0{luck.randint(4, 7)}")
    return Impossible("an order before anything is ready", week_of(one, text), _orders("17"))


def either_or(luck: random.Random) -> Impossible:
    """Bone-in short loin of more than one side, and boneless strip of more than one side, from two sides."""
    one = animal(luck)
    first, second = (
        most_kg(cut, one) * luck.uniform(0.55, 0.95) for cut in ("short-loin-short-cut", "strip-loin")
    )
    texts = (one, order("17", "short-loin-short-cut", first), order("18", "strip-loin", second))
    return Impossible("two orders from one piece", week_of(*texts), _orders("17", "18"))


def twice_promised(luck: random.Random) -> Impossible:
    one = animal(luck)
    most = most_kg("ribeye-steak", one)
    texts = (
        one,
        order("17", "ribeye-steak", most * 0.55),
        order("18", "ribeye-steak", most * luck.uniform(0.5, 0.9)),
    )
    return Impossible("a cut promised twice", week_of(*texts), _orders("17", "18"))


def hours_and_pin(luck: random.Random) -> Impossible:
    one = animal(luck, more="pin = { day = 2026-03-13 }")
    week = week_of(one, f'[hours]\npacker = "{luck.randint(1, 3)}min"\n')
    return Impossible(
        "a settled day without the hours", week, frozenset((("hours", "packer"), ("settled", "A1")))
    )


def hours_and_latest(luck: random.Random) -> Impossible:
    one = animal(luck, days=f"10, 14, {luck.randint(16, 20)}")
    week = week_of(one, f'[hours]\npacker = "{luck.randint(1, 3)}min"\n')
    return Impossible(
        "a latest day without the hours", week, frozenset((("hours", "packer"), ("cut by", "A1")))
    )


def short_rail(luck: random.Random) -> Impossible:
    week = week_of(animal(luck), rail_m=luck.choice((0.3, 0.7, 1.1)))
    return Impossible("a rail too short on the first day", week, frozenset((("rail", ""),)))


def rail_and_pin(luck: random.Random) -> Impossible:
    late = animal(luck, more="pin = { day = 2026-03-20 }")
    week = week_of(
        late, animal(luck, "A2", killed=f"03-{luck.randint(12, 16)}"), rail_m=luck.choice((1.3, 1.9))
    )
    return Impossible(
        "a settled day that keeps the rail full", week, frozenset((("rail", ""), ("settled", "A1")))
    )


def pinned_way(luck: random.Random) -> Impossible:
    one = animal(luck, more='pin = { ways = { short-loin = "boneless" } }')
    week = week_of(one, order("17", "short-loin-short-cut", luck.uniform(1, 5)))
    return Impossible("a settled way against an order", week, _orders("17") | {("settled", "A1")})


def forbidden_way(luck: random.Random) -> Impossible:
    one = animal(luck, more='ways_forbidden = { short-loin = ["bone-in"] }')
    week = week_of(one, order("17", "short-loin-short-cut", luck.uniform(1, 5)))
    return Impossible("a forbidden way against an order", week, _orders("17") | {("ways", "A1")})


def unlawful(luck: random.Random) -> Impossible:
    one = animal(luck, age=luck.randint(30, 90))
    week = week_of(one, order("17", "short-loin-short-cut", luck.uniform(1, 5)))
    return Impossible("backbone of an older animal", week, _orders("17"))


def out_of_state(luck: random.Random) -> Impossible:
    one = animal(luck, inspected="state")
    week = week_of(one, order("17", "brisket-whole", luck.uniform(1, 3), more="out_of_state = true"))
    return Impossible("state inspected, ordered from another state", week, _orders("17"))


def custom_only(luck: random.Random) -> Impossible:
    one = animal(luck, inspected="custom", more='owner = "a neighbour"')
    return Impossible(
        "only a customer's own animal", week_of(one, order("17", "brisket-whole", 2.0)), _orders("17")
    )


def order_and_hours(luck: random.Random) -> Impossible:
    one = animal(luck)
    kg = most_kg("strip-steak", one) * luck.uniform(0.6, 0.9)
    week = week_of(one, '[hours]\nknife = "1min"\n', order("17", "strip-steak", kg))
    return Impossible("an order without the knife's hours", week, _orders("17") | {("hours", "knife")})


def _orders(*names: str) -> frozenset[tuple[str, str]]:
    return frozenset(("order", name) for name in names)


WAYS: tuple[Callable[[random.Random], Impossible], ...] = (
    too_much, no_such_kind, too_early, either_or, twice_promised, hours_and_pin, hours_and_latest, short_rail,
    rail_and_pin, pinned_way, forbidden_way, unlawful, out_of_state, custom_only, order_and_hours,
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Judged:
    """One week planned: has it no plan, do the sentences name what is at odds, is the set right, and least."""

    has_no_plan: bool
    named: bool
    right_set: bool
    irreducible: bool
    found: tuple[Promise, ...]
    sentences: tuple[str, ...]


def judge(case: Impossible) -> Judged:
    plan = solve(case.week)
    found = smallest_clash(case.week, solve)
    names = frozenset((one.what, one.of) for one in found)
    sentences = tuple(one.sentence() for one in plan.findings)
    least = bool(found) and all(_makes_a_plan(case.week, found, one) for one in found)
    return Judged(
        plan.status == "no-plan", _named(case, sentences), names == case.clash, least, found, sentences
    )


def _named(case: Impossible, sentences: tuple[str, ...]) -> bool:
    """Whether a sentence begins with one of the promises that clash: order 17, packer hours, metres of rail, A1."""
    starts = {"order": "order {}:", "hours": "{} hours on", "rail": "metres of rail", "cut by": "side {}",
              "settled": "animal {}", "ways": "animal {}"}  # fmt: skip
    wanted = [starts[what].format(of) for what, of in case.clash]
    return any(sentence.startswith(start) for sentence in sentences for start in wanted)


def _makes_a_plan(week: Week, clash: tuple[Promise, ...], given_way: Promise) -> bool:
    """Only the clash is kept and nothing else, less one: a plan must exist then."""
    eased = replace(
        week, orders=tuple(one for one in week.orders if ("order", one.id) in {(c.what, c.of) for c in clash})
    )
    return solve(given_way.given_way(eased)).has_plan


def main(count: int) -> int:
    rows: dict[str, list[Judged]] = {}
    wrong = 0
    for number in range(count):
        case = WAYS[number % len(WAYS)](random.Random(number))
        judged = judge(case)
        rows.setdefault(case.how, []).append(judged)
        if not (judged.has_no_plan and judged.named and judged.right_set and judged.irreducible):
            wrong += 1
            told = "; ".join(one.sentence for one in judged.found)
            print(
                f"week {number} ({case.how}): found {told or 'nothing'}; {judged.sentences}", file=sys.stderr
            )
    print("| made impossible by | weeks | no plan | named | right set | irreducible |")
    print("| --- | --: | --: | --: | --: | --: |")
    for how, judged_all in rows.items():
        counts = [sum(getattr(one, name) for one in judged_all)
                  for name in ("has_no_plan", "named", "right_set", "irreducible")]  # fmt: skip
        print(f"| {how} | {len(judged_all)} | " + " | ".join(str(one) for one in counts) + " |")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main(int(sys.argv[1]) if len(sys.argv) > 1 else 300))
