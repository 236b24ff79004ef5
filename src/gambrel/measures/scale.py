"""What a scale, a scanner or a hand types at the block: one weight, its unit where it is said, and its last digit.

"142.5", "142.5 lb", "lb 142.5", "365,6 kg" (a comma before the decimals; before three of them only where a scale
says that it stands still, since a hand writes 1,200 for twelve hundred), "ST,GS,+0142.5lb" (stable, gross), and
the net weight of a GS1 code: application identifiers 310n in kilograms and 320n in pounds, six digits of which n
are decimals [GS1 General Specifications, section 3.6.2, GS1 AISBL, 2018].
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal

from gambrel.measures.units import KG_PER_LB, TWO_WAYS, NotAQuantity, with_point

KG_PER = {"kg": Decimal(1), "g": Decimal("0.001"), "lb": Decimal(str(KG_PER_LB)), "lbs": Decimal(str(KG_PER_LB)),
          "oz": Decimal(str(KG_PER_LB)) / 16}  # fmt: skip
LONGEST = 30
"""Characters of a line from a scale; the longest GS1 code with its item number and brackets has 30."""

_SETTLED = frozenset(("st", "s", "gs", "gr", "g", "gross", "nt", "n", "net"))
_MOVING = frozenset(("us", "u", "ol", "m", "motion", "over"))
_NUMBER = re.compile(r"[-+]?\s*(?:\d+(?:[.,]\d*)?|[.,]\d+)")
_WORD = re.compile(r"[^\W\d_]+")
_GS1 = re.compile(
    r"(?:\][a-z]\d)?(?:\(01\)|01)\d{14}(?:\(3([12])0([0-5])\)|3([12])0([0-5]))(\d{6})", re.IGNORECASE
)
_WANTED = "one weight such as 142.5, 142.5 lb or 64,6 kg"
_GRAM = Decimal("0.001")
_MOST_KG = Decimal(100_000)
"""More than any scale of a butcher or a truck weighs [common practice]; a line with more is no weight."""


@dataclass(frozen=True, slots=True)
class ScaleReading:
    """A weight [kg] to the gram, and what its last digit is worth [kg]: 142.5 lb was read to a tenth of a pound."""

    weight_kg: Decimal
    digit_kg: Decimal


def read_scale(text: str, *, bare_unit: str) -> ScaleReading | NotAQuantity:
    """The weight in `text`, a number without a unit in `bare_unit` (kg or lb); or the reason that it is none."""
    if len(text.strip()) > LONGEST:
        return NotAQuantity(_WANTED, f"Type or send at most {LONGEST} characters.")
    code = _GS1.match(text.strip())
    if code is not None:
        unit = "kg" if (code[1] or code[3]) == "1" else "lb"
        return _reading(Decimal(code[5]).scaleb(-int(code[2] or code[4])), -int(code[2] or code[4]), unit)
    words = [word.lower() for word in _WORD.findall(text)]
    if any(word in _MOVING for word in words):
        return NotAQuantity("a scale at rest", "Wait until the scale is still, and send it again.")
    numbers = _NUMBER.findall(text)
    if len(numbers) != 1:
        return NotAQuantity(_WANTED, "Write one number, without a sign for thousands.")
    sent_by_scale = any(word in _SETTLED and word not in KG_PER for word in words)
    if not sent_by_scale and isinstance(with_point(numbers[0]), NotAQuantity):
        return TWO_WAYS
    said = _unit_of(words, bare_unit)
    if isinstance(said, NotAQuantity):
        return said
    typed = "".join(numbers[0].split()).replace(",", ".")
    number = Decimal(typed.rstrip(".") if typed.strip("+-") != "." else "0")
    if number <= 0:
        return NotAQuantity("a weight above nothing", "Look at the scale: is it loaded, and its tare right?")
    return _reading(number, int(number.as_tuple().exponent), said)


def digit_of(text: str, *, bare_unit: str) -> Decimal | None:
    """What the last digit of a weight that was kept as typed is worth [kg]; None where it is no weight."""
    read = read_scale(text, bare_unit=bare_unit)
    return None if isinstance(read, NotAQuantity) else read.digit_kg


def _unit_of(words: list[str], bare_unit: str) -> str | NotAQuantity:
    """The unit among the words of a scale's line. With another unit beside it, g stands for gross."""
    units = [word for word in words if word in KG_PER]
    if len(units) == 2 and "g" in units:
        units.remove("g")
    strange = [word for word in words if word not in KG_PER and word not in _SETTLED]
    if strange or len(set(units)) > 1:
        said = ", ".join(strange or units)[:20]
        return NotAQuantity(_WANTED, f"{said} is no unit of weight here; use kg, g, lb or oz.")
    return units[0] if units else bare_unit


def _reading(number: Decimal, exponent: int, unit: str) -> ScaleReading | NotAQuantity:
    exact_kg = number * KG_PER[unit]
    if exact_kg > _MOST_KG:
        return NotAQuantity(_WANTED, f"No scale weighs more than {_MOST_KG} kg; look for a digit too many.")
    weight_kg = exact_kg.quantize(_GRAM)
    if weight_kg <= 0:
        return NotAQuantity("a weight of a gram or more", "Look at the scale, its unit and the tare.")
    return ScaleReading(weight_kg, Decimal(1).scaleb(exponent) * KG_PER[unit])
