"""The bill of a share: meat by hanging weight, fees, what was asked for besides, less the deposit.

A share of an animal killed without inspection is sold before it is killed or never: afterwards only the work is
billed [9 CFR 303.1(a)(2), from memory; the owner delivers the animal and eats the meat, 25 TAC 221.14, read].
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from gambrel.measures import CannotDo, Estimate, Finding, Findings
from gambrel.measures.money import value_cents

CHARGED_ON = ("hot", "hung")
EXTRA_ON = ("hot", "hung", "taken", "ground")
"""Weights that hanging price and extras may be charged on."""
CUSTOM_CITE = "9 CFR 303.1(a)(2), from memory"


@dataclass(frozen=True, slots=True)
class Extra:
    """Work besides the ordinary that an owner may ask for: so much a kg of `on`, so much for the whole share."""

    name: str
    cents_per_kg: float = 0.0
    fixed_cents: int = 0
    on: str = "taken"


@dataclass(frozen=True, slots=True)
class Terms:
    """What was agreed. Price and cutting by hanging weight, hot or hung; kill and other fees a head.

    `hanging_cents_per_kg` None where the meat is the owner's already and only work is billed. `extras` are those
    that this owner asked for.
    """

    hanging_cents_per_kg: float | None
    charged_on: str = "hot"
    cut_wrap_cents_per_kg: float = 0.0
    head_fee_cents: int = 0
    deposit_cents: int = 0
    extras: tuple[Extra, ...] = ()


@dataclass(frozen=True, slots=True)
class ShareSold:
    """Whose share it is, of which animal, and when it was bought and killed."""

    owner: str
    inspected: str
    bought_on: date
    killed_on: date | None


@dataclass(frozen=True, slots=True)
class ShareWeights:
    """Weights of the share [kg]: hanging, hot and on the day it was cut; packed for it, and of that ground."""

    hot_kg: float
    hung_kg: float
    taken_kg: float
    ground_kg: float
    sides: float

    def of(self, on: str) -> float:
        """The weight [kg] that something is charged on."""
        return {"hot": self.hot_kg, "hung": self.hung_kg, "taken": self.taken_kg, "ground": self.ground_kg}[
            on
        ]


@dataclass(frozen=True, slots=True)
class BillLine:
    """One line: what, by which weight and price where it has them, and the amount."""

    what: str
    amount_cents: int
    weight_kg: float | None = None
    cents_per_kg: float | None = None


@dataclass(frozen=True, slots=True)
class ShareBill:
    """The lines in the order of the bill; the deposit is the last, below nothing."""

    lines: tuple[BillLine, ...]
    taken_kg: float

    @property
    def charged_cents(self) -> int:
        """Everything charged, before the deposit."""
        return sum(line.amount_cents for line in self.lines if line.amount_cents > 0)

    @property
    def due_cents(self) -> int:
        """What is left to pay; below nothing is to be paid back."""
        return sum(line.amount_cents for line in self.lines)

    @property
    def cents_per_taken_kg(self) -> float | None:
        """What a kg taken home costs, fees and all."""
        return self.charged_cents / self.taken_kg if self.taken_kg > 0 else None


def look_over(terms: Terms, sold: ShareSold) -> list[Finding]:
    """What is wrong with what was agreed."""
    findings = Findings()
    if not sold.owner.strip():
        findings.add("owner", "nobody", "whose share it is", "Enter the owner.")
    if terms.charged_on not in CHARGED_ON:
        findings.add("charged on", terms.charged_on, " or ".join(CHARGED_ON), "Choose one.")
    for extra in terms.extras:
        if extra.on not in EXTRA_ON:
            findings.add(extra.name, extra.on, " or ".join(EXTRA_ON), "Choose the weight it is charged on.")
    cents = {"price": terms.hanging_cents_per_kg or 0.0, "cut and wrap": terms.cut_wrap_cents_per_kg,
             "fee a head": terms.head_fee_cents, "deposit": terms.deposit_cents,
             **{extra.name: min(extra.cents_per_kg, extra.fixed_cents) for extra in terms.extras}}  # fmt: skip
    for name, amount in cents.items():
        if amount < 0:
            findings.add(name, f"{amount:g} cents", "nothing or more", "Take the minus out.")
    late = sold.killed_on is not None and sold.bought_on > sold.killed_on
    if sold.inspected == "custom" and terms.hanging_cents_per_kg is not None and late:
        findings.add("share", f"bought {sold.bought_on}, killed {sold.killed_on}",
                     f"every share of an uninspected animal bought before it is killed [{CUSTOM_CITE}]",
                     "It may not be sold. Bill the work only, to the owner who delivered it.")  # fmt: skip
    return list(findings)


def share_bill(terms: Terms, sold: ShareSold, weights: ShareWeights) -> ShareBill:
    """The bill. `CannotDo` lists what is wrong with the terms."""
    if wrong := look_over(terms, sold):
        raise CannotDo(wrong)
    charged_kg = weights.of(terms.charged_on)
    lines = []
    if terms.hanging_cents_per_kg is not None:
        lines.append(_by_weight("meat, hanging weight", charged_kg, terms.hanging_cents_per_kg))
    lines.append(_by_weight("cut and wrap, hanging weight", charged_kg, terms.cut_wrap_cents_per_kg))
    if terms.head_fee_cents:
        lines.append(BillLine("kill and fees", value_cents(weights.sides / 2, terms.head_fee_cents)))
    for extra in terms.extras:
        if extra.cents_per_kg:
            lines.append(_by_weight(extra.name, weights.of(extra.on), extra.cents_per_kg))
        if extra.fixed_cents:
            lines.append(BillLine(extra.name, extra.fixed_cents))
    lines.append(BillLine("deposit", -terms.deposit_cents))
    return ShareBill(tuple(line for line in lines if line.amount_cents), weights.taken_kg)


@dataclass(frozen=True, slots=True)
class BillForecast:
    """Before the animal is cut: total charged [cents] and what a kg taken home costs, with 90 % intervals."""

    charged_cents: Estimate
    cents_per_taken_kg: Estimate


def bill_forecast(terms: Terms, sold: ShareSold, likely: tuple[ShareWeights, ...]) -> BillForecast:
    """The bill over equally likely weights of the share."""
    import numpy as np

    bills = [share_bill(terms, sold, weights) for weights in likely]
    charged = np.array([bill.charged_cents for bill in bills], dtype=float)
    by_kg = np.array([bill.cents_per_taken_kg or np.nan for bill in bills])
    return BillForecast(Estimate.from_draws(charged), Estimate.from_draws(by_kg))


@dataclass(frozen=True, slots=True)
class Kept:
    """What was foretold to an owner and what came [kg]."""

    foretold_kg: Estimate
    taken_kg: float

    @property
    def within(self) -> bool:
        """Whether what came lies in the interval."""
        return self.foretold_kg.p05 <= self.taken_kg <= self.foretold_kg.p95

    @property
    def more_kg(self) -> float:
        """Above what was foretold; below nothing is less."""
        return self.taken_kg - self.foretold_kg.mean


def _by_weight(what: str, weight_kg: float, cents_per_kg: float) -> BillLine:
    return BillLine(what, value_cents(weight_kg, cents_per_kg), weight_kg, cents_per_kg)
