"""What the owner says of weekdays, of overtime, of how many can work at once, and of the freezer."""

from __future__ import annotations

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from gambrel.catalog.ways import WORK
from gambrel.shop.pages.base.fields import MoneyField, PriceField, WeightField, in_units_of
from gambrel.shop.pages.setup import typed
from gambrel.shop.pages.setup.forms import MINUTES_AN_HOUR
from gambrel.shop.pages.setup.weekday_form import OF_DAYS, WeekdaysForm
from gambrel.shop.records.models import ShopProfile
from gambrel.shop.records.shop_limits import overtime_wage_cents

OVERTIME_SAID = {
    "knife": _("Overtime, knife work (hours)"), "saw": _("Overtime, band saw (hours)"),
    "grinder": _("Overtime, grinder (hours)"), "packer": _("Overtime, packing (hours)"),
}  # fmt: skip
PLACES_SAID = {"knife": _("Blocks"), "saw": _("Band saws"), "grinder": _("Grinders"),
               "packer": _("Packing benches")}  # fmt: skip


class LimitsForm(WeekdaysForm):
    """Everything may stay empty: the plan then takes it as it did before any of it could be said."""

    overtime_wage = MoneyField(label=_("Overtime wage an hour"), low=0, high=100_000, required=False)
    open_hours = forms.FloatField(
        label=_("The room is open (hours)"), min_value=0.5, max_value=24, required=False,
        help_text=_("On a cutting day, overtime among it. Wanted where blocks, saws, grinders or benches are said."),
    )  # fmt: skip
    freezer_holds = WeightField(label=_("The freezer holds"), low=0, high=1e6, required=False)
    freezer_cost = PriceField(label=_("Freezing costs"), low=0, high=10_000, required=False)

    def __init__(self, *args: Any, shop: ShopProfile, unit: str, **kwargs: Any) -> None:
        super().__init__(*args, shop=shop, initial=_initial(shop, unit), **kwargs)
        usual = typed.money_typed(
            overtime_wage_cents(ShopProfile(wage_cents_per_hour=shop.wage_cents_per_hour))
        )
        self.fields["overtime_wage"].help_text = _("Empty: one and a half of the wage, %(usual)s.") % {
            "usual": usual
        }
        for work in WORK:
            self.fields[f"overtime-{work}"] = forms.FloatField(
                label=OVERTIME_SAID[work], min_value=0, max_value=1200, required=False,
                help_text=_("At most so much longer on a cutting day, of all people together; empty: none."),
            )  # fmt: skip
        for work in WORK:
            self.fields[f"places-{work}"] = forms.IntegerField(
                label=PLACES_SAID[work], min_value=0, max_value=500, required=False,
                help_text=_("How many there are, one person at each; empty: no limit."),
            )  # fmt: skip
        in_units_of(self, unit, "freezer_holds", "freezer_cost")
        self.order_fields([*OF_DAYS, "overtime_wage", *(f"overtime-{work}" for work in WORK), "open_hours",
                           *(f"places-{work}" for work in WORK)])  # fmt: skip

    def clean(self) -> dict[str, Any]:
        said = super().clean() or {}
        wage = said.get("overtime_wage")
        if wage is not None and wage < self.shop.wage_cents_per_hour:
            self.add_error("overtime_wage", _("Less than the wage of an hour, %(wage)s: raise it.")
                           % {"wage": typed.money_typed(self.shop.wage_cents_per_hour)})  # fmt: skip
        limited = set(self.shop.minutes_a_day).union(*self.minutes_on().values())
        for work in WORK:
            if said.get(f"overtime-{work}") and work not in limited:
                self.add_error(
                    f"overtime-{work}",
                    _("This work has no hours to go beyond: give it hours first, or take this out."),
                )
        places = any(said.get(f"places-{work}") is not None for work in WORK)
        if places and said.get("open_hours") is None and "open_hours" not in self.errors:
            self.add_error(
                "open_hours", _("Say how long the blocks, saws, grinders or benches can be worked at.")
            )
        return said

    def changes(self) -> dict[str, Any]:
        """A weight or price that was not touched stays to the last digit: what the box shows is rounded."""
        said = self.cleaned_data
        overtime = {work: said[f"overtime-{work}"] for work in WORK if said[f"overtime-{work}"]}
        kept = {
            "minutes_on": self.minutes_on(),
            "closed_on": said["closed"],
            "overtime_cents_per_hour": said["overtime_wage"],
            "overtime_minutes_a_day": {work: hours * MINUTES_AN_HOUR for work, hours in overtime.items()},
            "at_once": {work: said[f"places-{work}"] for work in WORK if said[f"places-{work}"] is not None},
            "open_min": None if said["open_hours"] is None else said["open_hours"] * MINUTES_AN_HOUR,
        }  # fmt: skip
        if "freezer_holds" in self.changed_data:
            kept["freezer_holds_kg"] = None if said["freezer_holds"] is None else float(said["freezer_holds"])
        if "freezer_cost" in self.changed_data:
            kept["freezer_cost_cents_per_kg"] = said["freezer_cost"] or 0.0
        return kept


def _initial(shop: ShopProfile, unit: str) -> dict[str, Any]:
    """What is kept, as a person would type it; what was never said is an empty box."""
    initial: dict[str, Any] = {
        **{f"overtime-{work}": each / MINUTES_AN_HOUR for work, each in shop.overtime_minutes_a_day.items()},
        **{f"places-{work}": count for work, count in shop.at_once.items()},
    }
    if shop.overtime_cents_per_hour is not None:
        initial["overtime_wage"] = typed.money_typed(shop.overtime_cents_per_hour)
    if shop.open_min is not None:
        initial["open_hours"] = shop.open_min / MINUTES_AN_HOUR
    if shop.freezer_holds_kg is not None:
        initial["freezer_holds"] = typed.weight_typed(shop.freezer_holds_kg, unit)
    if shop.freezer_cost_cents_per_kg:
        initial["freezer_cost"] = typed.price_typed(shop.freezer_cost_cents_per_kg, unit)
    return initial
