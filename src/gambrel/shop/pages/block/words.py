"""The words of the block pages: primals, doubts about a weight, cautions, what a side is waiting for."""

from __future__ import annotations

from collections.abc import Iterable

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from gambrel.breakdown.doubt import Doubt, Known
from gambrel.files.sheets.cautions import CUTTING
from gambrel.measures import Finding
from gambrel.measures.units import lb_from_kg
from gambrel.shop.core_words import in_words_of_page

GROUP_NAMES = {
    "chuck": gettext_lazy("Chuck"), "rib": gettext_lazy("Rib"), "loin": gettext_lazy("Loin"),
    "round": gettext_lazy("Round"), "brisket": gettext_lazy("Brisket"), "plate": gettext_lazy("Plate"),
    "flank": gettext_lazy("Flank"), "shank": gettext_lazy("Shanks"), "variety": gettext_lazy("Offal"),
    "multi": gettext_lazy("Stew, strips and ground"), "trim": gettext_lazy("Trim for the grinder"),
    "bone": gettext_lazy("Bones"), "fat": gettext_lazy("Fat"), "others": gettext_lazy("Other pieces"),
    "carcass": gettext_lazy("Whole"), "forequarter": gettext_lazy("Forequarter"),
    "hindquarter": gettext_lazy("Hindquarter"), "primal": gettext_lazy("Primals"),
}  # fmt: skip

HALF_NAMES = {"left": gettext_lazy("Left side"), "right": gettext_lazy("Right side")}


def cautions() -> tuple[tuple[str, str], ...]:
    """The usual cautions of cutting in the reader's language."""
    return tuple((in_words_of_page(title), in_words_of_page(text)) for title, text in CUTTING)


def said(weight_kg: float, unit: str) -> str:
    """A weight in the person's unit, for a sentence."""
    return f"{weight_kg:,.2f} kg" if unit == "kg" else f"{lb_from_kg(weight_kg):,.2f} lb"


def doubt_findings(
    doubts: Iterable[Doubt], known: Known, *, name: str, weight_kg: float, unit: str
) -> list[Finding]:
    """Each doubt as what was given, what was expected and what to look at."""
    given = said(weight_kg, unit)
    if known.expected is not None:
        low, high = said(max(0.0, known.expected.p05), unit), said(known.expected.p95, unit)
        wanted = _("%(low)s to %(high)s of it in all, nine times in ten") % {"low": low, "high": high}
        if known.weighed_kg:
            given = _("%(weight)s, with %(before)s weighed before") % {
                "weight": given, "before": said(known.weighed_kg, unit)}  # fmt: skip
    else:
        wanted = _("a piece that the chosen ways give")
    left = _("at most the %(left)s that are left of the side") % {"left": said(max(0.0, known.left_kg), unit)}
    look = {
        Doubt.AGAIN: _("The same weight was stored a moment ago. Was it sent twice?"),
        Doubt.POUNDS: _("It looks like pounds taken as kilograms. Look at the scale's unit."),
        Doubt.TOO_MUCH: _("Look at the scale, its unit, the tare, and whether it is this piece."),
        Doubt.OTHER_SIDE: _("This side has all of it, and the other side has none yet. Is it the other side's?"),
        Doubt.NOT_HERE: _("Is it this piece? If the side is broken another way, say so on the page of its ways."),
        Doubt.MORE_THAN_LEFT: _("A side gives no more than it weighed. Look at the tare, and at the lines before."),
    }  # fmt: skip
    return [
        Finding(name, given, left if doubt == Doubt.MORE_THAN_LEFT else wanted, look[doubt])
        for doubt in doubts
    ]
