"""Quantities typed with their unit, read into metric; and back for people who think in pounds.

Exact factors: 1 lb = 0.45359237 kg and 1 in = 25.4 mm [International yard and pound agreement, 1959;
NIST Special Publication 811, appendix B.8, 2008].
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, field

KG_PER_LB = 0.45359237
MM_PER_IN = 25.4
CM2_PER_IN2 = 6.4516
LB_PER_CWT = 100.0


@dataclass(frozen=True, slots=True)
class Dimension:
    """A kind of quantity: its metric unit, the units people may type, and an example to show them.

    A typed number becomes metric by (number - zero) * factor; only Fahrenheit has a zero of its own.
    """

    name: str
    metric: str
    units: dict[str, float]
    example: str
    zeros: dict[str, float] = field(default_factory=dict)


MASS = Dimension("weight", "kg", {"kg": 1.0, "g": 0.001, "lb": KG_PER_LB, "lbs": KG_PER_LB,
                                  "oz": KG_PER_LB / 16}, "806lb or 365.6kg")  # fmt: skip
LENGTH = Dimension("length", "mm", {"mm": 1.0, "cm": 10.0, "m": 1000.0, "in": MM_PER_IN,
                                    "ft": 12 * MM_PER_IN}, "0.5in, 3/8in or 12mm")  # fmt: skip
AREA = Dimension("area", "cm2", {"cm2": 1.0, "mm2": 0.01, "in2": CM2_PER_IN2}, "12.8in2 or 82.6cm2")
TEMPERATURE = Dimension("temperature", "C", {"c": 1.0, "f": 5 / 9}, "38F or 3.3C", zeros={"f": 32.0})
DURATION = Dimension("time", "min", {"min": 1.0, "h": 60.0, "s": 1 / 60}, "45min or 1.5h")

_UNIT = r"\s*([^\W\d_]+[23]?)?\s*"
_TYPED = re.compile(r"\s*([-+]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][-+]?\d+)?)" + _UNIT)
_THOUSANDS_OR_DECIMALS = re.compile(r"(?<![\d.,])[1-9]\d{0,2},\d{3}(?![\d.,])")
_FRACTION = re.compile(r"\s*([-+]?)(?:(\d+)(?:\s+|-))?(\d+)\s*/\s*(\d+)" + _UNIT)


@dataclass(frozen=True, slots=True)
class NotAQuantity:
    """Why a typed text is not a quantity: `wanted` is a phrase, `do` a sentence."""

    wanted: str
    do: str


TWO_WAYS = NotAQuantity(
    "a number that can be read one way only",
    "A comma before three digits may part thousands or decimals: leave it out, or write a point for the decimals.",
)


def with_point(typed: str) -> str | NotAQuantity:
    """The text with a point for the comma before its decimals (365,6 is 365.6); or why that is not certain.

    1,200 may be twelve hundred or one and a fifth, so that it is neither; 0,125 and 12,5 are read one way only.
    Anything with more commas, or with a point too, is left as it is.
    """
    if _THOUSANDS_OR_DECIMALS.search(typed):
        return TWO_WAYS
    return typed.replace(",", ".") if typed.count(",") == 1 and "." not in typed else typed


def read_quantity(text: object, dimension: Dimension) -> float | NotAQuantity:
    """The metric value of `text`, or the reason it is none.

    Fractions as on a ruler are read too: 3/8in, 1 1/4in, 1-1/4in; and a comma before decimals: 365,6kg. A bare
    number is never guessed at: a side of 350 may be pounds or kilograms.
    """
    units = ", ".join(dimension.units)
    named = f"an {dimension.name}" if dimension.name[0] in "aeiou" else f"a {dimension.name}"
    with_unit = f"{named} with its unit ({units})"
    if isinstance(text, bool):
        return NotAQuantity(with_unit, f"Write it like {dimension.example}.")
    typed = with_point(str(text).replace("°", "").replace("²", "2"))
    if isinstance(typed, NotAQuantity):
        return typed
    found = _number_and_unit(typed)
    if found is None:
        return NotAQuantity(with_unit, f"Write it like {dimension.example}.")
    number, unit = found
    if unit is None:
        return NotAQuantity(with_unit, _say_unit(typed.strip(), dimension))
    factor = dimension.units.get(unit.lower())
    if factor is None:
        why = f"{unit} is no unit of {dimension.name} here; write it like {dimension.example}."
        return NotAQuantity(f"{named} in {units}", why)
    metric = (number - dimension.zeros.get(unit.lower(), 0.0)) * factor
    if not math.isfinite(metric):
        return NotAQuantity(f"{named} that can be counted", f"Write it like {dimension.example}.")
    return metric


def _number_and_unit(typed: str) -> tuple[float, str | None] | None:
    """The number and the unit's letters as typed, or None when the text is something else."""
    match = _TYPED.fullmatch(typed)
    if match:
        return float(match[1]), match[2]
    match = _FRACTION.fullmatch(typed)
    if not match or not 0 < float(match[3]) < float(match[4]):
        return None  # 11/2in is more likely a lost space (1 1/2in) than five and a half inches
    value = float(match[2] or 0) + float(match[3]) / float(match[4])
    return (-value if match[1] == "-" else value), match[5]


def _say_unit(number: str, dimension: Dimension) -> str:
    customary = [unit for unit in dimension.units if unit in ("lb", "in", "in2", "f", "h")]
    choices = " or ".join(f"{number[:20]}{unit}" for unit in [next(iter(dimension.units)), *customary])
    return f"Say the unit: {choices}."


def kg_from_lb(weight_lb: float) -> float:
    """Pounds to kilograms, exactly."""
    return weight_lb * KG_PER_LB


def lb_from_kg(weight_kg: float) -> float:
    """Kilograms to pounds."""
    return weight_kg / KG_PER_LB


def in_from_mm(length_mm: float) -> float:
    """Millimetres to inches."""
    return length_mm / MM_PER_IN


def mm_from_in(length_in: float) -> float:
    """Inches to millimetres."""
    return length_in * MM_PER_IN


def in2_from_cm2(area_cm2: float) -> float:
    """Square centimetres to square inches."""
    return area_cm2 / CM2_PER_IN2


def cm2_from_in2(area_in2: float) -> float:
    """Square inches to square centimetres."""
    return area_in2 * CM2_PER_IN2


def c_from_f(temperature_f: float) -> float:
    """Degrees Fahrenheit to Celsius."""
    return (temperature_f - 32.0) * 5 / 9


def f_from_c(temperature_c: float) -> float:
    """Degrees Celsius to Fahrenheit."""
    return temperature_c * 9 / 5 + 32.0
