"""What the core tells of plans in its own words, said in the person's language."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date

from django.utils.formats import date_format
from django.utils.translation import gettext as _
from django.utils.translation import gettext_noop

from gambrel.catalog.cuts import shipped_cuts
from gambrel.catalog.kinds import shipped_kinds
from gambrel.plan.questions.compare import Comparison, ProductChange, SideChange
from gambrel.plan.questions.relax import Eased
from gambrel.plan.questions.week_changes import WeekChange
from gambrel.shop.core_words import in_words_of_page
from gambrel.shop.names import cut_said
from gambrel.shop.pages.base.templatetags.figures import kind_said

WEEKDAYS = {
    "mon": gettext_noop("Mondays"), "tue": gettext_noop("Tuesdays"), "wed": gettext_noop("Wednesdays"),
    "thu": gettext_noop("Thursdays"), "fri": gettext_noop("Fridays"), "sat": gettext_noop("Saturdays"),
    "sun": gettext_noop("Sundays"),
}  # fmt: skip
WORK = {
    "knife": gettext_noop("knife"), "saw": gettext_noop("saw"), "grinder": gettext_noop("grinder"),
    "packer": gettext_noop("packing"),
}  # fmt: skip
PLACES = {
    "knife": gettext_noop("one block more"), "saw": gettext_noop("one band saw more"),
    "grinder": gettext_noop("one grinder more"), "packer": gettext_noop("one packing bench more"),
}  # fmt: skip
CHANGED = {
    "animal": gettext_noop("animal"), "settled": gettext_noop("settled for"), "promise": gettext_noop("order"),
    "counter": gettext_noop("counter"), "hours": gettext_noop("hours"), "rail": gettext_noop("rail"),
    "days": gettext_noop("days"), "money": gettext_noop("money"), "share": gettext_noop("share"),
    "stock": gettext_noop("on hand"),
}  # fmt: skip


def easing_said(one: Eased) -> str:
    """One unit more of what: an hour, a metre, a day, a kilogram less promised, a side."""
    if one.what == "hours":
        work = _(WORK[one.of]) if one.of in WORK else one.of
        return _("one hour more of %(work)s work on each cutting day") % {"work": work}
    if one.what == "places":
        return _(PLACES[one.of])
    if one.what == "day":
        return _("cutting on %(days)s as well") % {"days": _(WEEKDAYS[one.of])}
    if one.what == "hang":
        return _("%(animal)s may hang one day longer") % {"animal": one.of}
    if one.what == "promise":
        return _("one kilogram less for order %(order)s") % {"order": one.of}
    if one.what == "side":
        kind = shipped_kinds().get(one.of)
        return _("one side more of %(kind)s") % {"kind": kind_said(kind.name) if kind else one.of}
    return _("one metre more of rail")


def week_change_said(one: WeekChange) -> str:
    """A difference of the two weeks, what it was and what it is."""
    told = {"of": one.of, "before": one.before or "", "after": one.after or ""}
    words = {"what": _(CHANGED[one.what]), **{name: in_words_of_page(each) for name, each in told.items()}}
    if one.before is None:
        return _("%(what)s %(of)s is new: %(after)s") % words
    if one.after is None:
        return _("%(what)s %(of)s is gone (it was %(before)s)") % words
    return _("%(what)s %(of)s: %(after)s instead of %(before)s") % words


def changes_said(found: Comparison, asked: str) -> tuple[list[str], list[str]]:
    """What one plan does otherwise than another: of the side that was asked about, and of all the others."""
    own = [said for side in found.sides if side.side == asked for said in _side_said(side)]
    return own, [said for side in found.sides if side.side != asked for said in _side_said(side)]


def _side_said(side: SideChange) -> Iterator[str]:
    if side.another_day:
        words = {"side": side.side, "after": _day(side.day_after), "before": _day(side.day_before)}
        yield _("%(side)s: %(after)s instead of %(before)s") % words
    for way in side.ways:
        words = {
            "side": side.side,
            "piece": _cut(way.piece),
            "after": in_words_of_page(way.after or ""),
            "before": in_words_of_page(way.before or ""),
        }
        if way.before is None:
            yield _("%(side)s: %(piece)s comes about and goes %(after)s") % words
        elif way.after is None:
            yield _("%(side)s: %(piece)s no longer comes about") % words
        else:
            yield _("%(side)s: %(piece)s goes %(after)s instead of %(before)s") % words


def _day(day: date | None) -> str:
    return date_format(day, "D Y-m-d") if day else _("hangs on")


def _cut(slug: str, species: str = "cattle") -> str:
    cut = shipped_cuts().get(slug)
    return cut_said(slug, species) if cut else slug


def product_name(one: ProductChange) -> str:
    """A product's name and whom it is for."""
    return f"{_cut(one.slug, one.group)} ({in_words_of_page(one.group)})"
