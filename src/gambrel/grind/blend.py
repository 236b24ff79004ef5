"""Batches out of trims by one linear program: what earns most, costs least or uses most, within every rule.

Among answers that are equally good the one that gives least lean away is taken, then the one that uses the
oldest trim first.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from gambrel.grind import rules
from gambrel.grind.case import GrindCase, GroundProduct, Trim
from gambrel.grind.names import FAT_TEST_PCT, LOOKS_LIKE_FAT_PCT, label_words
from gambrel.grind.rules import Rule
from gambrel.measures import Findings
from gambrel.measures.money import round_half_up, value_cents
from gambrel.measures.units import lb_from_kg
from gambrel.optimize import Problem

DUST_KG = 1e-7
"""Weights below this are the solver's rounding."""

SMALLEST_KG = 0.01
"""No batch and no leftover below ten grams is worth a line."""


@dataclass(frozen=True, slots=True)
class Line:
    """One trim in a batch."""

    trim: Trim
    kg: float


@dataclass(frozen=True, slots=True)
class Batch:
    """One product as it is to be ground."""

    product: GroundProduct
    lines: tuple[Line, ...]
    rules: tuple[Rule, ...]

    @property
    def kg(self) -> float:
        return sum(line.kg for line in self.lines)

    @property
    def lean_pct(self) -> float:
        """Expected lean: sum(weight x lean) / sum(weight)."""
        return sum(line.kg * line.trim.lean_pct for line in self.lines) / self.kg

    @property
    def fat_pct(self) -> float:
        return 100.0 - self.lean_pct

    @property
    def giveaway_kg(self) -> float:
        """Lean above what was stated [kg]."""
        return max(0.0, self.kg * (self.lean_pct - self.product.lean_pct) / 100.0)

    @property
    def cost_cents(self) -> int:
        return round_half_up(sum(line.kg * line.trim.cost_cents_per_kg for line in self.lines))

    @property
    def value_cents(self) -> int | None:
        """What it sells for; None for a product without a price."""
        price = self.product.price_cents_per_kg
        return None if price is None else value_cents(self.kg, price)

    @property
    def label(self) -> tuple[str, ...]:
        return label_words(self.product.name, lean_pct=self.product.lean_pct, custom=self.product.is_custom)

    def warnings(self) -> tuple[str, ...]:
        """What a person must look at before the batch is sold."""
        said: list[str] = []
        if self.fat_pct > FAT_TEST_PCT and not self.product.fat_tested:
            ceiling = self.product.name.fat_ceiling_pct
            said.append(
                f"{self.fat_pct:.1f} % fat expected, near the {ceiling:g} % ceiling: test it before sale"
            )
        said.extend(
            f"{line.trim.id} is {line.trim.lean_pct:g} % lean and not entered as fat: if it is suet, cod "
            "fat or rendered fat, set fat_class = true"
            for line in self.lines
            if line.trim.lean_pct < LOOKS_LIKE_FAT_PCT and not line.trim.fat_class
        )
        if any(line.trim.cheek for line in self.lines):
            said.append("holds cheek meat: name it on the label where it is more than its natural share")
        if self.product.inspected == "state":
            said.append("state inspected: for sale inside the state unless it is in the interstate programme")
        if self.product.is_custom:
            said.append(f"for {self.product.owner} only: never sold, given away or mixed")
        if self.product.name.is_mixed:
            said.append("beef makes this an amenable meat product: ask the inspector before it is made")
        return tuple(said)


@dataclass(frozen=True, slots=True)
class Leftover:
    """Trim that went into no batch, and why."""

    trim: Trim
    kg: float
    why: str


@dataclass(frozen=True, slots=True)
class GrindPlan:
    """The batches, what is left, and the products of which none is made, with the reason."""

    objective: str
    batches: tuple[Batch, ...]
    leftovers: tuple[Leftover, ...]
    not_made: tuple[tuple[GroundProduct, str], ...]


def blend(case: GrindCase) -> GrindPlan:
    """Batches for a case. `CannotDo` says in sentences which orders the trims cannot meet, and what lacks."""
    # Sorted, so that the order of the file never decides between equally good answers.
    trims = {trim.id: trim for trim in sorted(case.trims, key=lambda trim: trim.id)}
    products = sorted(case.products, key=lambda product: product.id)
    usable = {trim.id: trim for trim in trims.values() if not rules.too_old(trim, case.age_limit_days)}
    model = _Model.build(usable, products, case.objective)
    answer = model.problem.solve()
    if answer.status == "no-plan":
        _say_what_lacks(model)
    if answer.status != "optimal":
        raise RuntimeError(f"a linear program ended as {answer.status}")
    kg = model.settle_ties(answer.objective)
    batches = tuple(batch for product in case.products if (batch := model.batch(product, kg)) is not None)
    made = {batch.product.id for batch in batches}
    not_made = tuple(
        (product, _why_not_made(product, usable, case.objective))
        for product in case.products
        if product.id not in made
    )
    return GrindPlan(case.objective, batches, tuple(_leftovers(case, batches)), not_made)


@dataclass
class _Model:
    problem: Problem
    columns: dict[tuple[str, str], int]
    trims: Mapping[str, Trim]
    products: Sequence[GroundProduct]
    applied: dict[str, tuple[Rule, ...]]
    order_of: dict[str, GroundProduct]

    @classmethod
    def build(cls, trims: Mapping[str, Trim], products: Sequence[GroundProduct], objective: str) -> _Model:
        problem = Problem()
        columns = {
            (trim.id, product.id): problem.variable(gain=_gain(trim, product, objective), high=trim.weight_kg)
            for product in products
            for trim in trims.values()
            if not rules.why_not(trim, product)
        }
        for trim in trims.values():
            rules.no_more_trim_than_there_is(problem, columns, trim)
        applied: dict[str, tuple[Rule, ...]] = {}
        order_of: dict[str, GroundProduct] = {}
        for product in products:
            row = rules.an_order_is_met(problem, columns, product)
            if row is not None:
                order_of[problem.rows[row].sentence] = product
            rules.no_more_than_can_be_sold(problem, columns, product)
            applied[product.id] = rules.hold_product_to_its_rules(problem, columns, trims, product)
        return cls(problem, columns, trims, products, applied, order_of)

    def settle_ties(self, best: float) -> dict[tuple[str, str], float]:
        """Kilograms by trim and product: the best held, least lean given away, then oldest trim first."""
        lean = {product.id: product.lean_pct for product in self.products}
        giveaway = {self.columns[pair]: lean[pair[1]] - self.trims[pair[0]].lean_pct for pair in self.columns}
        age = {self.columns[pair]: float(self.trims[pair[0]].age_days or 0) for pair in self.columns}
        problem = self.problem
        for aim in (giveaway, age):
            problem = _holding(problem, best, aim)
            answer = problem.solve()
            if answer.status != "optimal":
                raise RuntimeError(f"a tie could not be settled: {answer.status}")
            best = answer.objective
        return {pair: float(answer.values[column]) for pair, column in self.columns.items()}

    def batch(self, product: GroundProduct, kg: Mapping[tuple[str, str], float]) -> Batch | None:
        lines = tuple(Line(trim, kg[trim.id, product.id]) for trim in self.trims.values()
                      if kg.get((trim.id, product.id), 0.0) > DUST_KG)  # fmt: skip
        batch = Batch(product, lines, self.applied[product.id])
        return batch if batch.kg >= SMALLEST_KG - DUST_KG else None


def _gain(trim: Trim, product: GroundProduct, objective: str) -> float:
    """Worth of one kilogram: cents, or kilograms where use is the aim.

    Custom trim has no worth in money and mixes with nothing else, so as much of it as can be is ground.
    """
    if objective == "most-used" or product.is_custom:
        return 1.0
    if objective == "least-cost":
        return -trim.cost_cents_per_kg
    return (product.price_cents_per_kg or 0.0) - trim.cost_cents_per_kg


def _holding(problem: Problem, best: float, aim: Mapping[int, float]) -> Problem:
    """The same rules with the last aim held at its best and a new one to raise."""
    held = Problem([aim.get(column, 0.0) for column in range(len(problem.gains))], list(problem.lows),
                   list(problem.highs), list(problem.integer), list(problem.rows))  # fmt: skip
    # The slack is what the solver's own tolerance of 1e-7 on each rule may come to in the units of the aim.
    slack = 1e-7 * max(1.0, abs(best), *(abs(gain) for gain in problem.gains))
    held.rule("as good as the best", dict(enumerate(problem.gains)), low=best - slack)
    return held


def _say_what_lacks(model: _Model) -> None:
    """Findings for the orders that must give way; always raises."""
    findings = Findings()
    for row, short_kg in model.problem.least_breach():
        product = model.order_of[row.sentence]
        made_kg = max(0.0, product.least_kg - short_kg)
        findings.add(f"product {product.id}", f"trim for {_both(made_kg)}", row.sentence.split(": ", 1)[1],
                     f"Short by {_both(short_kg)}. {_what_is_wanted(product, model)}")  # fmt: skip
    findings.stop_if_any()
    raise RuntimeError("no plan, yet no rule that has to give way")


def _what_is_wanted(product: GroundProduct, model: _Model) -> str:
    """Which trim lacks, in one sentence."""
    allowed = [model.trims[trim_id] for trim_id, product_id in model.columns if product_id == product.id]
    if not allowed:
        reasons = sorted({rules.why_not(trim, product) for trim in model.trims.values()})
        return f"No trim here may go into it: {'; '.join(reasons) or 'there is none within the age limit'}."
    stated, most = product.lean_pct, product.lean_pct + product.tolerance_pct
    leanest, fattest = max(trim.lean_pct for trim in allowed), min(trim.lean_pct for trim in allowed)
    total_kg = sum(trim.weight_kg for trim in allowed)
    together = sum(trim.weight_kg * trim.lean_pct for trim in allowed) / total_kg
    if leanest < stated:
        return f"The leanest that may go in ({leanest:g} %) is fatter than {stated:g} %: leaner trim lacks."
    if fattest > most:
        return f"The fattest that may go in ({fattest:g} %) is leaner than {most:g} %: fatter trim lacks."
    if product.least_kg > total_kg:
        return f"All the trim that may go in is {_both(total_kg)}: get more or order less."
    whole = f"Together the {_both(total_kg)} that may go in are {together:.1f} % lean"
    if together < stated:
        return f"{whole}: trim leaner than {stated:g} % lacks."
    if together > most:
        return f"{whole}: trim fatter than {most:g} % lean lacks."
    return "Other orders want the same trim, or the limit on cheek, shank or species holds it back."


def _why_not_made(product: GroundProduct, trims: Mapping[str, Trim], objective: str) -> str:
    """Why none of a product that nobody ordered comes out: it cannot be made, or it is not worth making."""
    alone = _Model.build(trims, [product], "most-used")
    if alone.problem.solve().objective < SMALLEST_KG:
        return _what_is_wanted(product, alone)
    if objective == "least-cost":
        return "Nothing was ordered: give it a min."
    return "It would bring less than its trim costs, or the trim does better elsewhere."


def _leftovers(case: GrindCase, batches: Sequence[Batch]) -> list[Leftover]:
    left: list[Leftover] = []
    for trim in case.trims:
        used_kg = sum(line.kg for batch in batches for line in batch.lines if line.trim.id == trim.id)
        if trim.weight_kg - used_kg <= SMALLEST_KG:
            continue
        why = rules.too_old(trim, case.age_limit_days)
        if not why and all(rules.why_not(trim, product) for product in case.products):
            why = "no product here may hold it"
        left.append(Leftover(trim, trim.weight_kg - used_kg, why or "not needed"))
    return left


def _both(weight_kg: float) -> str:
    return f"{lb_from_kg(weight_kg):.1f} lb ({weight_kg:.1f} kg)"
