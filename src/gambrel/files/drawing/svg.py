"""SVG written by hand: elements, text, escaping. No script, no outside font, no outside file.

Children are `Markup`, a type of its own, so that a person's text cannot slip in except through `words`.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from typing import NewType
from xml.sax.saxutils import escape, quoteattr

from gambrel.files.drawing.colours import INK, PAPER
from gambrel.files.speech import spoken

Markup = NewType("Markup", str)
Point = tuple[float, float]

FONT = "sans-serif"
WIDE_SHARE = 0.56
"""Width of an average character as a share of the letter size, sans-serif; from memory, on the wide side."""


SIZE_SHARES = (1.0, 0.85, 0.75)
"""Letters of a name as a share of the usual size: the longer it is, the smaller."""


def number(value: float) -> str:
    """A coordinate to a hundredth, without needless zeros; not-a-number is a mistake of ours and raises."""
    if not math.isfinite(value):
        raise ValueError(f"a coordinate must be finite, not {value}")
    written = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if written == "-0" else written


def words(text: str) -> Markup:
    """A person's text made safe: control characters become spaces (XML forbids them), the rest is escaped."""
    return Markup(escape(words_plain(text)))


def words_plain(text: str) -> str:
    """Text without the characters that XML forbids, not yet escaped."""
    return "".join(c if _allowed(c) else " " for c in text)


def _allowed(character: str) -> bool:
    code = ord(character)
    return (
        code >= 32
        and not 0x7F <= code <= 0x9F
        and not 0xD800 <= code <= 0xDFFF
        and code not in (0xFFFE, 0xFFFF)
    )


def element(name: str, *children: Markup, **attributes: str | float | None) -> Markup:
    """One element. `stroke_width=2` becomes stroke-width="2", `class_` class; None is left out."""
    written = "".join(
        f" {key.rstrip('_').replace('_', '-')}={_attribute(value)}"
        for key, value in attributes.items()
        if value is not None
    )
    inside = "".join(children)
    return Markup(f"<{name}{written}>{inside}</{name}>" if inside else f"<{name}{written}/>")


def _attribute(value: str | float) -> str:
    return quoteattr(words_plain(value) if isinstance(value, str) else number(value))


def group(*children: Markup, **attributes: str | float | None) -> Markup:
    return element("g", *children, **attributes)


def label(
    x: float,
    y: float,
    text: str,
    *,
    size: float = 16,
    anchor: str = "start",
    bold: bool = False,
    fill: str = INK,
    halo: bool = False,
) -> Markup:
    """One line of text with its baseline at y; `halo` clears the paper around its letters."""
    around: dict[str, str | float] = (
        {"stroke": PAPER, "stroke_width": 5, "stroke_linejoin": "round"} if halo else {}
    )
    return element(
        "text",
        words(spoken(text)),
        x=x,
        y=y,
        font_size=size,
        text_anchor=None if anchor == "start" else anchor,
        font_weight="bold" if bold else None,
        fill=fill,
        paint_order="stroke" if halo else None,
        **around,
    )


def line(start: Point, end: Point, *, stroke: str, width: float = 1, dash: str | None = None) -> Markup:
    return element(
        "line",
        x1=start[0],
        y1=start[1],
        x2=end[0],
        y2=end[1],
        stroke=stroke,
        stroke_width=width,
        stroke_dasharray=dash,
    )


def box(
    x: float, y: float, width: float, height: float, *, fill: str, radius: float = 0, **more: str | float
) -> Markup:
    """A rectangle; a width or height below nothing is drawn as nothing."""
    return element(
        "rect", x=x, y=y, width=max(0.0, width), height=max(0.0, height), fill=fill, rx=radius or None, **more
    )


def polyline(points: Iterable[Point], **attributes: str | float | None) -> Markup:
    written = " ".join(f"{number(x)},{number(y)}" for x, y in points)
    return element("polyline", points=written, fill="none", **attributes)


def polygon(points: Iterable[Point], **attributes: str | float | None) -> Markup:
    return element("polygon", points=" ".join(f"{number(x)},{number(y)}" for x, y in points), **attributes)


def shortened(text: str, width: float, size: float) -> str:
    """The text as it is spoken, cut with an ellipsis so that it fits `width` in a sans-serif of this size."""
    text = spoken(text)
    room = max(1, int(width / (WIDE_SHARE * size)))
    return text if len(text) <= room else text[: max(1, room - 1)].rstrip() + "…"


def fitted(text: str, width: float, size: float) -> tuple[str, float]:
    """The text as it is spoken and its letter size: smaller where it is long, and cut only where that is too long."""
    said, sizes = spoken(text), [round(size * share, 2) for share in SIZE_SHARES]
    fits = next((one for one in sizes if shortened(text, width, one) == said), sizes[-1])
    return shortened(text, width, fits), fits


def wrapped(text: str, width: float, size: float, *, most: int = 4) -> list[str]:
    """The text as it is spoken, in lines that fit `width`; what does not fit `most` lines ends in an ellipsis."""
    lines: list[str] = []
    room = max(1, int(width / (WIDE_SHARE * size)))
    current = ""
    for word in spoken(text).split():
        if current and len(current) + 1 + len(word) > room:
            lines.append(current)
            current = word
        else:
            current = f"{current} {word}".strip()
    lines.append(current)
    if len(lines) > most:
        lines = [*lines[: most - 1], " ".join(lines[most - 1 :])]
    return [shortened(one, width, size) for one in lines if one]


def paragraph(x: float, y: float, lines: Sequence[str], *, size: float, fill: str = INK) -> Markup:
    """Lines of text one under another, the first with its baseline at y."""
    return group(
        *(label(x, y + row * size * 1.35, text, size=size, fill=fill) for row, text in enumerate(lines))
    )


def picture(width: float, height: float, *children: Markup, title: str, desc: str) -> str:
    """A whole SVG file; `desc`, which is put together of many clauses, is given as it is spoken.

    It brings its own white paper, so it reads the same on a light and on a dark page.
    """
    paper = box(0, 0, width, height, fill=PAPER)
    return (
        element(
            "svg",
            element("title", words(spoken(title))),
            element("desc", words(desc)),
            paper,
            *children,
            xmlns="http://www.w3.org/2000/svg",
            viewBox=f"0 0 {number(width)} {number(height)}",
            width=width,
            height=height,
            role="img",
            font_family=FONT,
        )
        + "\n"
    )
