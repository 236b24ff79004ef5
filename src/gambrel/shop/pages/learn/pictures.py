"""The drawings of what was learned, with their words in the language of the page."""

from __future__ import annotations

from collections.abc import Sequence

from django.utils.translation import gettext as _

from gambrel.files.drawing.compared import Row, Words, compared_svg
from gambrel.files.drawing.shares_over_time import Moment, shares_svg
from gambrel.learn.ribface_value import FigureValue
from gambrel.learn.truth import Bias
from gambrel.measures import Estimate
from gambrel.measures.units import KG_PER_LB
from gambrel.shop.names import cut_said, kind_said
from gambrel.shop.pages.learn.judged_words import FIGURE_NAMES
from gambrel.shop.records.selectors.learn_hanging import LossLine
from gambrel.shop.records.selectors.learn_scores import ScoresPage
from gambrel.shop.records.selectors.learn_truth import Month

MOST_DRAWN = 16


def months_svg(months: Sequence[Month]) -> str:
    """How many pieces lay inside, month by month, beside what was promised."""
    moments = [
        Moment(f"{one.month:%Y-%m}", {level: found.inside_share for level, found in one.coverage_of.items()})
        for one in months
    ]
    return shares_svg(moments, title=_("Pieces inside their intervals"), promised=_("promised"))


def biases_svg(biases: Sequence[Bias]) -> str:
    """Weighed beside forecast, cut by cut, as percent too much or too little."""
    rows = [Row(cut_said(one.slug, "cattle"), _times(one.ratio, one.low_ratio, one.high_ratio, 100.0, 1.0), one.leans)
            for one in biases[:MOST_DRAWN]]  # fmt: skip
    return compared_svg(rows, Words(_("Weighed beside forecast"), "%", _("leans beyond chance")))


def scores_svg(page: ScoresPage, unit: str) -> str:
    """What each supplier, kind or animal brings beyond the middle one; nothing where none can be compared."""
    times, said = _scale_of(page.figure, unit)
    rows = [
        Row(kind_said(line.name) if page.by == "kind" else line.name,
            _times(line.card.beyond.mean, line.card.beyond.p05, line.card.beyond.p95, times), line.card.is_real)
        for line in page.lines if line.card is not None
    ]  # fmt: skip
    if not rows:
        return ""
    title = str(FIGURE_NAMES[page.figure])
    return compared_svg(rows[:MOST_DRAWN], Words(title, said, _("a real difference")))


def coolers_svg(lines: Sequence[LossLine]) -> str:
    """Lost by the day of cutting beyond what the book says, in percent of the hot weight."""
    rows = [Row(f"{kind_said(one.kind)}, {one.cooler or _('all rooms')}",
                _times(one.both.mean, one.both.p05, one.both.p95, 100.0, one.book.mean), one.is_apart)
            for one in lines]  # fmt: skip
    return compared_svg(rows, Words(_("Lost beyond the book"), "%", _("apart from the book"))) if rows else ""


def face_svg(values: Sequence[FigureValue]) -> str:
    """By how much each figure brings the forecast of the meat nearer, in percent of the side."""
    rows = [Row(str(FIGURE_NAMES[one.figure]), _times(one.nearer.mean, one.nearer.p05, one.nearer.p95, 100.0),
                one.helps) for one in values]  # fmt: skip
    return compared_svg(rows, Words(_("Nearer with the figure than without"), "%", _("helps beyond chance")))


def _times(mean: float, low: float, high: float, times: float, less: float = 0.0) -> Estimate:
    return Estimate(times * (mean - less), times * (low - less), times * (high - less))


def _scale_of(figure: str, unit: str) -> tuple[float, str]:
    """What a figure is multiplied by to be shown, and its unit."""
    if figure.startswith("meat_share"):
        return 100.0, "%"
    if figure == "grade":
        return 1.0, ""
    if figure == "profit_cents_per_kg":
        return (0.01, "$/kg") if unit == "kg" else (0.01 * KG_PER_LB, "$/lb")
    return 0.01, "$"
