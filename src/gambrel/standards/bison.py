"""Canadian bison classes. No USDA quality or yield standard covers bison."""

from __future__ import annotations

from gambrel.measures.money import round_half_up

RIB_PAIRS = 14
"""Pairs of ribs of a bison; cattle have 13. [USDA-ARS, Beef Research Progress Report 3: 26, 1988]"""

YOUTHFUL_OSSIFIED_PCT = 80.0
"""Most ossification of the caps of the 9th to 11th vertebrae that counts as youthful [%].
[canada-sor-92-541]"""


def is_youthful(*, ossified_pct: float) -> bool:
    """Whether the caps of the 9th to 11th thoracic vertebrae say youthful. [canada-sor-92-541, schedule I]"""
    return ossified_pct <= YOUTHFUL_OSSIFIED_PCT


def bison_class(*, fat_mm: float) -> str:
    """Class of a youthful carcass by its fat [mm]: B1 under 2, A1 to 6, A2 to 12, A3 to 18, A4 above.

    The agency's slide puts 12 and 18 in two classes; here they end the lower one, as the association's list
    says of 18. Fat is read in whole millimetres. [canada-bison-slides]
    """
    if fat_mm < 2:
        return "B1"
    whole = round_half_up(fat_mm)
    return "A1" if whole <= 6 else "A2" if whole <= 12 else "A3" if whole <= 18 else "A4"
