"""What is missing, in the words of the block: each slip as a sentence, and where it is put right."""

from __future__ import annotations

from dataclasses import dataclass
from urllib.parse import urlencode

from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from gambrel.learn.chain import STEPS
from gambrel.learn.mistakes import Cause, Line, Mistake
from gambrel.shop.names import cut_said
from gambrel.shop.pages.block.line_views import LONGEST_GIVEN
from gambrel.shop.pages.block.words import said
from gambrel.shop.records.selectors.learn_balance import SideBalancePage

STEP_NAMES = dict(zip(STEPS, (
    gettext_lazy("Chill"), gettext_lazy("Hanging"), gettext_lazy("Cuts"), gettext_lazy("Trim"), gettext_lazy("Bone"),
    gettext_lazy("Fat"), gettext_lazy("Saw, drip and air"), gettext_lazy("Missing"),
), strict=True))  # fmt: skip
"""Every link of a chain in the language of the page."""

LEAST_PROBABILITY = 0.02
MOST_SHOWN = 4


@dataclass(frozen=True, slots=True)
class Way:
    """One thing to do: a page, whose form is filled in already where the slip says how, and what the link says."""

    address: str
    do: str


@dataclass(frozen=True, slots=True)
class CauseSaid:
    """One explanation: how likely, in one sentence, and what puts it right, one thing after the other."""

    probability_share: float
    sentence: str
    ways: tuple[Way, ...]


def causes_said(page: SideBalancePage, *, unit: str) -> list[CauseSaid]:
    """The likeliest causes, where something is more likely wrong than a hundredth."""
    if page.explanation is None:
        return []
    shown = [cause for cause in page.explanation.causes if cause.probability >= LEAST_PROBABILITY][
        :MOST_SHOWN
    ]
    return [_said(cause, page, unit) for cause in shown]


def _said(cause: Cause, page: SideBalancePage, unit: str) -> CauseSaid:
    species = next((lot.species for lot in page.side.cutting.lots.all()), "cattle")
    piece = cut_said(cause.line.slug if cause.line else cause.right_slug, species) if cause.right_slug else ""
    told = {
        "piece": piece,
        "given": said(cause.line.weight_kg, unit) if cause.line else "",
        "right": said(cause.right_kg, unit),
        "other": cut_said(cause.right_slug, species) if cause.right_slug else "",
    }
    sentence = str(_SENTENCES[cause.mistake]) % told
    return CauseSaid(cause.probability, sentence, _ways(cause, page, sentence, unit))


def _ways(cause: Cause, page: SideBalancePage, sentence: str, unit: str) -> tuple[Way, ...]:
    """Where the slip is put right."""
    here = reverse("cutting", args=[page.side.cutting.pk])
    if cause.mistake is Mistake.NEVER_WEIGHED:
        side = page.cuttings.get(cause.right_side, page.side.cutting.pk)
        return (Way(_weigh_there(side, cause.right_slug), _("Weigh it now")),)
    if cause.line is None or not cause.line.key:
        return (Way(here, _("Look at its weights")),)
    address = reverse("correct_weight", args=[cause.line.key])
    given = urlencode({"why": sentence[:LONGEST_GIVEN], **_filled_in(cause, cause.line, unit)})
    if cause.mistake is Mistake.TWICE:
        return (Way(f"{address}?{given}#out", _("Take one out")),)
    if cause.mistake is Mistake.OTHER_SIDE:
        out = Way(f"{address}?{given}#out", _("Take it out here"))
        other = page.cuttings.get(cause.right_side)
        return (out, Way(_weigh_there(other, cause.right_slug), _("Weigh it there"))) if other else (out,)
    return (Way(f"{address}?{given}", _("Put it right")),)


def _weigh_there(cutting_id: int, slug: str) -> str:
    return f"{reverse('cutting', args=[cutting_id])}?{urlencode({'piece': slug})}#weigh"


def _filled_in(cause: Cause, line: Line, unit: str) -> dict[str, str]:
    """The form of the line as it should have been: gross weight, tare and piece."""
    gross_kg = line.weight_kg + line.tare_kg
    match cause.mistake:
        case Mistake.POUNDS:
            return {"typed": _typed(cause.right_kg + line.tare_kg, "lb")}
        case Mistake.KILOGRAMS:
            return {"typed": _typed(cause.right_kg + line.tare_kg, "kg")}
        case Mistake.DECIMAL:
            return {"typed": _typed(cause.right_kg + line.tare_kg, unit)}
        case Mistake.TARE:
            tare_kg = gross_kg - cause.right_kg
            return {"typed": _typed(gross_kg, "kg"), "tare": _typed(tare_kg, "kg") if tare_kg > 0.001 else ""}
        case Mistake.OTHER_CUT:
            return {"slug": cause.right_slug}
        case _:
            return {}


def _typed(weight_kg: float, unit: str) -> str:
    """As a person would type it: a comma would be taken for a thousand."""
    return said(weight_kg, unit).replace(",", "")


_SENTENCES = {
    Mistake.NEVER_WEIGHED: gettext_lazy("%(piece)s was never weighed: about %(right)s."),
    Mistake.TWICE: gettext_lazy("%(piece)s, %(given)s, was stored twice: take one line out."),
    Mistake.POUNDS: gettext_lazy("%(piece)s, %(given)s: pounds taken for kilograms; it would be %(right)s."),
    Mistake.KILOGRAMS: gettext_lazy("%(piece)s, %(given)s: kilograms taken for pounds; it would be %(right)s."),
    Mistake.OTHER_SIDE: gettext_lazy(
        "%(piece)s, %(given)s, belongs to the other side: take it out here and weigh it there."),
    Mistake.DECIMAL: gettext_lazy("%(piece)s, %(given)s: the point is one place off; it would be %(right)s."),
    Mistake.TARE: gettext_lazy(
        "%(piece)s, %(given)s: the tub was not taken off, or taken off with none there; it would be %(right)s."),
    Mistake.OTHER_CUT: gettext_lazy("%(piece)s, %(given)s, is %(other)s by its weight: put it under that."),
    Mistake.UNKNOWN: gettext_lazy("Something else: no single slip explains it. Look at every line."),
}  # fmt: skip
