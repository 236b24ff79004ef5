"""Labels beside the drawing of a side: name, kg and lb, share and interval, with a line to the region."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from gambrel.files.drawing import say
from gambrel.files.drawing.colours import INK, PAPER, QUIET
from gambrel.files.drawing.inputs import Region, SideCutout
from gambrel.files.drawing.side_shape import HEIGHT, WIDTH
from gambrel.files.drawing.svg import Markup, Point, element, fitted, group, label, line

LABEL_WIDTH = 256.0
TOP = 92.0
NAME_SIZE = 21.0
FIGURE_SIZE = 19.0
LINE_STEP = 24.0

# Where each region's leader line ends, and on which side its label stands: back or belly.
ANCHORS: dict[str, tuple[float, float, str]] = {
    "hindshank": (206, 112, "belly"), "round": (128, 300, "back"), "loin": (158, 537, "back"),
    "sirloin": (176, 401, "back"), "short-loin": (158, 537, "back"), "rib": (168, 640, "back"),
    "hump": (84, 730, "back"), "chuck": (170, 796, "back"), "flank": (262, 470, "belly"),
    "kidney-fat": (186, 446, "belly"), "plate": (292, 628, "belly"), "brisket": (312, 768, "belly"),
    "foreshank": (344, 890, "belly"), "shank": (206, 112, "belly"),
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class _Tag:
    """A label waiting for its place: lines of text and the point they belong to."""

    lines: tuple[str, ...]
    anchor: Point
    side: str

    @property
    def tall(self) -> float:
        return LINE_STEP * len(self.lines) + 14.0


def side_labels(cutout: SideCutout, drawn: Iterable[Region], *, with_price: bool) -> list[Markup]:
    """Labels of the drawn regions in two columns, the back's beside the back, none over another."""
    tags = [_tag(cutout, region, with_price) for region in drawn]
    marks: list[Markup] = []
    for side in ("back", "belly"):
        column = sorted((tag for tag in tags if tag.side == side), key=lambda tag: tag.anchor[1])
        tops = spread(
            [tag.anchor[1] - 30 + TOP for tag in column], [tag.tall for tag in column], TOP + HEIGHT
        )
        at_left = (side == "back") == (cutout.hand == "right")
        marks.extend(_tag_marks(tag, top, at_left) for tag, top in zip(column, tops, strict=True))
    return marks


def spread(wished: list[float], heights: list[float], foot: float) -> list[float]:
    """Tops as near to the wished ones as the heights allow, in order, none reaching below `foot`."""
    tops = list(wished)
    for index in range(1, len(tops)):
        tops[index] = max(tops[index], tops[index - 1] + heights[index - 1])
    for index in reversed(range(len(tops))):
        tops[index] = min(tops[index], foot - heights[index])
        foot = tops[index]
    return tops


def _tag(cutout: SideCutout, region: Region, with_price: bool) -> _Tag:
    x, y, side = ANCHORS[region.slug]
    share = f"{say.pct(cutout.share(region))} ({say.span_kg(region.kg)})"
    lines = [region.name, say.kg_lb(region.kg.mean), share]
    if with_price:
        price = region.cents_per_kg
        lines.append("no price" if price is None else f"{say.per_lb(price)} · {say.per_kg(price)}")
    return _Tag(lines=tuple(lines), anchor=(x if cutout.hand == "right" else WIDTH - x, y), side=side)


def _tag_marks(tag: _Tag, top: float, at_left: bool) -> Markup:
    x = LABEL_WIDTH - 18 if at_left else LABEL_WIDTH + WIDTH + 18
    anchor = "end" if at_left else "start"
    begin = (x + (8 if at_left else -8), top + 13)
    end = (tag.anchor[0] + LABEL_WIDTH, tag.anchor[1] + TOP)
    name, size = fitted(tag.lines[0], LABEL_WIDTH - 24, NAME_SIZE)
    figures = [
        label(
            x,
            top + 19 + LINE_STEP * row,
            text,
            size=FIGURE_SIZE,
            anchor=anchor,
            fill=INK if row == 1 else QUIET,
        )
        for row, text in enumerate(tag.lines[1:], 1)
    ]
    return group(
        line(begin, end, stroke=PAPER, width=4),
        line(begin, end, stroke=INK, width=1.3),
        element("circle", cx=end[0], cy=end[1], r=4, fill=INK, stroke=PAPER, stroke_width=1.5),
        label(x, top + 19, name, size=size, bold=True, anchor=anchor),
        *figures,
    )
