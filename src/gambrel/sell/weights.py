"""The weight and the price a label prints, in decimal arithmetic: tare up, net down, price from the printed net.

Net is gross less dry tare: what stays in the pack as liquid is product [9 CFR 442.1 and 442.2; NIST Handbook 133].
A printed weight never says more than there is, so it is cut off at the scale's division and not rounded up
[NIST Handbook 130, uniform packaging and labelling regulation]. The total is the printed net times the price,
halves up, so that whoever multiplies the label gets the label [common practice].
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal

from gambrel.measures import Finding, Findings
from gambrel.measures.money import round_half_up
from gambrel.measures.scale import KG_PER


@dataclass(frozen=True, slots=True)
class Division:
    """The smallest step of the scale and of the printed weight, in its unit (lb or kg)."""

    unit: str
    step: Decimal

    @property
    def decimals_count(self) -> int:
        return max(0, -int(self.step.normalize().as_tuple().exponent))

    def down(self, weight: Decimal) -> Decimal:
        return self._steps(weight, ROUND_FLOOR)

    def up(self, weight: Decimal) -> Decimal:
        return self._steps(weight, ROUND_CEILING)

    def _steps(self, weight: Decimal, rounding: str) -> Decimal:
        steps = (weight / self.step).to_integral_value(rounding=rounding)
        return (steps * self.step).quantize(Decimal(1).scaleb(-self.decimals_count))


DIVISIONS = {
    "lb": Division("lb", Decimal("0.01")),
    "half-lb": Division("lb", Decimal("0.005")),
    "kg": Division("kg", Decimal("0.005")),
    "fine-kg": Division("kg", Decimal("0.002")),
}
"""Counter scales of class III, 30 lb in hundredths and 15 kg in 5 g steps, and finer ones. Common practice."""


@dataclass(frozen=True, slots=True)
class PrintedWeight:
    """Net weight as the label prints it."""

    net: Decimal
    division: Division

    @property
    def unit(self) -> str:
        return self.division.unit

    @property
    def kg(self) -> Decimal:
        return self.net * KG_PER[self.unit]

    @property
    def words(self) -> str:
        """ "1.24 lb" """
        return f"{self.net:.{self.division.decimals_count}f} {self.unit}"

    def in_other_unit(self) -> PrintedWeight:
        """The same said beside it in kg or lb, never more than there is, to the same coarse step."""
        other = DIVISIONS["kg" if self.unit == "lb" else "lb"]
        step = Division(other.unit, Decimal("0.001") if other.unit == "kg" else Decimal("0.01"))
        return PrintedWeight(step.down(self.kg / KG_PER[other.unit]), step)


def net_from_scale(
    *, gross: Decimal, tare: Decimal, division: Division, findings: Findings
) -> PrintedWeight | None:
    """Net of what lies on the scale, both in the scale's unit; None with a finding where there is none to print."""
    before = len(findings)
    if tare <= 0:
        findings.add("tare", f"{tare} {division.unit}", "the weight of tray, film, pad and label",
                     "Weigh the empty packing once and enter it.")  # fmt: skip
    net = division.down(gross) - division.up(tare)
    if net <= 0 and tare > 0:
        findings.add("weight", f"{gross} {division.unit} with {tare} {division.unit} of packing",
                     "meat in the pack", "Weigh it again.")  # fmt: skip
    return PrintedWeight(net, division) if len(findings) == before else None


def net_from_record(net_kg: Decimal, *, division: Division, weighed_in: str) -> PrintedWeight:
    """What to print for a net weight kept in kg to its last written digit.

    Weighed in the label's own unit, the reading nearest to the record is what the scale said. Weighed in the
    other unit it is a conversion, and cut off. Raises ValueError where the record is too coarse to tell two
    readings apart: keep another decimal.
    """
    in_unit = net_kg / KG_PER[division.unit]
    if weighed_in != division.unit:
        return PrintedWeight(division.down(in_unit), division)
    good_to_kg = Decimal(1).scaleb(int(net_kg.as_tuple().exponent))
    if good_to_kg > division.step * KG_PER[division.unit]:
        raise ValueError(
            f"{net_kg} kg does not tell one step of {division.step} {division.unit} from the next"
        )
    nearest = division.down(in_unit + division.step / 2)
    reached = abs(nearest * KG_PER[division.unit] - net_kg) <= good_to_kg / 2
    return PrintedWeight(nearest if reached else division.down(in_unit), division)


def printed_price_cents(price_cents_per_kg: float, unit: str) -> int:
    """Price per lb or kg in whole cents, as a label prints it."""
    return round_half_up(round(price_cents_per_kg * float(KG_PER[unit]), 6))


def total_cents(printed: PrintedWeight, *, price_cents: int) -> int:
    """What the pack costs: printed net times the printed price for its unit, to the cent, halves up."""
    return round_half_up(printed.net * price_cents)


def label_adds_up(printed: PrintedWeight, *, price_cents: int, asked_cents: int) -> Finding | None:
    """Why a label's total is not its weight times its price; None when it is."""
    right = total_cents(printed, price_cents=price_cents)
    if right == asked_cents:
        return None
    return Finding("total", f"{asked_cents} cents", f"{right} cents: {printed.words} at {price_cents} cents",
                   "Print the label again.")  # fmt: skip
