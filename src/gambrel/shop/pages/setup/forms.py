"""What the owner says about the shop: at its first start, and whenever something changes."""

from __future__ import annotations

import zoneinfo
from typing import Any

from django import forms
from django.conf import settings
from django.contrib.auth.password_validation import validate_password
from django.utils.translation import gettext_lazy as _

from gambrel.catalog.kinds import Kind
from gambrel.catalog.law import POLICIES
from gambrel.catalog.ways import TRIMS, WORK
from gambrel.plan.week import WEEKDAYS
from gambrel.shop import first_start
from gambrel.shop.names import kind_said
from gambrel.shop.pages.base.fields import LengthField, MoneyField, PriceField, in_units_of
from gambrel.shop.pages.people.forms import LANGUAGES_SAID, password_field
from gambrel.shop.pages.setup import typed
from gambrel.shop.records.models import CoolerRoom, Rail, ShopProfile

UNITS_SAID = [("lb", _("pounds (lb)")), ("kg", _("kilograms (kg)"))]
DAYS_SAID = {"mon": _("Monday"), "tue": _("Tuesday"), "wed": _("Wednesday"), "thu": _("Thursday"),
             "fri": _("Friday"), "sat": _("Saturday"), "sun": _("Sunday")}  # fmt: skip
WORK_SAID = {"knife": _("Knife work"), "saw": _("Band saw"), "grinder": _("Grinder"), "packer": _("Packing")}
TRIMS_SAID = {
    "close": _("close: little fat left on the cuts"),
    "light": _("light: more fat left on the cuts"),
}
POLICIES_SAID = {
    "as_cattle": _("as for cattle"),
    "not_applied": _("not applied, as settled with our inspector"),
}
RAIL_MM = (300.0, 100_000.0)
PER_SIDE_MM = (50.0, 5000.0)
MINUTES_AN_HOUR = 60.0


def _zones() -> list[tuple[str, str]]:
    return [(zone, zone.replace("_", " ")) for zone in sorted(zoneinfo.available_timezones()) if "/" in zone]


def _one_line(text: str) -> str:
    return " ".join(text.split())


class ShopForm(forms.Form):
    """What the shop is called, where it is, what it reads in."""

    shop_name = forms.CharField(label=_("Name of the shop"), max_length=80)
    zone = forms.ChoiceField(label=_("Time zone"), choices=_zones)
    language = forms.ChoiceField(label=_("Language"), choices=LANGUAGES_SAID)
    weight_unit = forms.ChoiceField(label=_("Weights first in"), choices=UNITS_SAID)

    def clean_shop_name(self) -> str:
        return _one_line(str(self.cleaned_data["shop_name"]))

    def changes(self) -> dict[str, Any]:
        said = self.cleaned_data
        return {
            "name": said["shop_name"],
            **{name: said[name] for name in ("zone", "language", "weight_unit")},
        }


class MakeShopForm(ShopForm):
    """The first start: the shop and its owner, by somebody who has read the code of the first start."""

    code = forms.CharField(
        label=_("Code of the first start"), max_length=40,
        help_text=_("The line that `gambrel serve` printed has it; so has the file first-start in the shop's folder."),
        widget=forms.TextInput(attrs={"autocomplete": "off", "spellcheck": "false"}),
    )  # fmt: skip
    owner = forms.CharField(label=_("Your name"), max_length=60,
                            widget=forms.TextInput(attrs={"autocomplete": "username"}))  # fmt: skip
    password = password_field(_("Password (10 characters or more)"), new=True)
    again = password_field(_("The password again"), new=True)

    def clean_code(self) -> str:
        code = str(self.cleaned_data["code"])
        if not first_start.is_right(code, settings.PLACE.folder):
            raise forms.ValidationError(_("This is not the code of this shop's first start."))
        return code

    def clean_password(self) -> str:
        password = str(self.cleaned_data["password"])
        validate_password(password)
        return password

    def clean_owner(self) -> str:
        return _one_line(str(self.cleaned_data["owner"]))

    def clean_again(self) -> str:
        if self.cleaned_data.get("password") not in (None, self.cleaned_data["again"]):
            raise forms.ValidationError(_("The two passwords differ."))
        return str(self.cleaned_data["again"])


class SettingsForm(ShopForm):
    """The same later, with the kinds that come to this shop."""

    kinds_used = forms.MultipleChoiceField(
        label=_("Kinds that come here"), widget=forms.CheckboxSelectMultiple,
        help_text=_("Only these are offered when an animal is hung."),
    )  # fmt: skip

    def __init__(self, *args: Any, kinds: dict[str, Kind], **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["kinds_used"].choices = [(slug, kind_said(kind.name)) for slug, kind in kinds.items()]  # type: ignore[attr-defined]

    def changes(self) -> dict[str, Any]:
        return super().changes() | {"kinds_used": self.cleaned_data["kinds_used"]}


class RoomForm(forms.Form):
    name = forms.CharField(label=_("Room"), max_length=60)
    log_every_hours = forms.FloatField(
        label=_("Its air is read every (hours)"), min_value=0.5, max_value=168, required=False,
        help_text=_("As your food-safety plan says; empty: no log is kept of this room."),
    )  # fmt: skip

    def __init__(self, *args: Any, room: CoolerRoom | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.room = room

    def clean_name(self) -> str:
        name = _one_line(str(self.cleaned_data["name"]))
        others = CoolerRoom.objects.exclude(pk=self.room.pk) if self.room else CoolerRoom.objects.all()
        if others.filter(name__iexact=name).exists():
            raise forms.ValidationError(_("A room of this name is there already."))
        return name


class RailForm(forms.Form):
    name = forms.CharField(label=_("Rail"), max_length=40)
    length = LengthField(label=_("Its length"), low=RAIL_MM[0], high=RAIL_MM[1])
    warmer_c = forms.FloatField(
        label=_("Warmer than the room's air (°C)"), min_value=-10, max_value=10, required=False,
        help_text=_("Near the door 0.5, under the fan -0.5; empty: the same."),
    )  # fmt: skip

    def __init__(
        self, *args: Any, unit: str, room: CoolerRoom, rail: Rail | None = None, **kwargs: Any
    ) -> None:
        super().__init__(*args, **kwargs)
        self.room, self.rail = room, rail
        in_units_of(self, unit, "length")

    def clean_name(self) -> str:
        name = _one_line(str(self.cleaned_data["name"]))
        others = self.room.rails.exclude(pk=self.rail.pk) if self.rail else self.room.rails.all()
        if others.filter(name=name).exists():
            raise forms.ValidationError(_("A rail of this name is in this room already."))
        return name

    def changes(self) -> dict[str, Any]:
        said = self.cleaned_data
        kept = {"name": said["name"], "warmer_c": said["warmer_c"] or 0.0}
        # A length that was not touched stays to the millimetre: what the box shows is rounded.
        return kept | ({"length_mm": round(said["length"])} if "length" in self.changed_data else {})


class WorkForm(forms.Form):
    """Hours and hands: what a cutting day can do, and what an hour costs."""

    cutting_days = forms.MultipleChoiceField(
        label=_("Cutting days"), widget=forms.CheckboxSelectMultiple,
        choices=[(day, DAYS_SAID[day]) for day in WEEKDAYS],
    )  # fmt: skip
    wage = MoneyField(label=_("Wage an hour, with what comes on top"), low=0, high=100_000)
    per_side = LengthField(label=_("Rail that one side takes"), low=PER_SIDE_MM[0], high=PER_SIDE_MM[1])
    trim = forms.ChoiceField(label=_("Trim"), choices=[(trim, TRIMS_SAID[trim]) for trim in TRIMS])
    srm_policy_bison = forms.ChoiceField(
        label=_("Specified risk materials of bison"), choices=[(one, POLICIES_SAID[one]) for one in POLICIES],
        help_text=_("The rule names cattle. Whether it is applied to bison is settled with the inspector in charge."),
    )  # fmt: skip

    def __init__(self, *args: Any, shop: ShopProfile, unit: str, **kwargs: Any) -> None:
        initial = {"cutting_days": shop.cutting_days, "wage": typed.money_typed(shop.wage_cents_per_hour),
                   "per_side": typed.place_typed(shop.rail_per_side_mm, unit), "trim": shop.trim,
                   "srm_policy_bison": shop.srm_policy_bison}  # fmt: skip
        hours = {work: minutes / MINUTES_AN_HOUR for work, minutes in shop.minutes_a_day.items()}
        super().__init__(*args, **{**kwargs, "initial": initial | hours})
        self.shop = shop
        for work in WORK:
            self.fields[work] = forms.FloatField(
                label=WORK_SAID[work], min_value=0, max_value=1200, required=False,
                help_text=_("Hours on a cutting day, of all people together; empty: no limit."),
            )  # fmt: skip
        in_units_of(self, "cm" if unit == "kg" else "in", "per_side")

    def clean_wage(self) -> int:
        """Overtime is never cheaper than the hour."""
        wage, dearer = int(self.cleaned_data["wage"]), self.shop.overtime_cents_per_hour
        if dearer is not None and wage > dearer:
            raise forms.ValidationError(
                _("More than the overtime wage, %(dearer)s: raise that first, where overtime is said.")
                % {"dearer": typed.money_typed(dearer)}
            )
        return wage

    def changes(self) -> dict[str, Any]:
        said = self.cleaned_data
        hours = {work: said[work] for work in WORK if said[work] is not None}
        kept = {
            "cutting_days": [day for day in WEEKDAYS if day in said["cutting_days"]],
            "minutes_a_day": {work: value * MINUTES_AN_HOUR for work, value in hours.items()},
            "wage_cents_per_hour": said["wage"], "trim": said["trim"],
            "srm_policy_bison": said["srm_policy_bison"],
        }  # fmt: skip
        return kept | (
            {"rail_per_side_mm": round(said["per_side"])} if "per_side" in self.changed_data else {}
        )


class MoneyForm(forms.Form):
    """How prices are made, and what is not sold costs or earns."""

    target_margin_pct = forms.FloatField(label=_("Margin wanted, % of the price"), min_value=0, max_value=95)
    may_lose_pct = forms.FloatField(
        label=_("Chance of losing that a bid may carry (%)"), min_value=0.1, max_value=50
    )
    price_ending_cents = forms.IntegerField(label=_("Prices end in (cents)"), min_value=0, max_value=99)
    overhead = MoneyField(label=_("Overhead an animal"), low=0, high=100_000_000)
    packing_cents_per_kg = PriceField(label=_("Packing costs"), low=0, high=10_000)
    waste_cents_per_kg = PriceField(label=_("Hauling away costs"), low=0, high=10_000)
    hanging_on_cents_per_kg = PriceField(label=_("Worth of meat that still hangs at the plan's end"),
                                         low=0, high=100_000)  # fmt: skip

    def __init__(self, *args: Any, shop: ShopProfile, unit: str, **kwargs: Any) -> None:
        plain = {name: getattr(shop, name) for name in PLAIN_MONEY}
        prices = {name: typed.price_typed(getattr(shop, name), unit) for name in PRICES}
        overhead = {"overhead": typed.money_typed(shop.overhead_cents_per_head)}
        super().__init__(*args, **{**kwargs, "initial": plain | prices | overhead})
        in_units_of(self, unit, *PRICES)

    def changes(self) -> dict[str, Any]:
        """Prices that were not touched stay to the last digit: what the box shows is rounded to cents."""
        said = self.cleaned_data
        kept = {name: said[name] for name in PLAIN_MONEY} | {"overhead_cents_per_head": said["overhead"]}
        return kept | {name: said[name] for name in PRICES if name in self.changed_data}


PLAIN_MONEY = ("target_margin_pct", "may_lose_pct", "price_ending_cents")
PRICES = ("packing_cents_per_kg", "waste_cents_per_kg", "hanging_on_cents_per_kg")
