"""The application identifiers a pack or a carton of meat carries, and what each may hold.

[GS1 Syntax Dictionary, GS1 AISBL, github.com/gs1/gs1-syntax-dictionary; lengths and separators of 7002, 7006, 7007
and 7030 to 7039 from an open copy of the same table]
"""

from __future__ import annotations

from dataclasses import dataclass

CSET_82 = frozenset("!\"%&'()*+,-./0123456789:;<=>?ABCDEFGHIJKLMNOPQRSTUVWXYZ_abcdefghijklmnopqrstuvwxyz")
"""Characters of a value that is not all digits [GS1 General Specifications, GS1 AISBL, section 7.11]."""

MEASURE_DECIMALS = range(6)
PRICE_DECIMALS = range(5)
"""The fourth digit of an identifier of weight or price: how many of the digits are decimals."""


@dataclass(frozen=True, slots=True)
class Identifier:
    """One identifier: `least` to `most` characters, digits only or `CSET_82`.

    `fixed`: its length is told by its first two digits, so no separator follows it. `dated`: YYMMDD.
    `needs` holds groups of which one each must be there too, `never_with` what may not be; both by the first
    digits of an identifier, so that 320 stands for 3200 to 3205.
    """

    ai: str
    title: str
    least: int
    most: int
    digits: bool = True
    fixed: bool = False
    dated: bool = False
    checked: bool = False
    needs: tuple[tuple[str, ...], ...] = ()
    never_with: tuple[str, ...] = ()


_ITEM = (("01", "02"),)
_MEASURE = ("30", "31", "32")


def _date(ai: str, title: str) -> Identifier:
    return Identifier(ai, title, 6, 6, fixed=True, dated=True, needs=_ITEM)


def _text(ai: str, title: str, most: int, *needs: tuple[str, ...]) -> Identifier:
    return Identifier(ai, title, 1, most, digits=False, needs=needs)


def _rows() -> tuple[Identifier, ...]:
    kg = [Identifier(f"310{n}", f"net weight, kg, {n} decimals", 6, 6, fixed=True, needs=_ITEM,
                     never_with=tuple(f"310{other}" for other in MEASURE_DECIMALS if other != n))
          for n in MEASURE_DECIMALS]  # fmt: skip
    lb = [Identifier(f"320{n}", f"net weight, lb, {n} decimals", 6, 6, fixed=True, needs=_ITEM,
                     never_with=tuple(f"320{other}" for other in MEASURE_DECIMALS if other != n))
          for n in MEASURE_DECIMALS]  # fmt: skip
    price = [Identifier(f"392{n}", f"price to pay, {n} decimals", 1, 15, needs=(("01",), _MEASURE),
                        never_with=("393", "395", *(f"392{other}" for other in PRICE_DECIMALS if other != n)))
             for n in PRICE_DECIMALS]  # fmt: skip
    unit = [Identifier(f"395{n}", f"price per unit of weight, {n} decimals", 6, 6, needs=(_MEASURE,),
                       never_with=("392", "393", *(f"395{other}" for other in PRICE_DECIMALS if other != n)))
            for n in PRICE_DECIMALS]  # fmt: skip
    makers = [Identifier(f"703{n}", "country and approval number of a processor", 4, 30, digits=False,
                         needs=_ITEM) for n in range(10)]  # fmt: skip
    internal = [_text(f"9{n}", "internal to the shop", 90) for n in range(1, 10)]
    return (
        Identifier("00", "carton or pallet", 18, 18, fixed=True, checked=True),
        Identifier("01", "item", 14, 14, fixed=True, checked=True, never_with=("02", "37")),
        Identifier("02", "item inside a carton", 14, 14, fixed=True, checked=True, needs=(("00",), ("37",))),
        _text("10", "batch or lot", 20, ("01", "02")),
        _date("11", "produced"), _date("13", "packed"), _date("15", "best before"), _date("16", "sell by"),
        _date("17", "use by"),
        _text("21", "serial", 20, ("01",)),
        _text("22", "variant", 20, ("01",)),
        _text("251", "source animal", 30, ("01",)),
        Identifier("30", "pieces in the item", 1, 8, needs=_ITEM, never_with=("37",)),
        Identifier("37", "items in the carton", 1, 8, needs=(("00",), ("02",))),
        Identifier("414", "place", 13, 13, fixed=True, checked=True),
        Identifier("416", "place of production", 13, 13, fixed=True, checked=True),
        Identifier("422", "country of birth", 3, 3, needs=_ITEM, never_with=("426",)),
        Identifier("423", "countries of raising", 3, 15, needs=_ITEM, never_with=("426",)),
        Identifier("424", "country of slaughter", 3, 3, needs=_ITEM, never_with=("426",)),
        Identifier("425", "countries of cutting", 3, 15, needs=_ITEM, never_with=("426",)),
        Identifier("426", "country of the whole chain", 3, 3, needs=_ITEM, never_with=("422", "423", "424", "425")),
        _text("7002", "UN/ECE meat code", 30, ("01", "02")),
        Identifier("7006", "first frozen", 6, 6, dated=True, needs=(("01",),)),
        Identifier("7007", "killed, day or span", 6, 12, dated=True, needs=(("01",),)),
        *kg, *lb, *price, *unit, *makers, *internal,
    )  # fmt: skip


IDENTIFIERS: dict[str, Identifier] = {row.ai: row for row in _rows()}
"""Every identifier known here, by its digits."""


def identifier_at(text: str) -> Identifier | None:
    """The identifier that `text` begins with; no identifier is the beginning of another."""
    return next((IDENTIFIERS[text[:length]] for length in (2, 3, 4) if text[:length] in IDENTIFIERS), None)
