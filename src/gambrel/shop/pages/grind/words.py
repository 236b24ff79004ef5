"""The words of the grinder's pages. A product's name on a label stays in English: the law is written so."""

from __future__ import annotations

from django.utils.translation import gettext_lazy as _

PRODUCT_NAMES = {
    "ground-beef": _("Ground beef"),
    "chopped-beef": _("Chopped beef"),
    "hamburger": _("Hamburger"),
    "beef-patties": _("Beef patties"),
    "ground-chuck": _("Ground chuck"),
    "ground-round": _("Ground round"),
    "ground-sirloin": _("Ground sirloin"),
    "ground-bison": _("Ground bison"),
    "ground-bison-and-beef": _("Ground bison and beef"),
    "ground-beef-and-bison": _("Ground beef and bison"),
}
SPECIES_NAMES = {"cattle": _("cattle"), "bison": _("bison")}
INSPECTION_NAMES = {"federal": _("federal"), "state": _("state"), "custom": _("custom, never sold")}
OBJECTIVE_NAMES = {
    "most-used": _("use as much trim as can be"),
    "most-earned": _("earn the most (each product needs a price)"),
}
