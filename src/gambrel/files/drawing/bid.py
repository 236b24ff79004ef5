"""What may be paid, by how sure the shop wants to be of its margin: a falling curve with the offer across it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from gambrel.files.drawing import say
from gambrel.files.drawing.axis import Scale, mark_text, round_marks
from gambrel.files.drawing.colours import CURVE, CUT, LINE, QUIET
from gambrel.files.drawing.svg import Markup, element, group, label, line, picture, polyline
from gambrel.files.speech import spoken
from gambrel.measures.money import cents_per_kg, cents_per_lb

WIDTH, HEIGHT = 900.0, 460.0
LEFT, RIGHT, TOP, FOOT = 84.0, 800.0, 96.0, 370.0


@dataclass(frozen=True, slots=True)
class BidCurve:
    """`points`: chance of earning the margin (0 to 1) and the most that may be paid then; `on` live or rail."""

    title: str
    on: str
    points: tuple[tuple[float, float], ...]
    offer_cents_per_kg: float | None = None


def bid_svg(curve: BidCurve) -> str:
    """The curve as an SVG picture, 900 by 460; at least two points, chances rising."""
    if len(curve.points) < 2 or any(later[0] <= earlier[0] for earlier, later in pairwise(curve.points)):
        raise ValueError("a curve needs two points or more, with rising chances")
    across, up = _scales(curve)
    line_points = [(across.at(100 * chance), up.at(cents)) for chance, cents in curve.points]
    dots = [element("circle", cx=x, cy=y, r=5, fill=CURVE) for x, y in line_points]
    return picture(
        WIDTH, HEIGHT,
        label(24, 36, curve.title, size=24, bold=True),
        label(24, 62, "The more certain the margin must be, the less may be paid. The shop's own estimates.",
              size=16, fill=QUIET),
        _axes(across, up), polyline(line_points, stroke=CURVE, stroke_width=3), *dots, _offer(curve, across, up),
        title=curve.title, desc=_in_words(curve),
    )  # fmt: skip


def _in_words(curve: BidCurve) -> str:
    told = "; ".join(
        spoken(f"{say.pct(chance, 0)} certain: {say.per_lb(cents)}") for chance, cents in curve.points
    )
    offer = curve.offer_cents_per_kg
    offered = "" if offer is None else " " + spoken(f"Offer: {say.per_lb(offer)}.")
    return spoken(f"Most that may be paid, {curve.on}.") + f" {told}.{offered}"


def _scales(curve: BidCurve) -> tuple[Scale, Scale]:
    cents: Sequence[float] = [price for _, price in curve.points]
    if curve.offer_cents_per_kg is not None:
        cents = [*cents, curve.offer_cents_per_kg]
    pad = max(1.0, 0.12 * (max(cents) - min(cents)))
    low, high = 100 * curve.points[0][0], 100 * curve.points[-1][0]
    return Scale(low, high, LEFT, RIGHT), Scale(min(cents) - pad, max(cents) + pad, FOOT, TOP)


def _axes(across: Scale, up: Scale) -> Markup:
    parts: list[Markup] = []
    for dollars_per_lb in round_marks(cents_per_lb(up.low) / 100, cents_per_lb(up.high) / 100, 6):
        y = up.at(cents_per_kg(100 * dollars_per_lb))
        parts.append(line((LEFT, y), (RIGHT, y), stroke=LINE))
        parts.append(label(LEFT - 12, y + 5.5, f"{dollars_per_lb:.2f}", size=16, anchor="end"))
    for dollars_per_kg in round_marks(up.low / 100, up.high / 100, 6):
        y = up.at(100 * dollars_per_kg)
        parts.append(line((RIGHT, y), (RIGHT + 7, y), stroke=QUIET, width=1.5))
        parts.append(label(RIGHT + 13, y + 5.5, f"{dollars_per_kg:.2f}", size=16, fill=QUIET))
    for chance in round_marks(across.low, across.high, 10):
        parts.append(label(across.at(chance), FOOT + 26, mark_text(chance), size=16, anchor="middle"))
    return group(
        *parts,
        line((LEFT, FOOT), (RIGHT, FOOT), stroke=QUIET),
        label(LEFT - 12, TOP - 14, "$/lb", size=16, anchor="end"),
        label(RIGHT + 13, TOP - 14, "$/kg", size=16, fill=QUIET),
        label((LEFT + RIGHT) / 2, FOOT + 54, "chances in 100 of earning the margin", size=16, anchor="middle",
              fill=QUIET),
    )  # fmt: skip


def _offer(curve: BidCurve, across: Scale, up: Scale) -> Markup:
    """The offer as a line across; it earns the margin as often as the curve says where the two meet."""
    if curve.offer_cents_per_kg is None:
        return group()
    y = up.at(curve.offer_cents_per_kg)
    text = f"offer {say.per_lb(curve.offer_cents_per_kg)}"
    return group(
        line((LEFT, y), (RIGHT, y), stroke=CUT, width=2, dash="7 5"),
        label(LEFT + 8, y - 8, text, size=16, bold=True, fill=CUT, halo=True),
    )
