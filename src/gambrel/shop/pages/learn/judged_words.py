"""What is said of forecasts, suppliers and readings: names of figures, how far to trust the forecast, alarms."""

from __future__ import annotations

from collections.abc import Iterable

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from gambrel.learn.alarm import Alarm
from gambrel.learn.truth import coverage
from gambrel.shop.names import cut_said
from gambrel.shop.records.selectors.learn_truth import TruthPage

FIGURE_NAMES = {
    "meat_share": gettext_lazy("Meat of what came off the rail"),
    "meat_share_at_like_fat": gettext_lazy("Meat, at like fat cover"),
    "grade": gettext_lazy("Marbling score, the shop's estimate"),
    "profit_cents_per_head": gettext_lazy("Profit a head"),
    "profit_cents_per_kg": gettext_lazy("Profit by weight off the rail"),
    "profit_cents_per_rail_day": gettext_lazy("Profit a day on the rail"),
    "fat_mm": gettext_lazy("Fat thickness"),
    "ribeye_cm2_per_100kg": gettext_lazy("Ribeye for the weight"),
    "marbling_score": gettext_lazy("Marbling"),
}
"""Every figure that is compared or read, in the language of the page."""

_VERDICTS = {
    "too-few": gettext_lazy("Too few sides were judged to say how far the forecast may be trusted: %(n)s of six."),
    "right": gettext_lazy("Trust the forecast as it stands: %(inside)s of what came lay inside its 90 %% intervals."),
    "too-narrow": gettext_lazy(
        "Trust the forecast less than it says: only %(inside)s of what came lay inside its 90 %% intervals. "
        "Leave room."),
    "too-wide": gettext_lazy(
        "The forecast is more careful than it need be: %(inside)s of what came lay inside its 90 %% intervals. They "
        "grow narrower with every side that is cut."),
}  # fmt: skip


def verdict_said(page: TruthPage) -> str:
    """How far to trust the forecast now, in one sentence."""
    inside = f"{100 * coverage(page.sides, 90).inside_share:.0f} %" if page.sides else ""
    return str(_VERDICTS[page.verdict]) % {"n": len(page.sides), "inside": inside}


def alarms_said(alarms: Iterable[Alarm]) -> list[str]:
    """Each cut that departs from its forecast, as a sentence."""
    said = []
    for alarm in alarms:
        told = {
            "cut": cut_said(alarm.slug, "cattle"),
            "since": f"{alarm.since:%Y-%m-%d}",
            "n": alarm.looks_count,
        }
        if alarm.is_heavier:
            said.append(_("%(cut)s has come out heavier than foretold since %(since)s (%(n)s looks).") % told)
        else:
            said.append(_("%(cut)s has come out lighter than foretold since %(since)s (%(n)s looks).") % told)
    return said
