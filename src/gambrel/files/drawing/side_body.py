"""The side itself: tinted regions, ribs, backbone, kidney fat and the hook it hangs from."""

from __future__ import annotations

from collections.abc import Mapping

from gambrel.files.drawing.colours import BONE, BONE_EDGE, FAT, LINE, MEAT, PAPER, QUIET
from gambrel.files.drawing.curves import Curve, smooth
from gambrel.files.drawing.inputs import SideCutout
from gambrel.files.drawing.side_shape import (
    AITCH_BONE,
    WIDTH,
    Shape,
    areas,
    outline,
    rib_lines,
    shape_of,
    vertebrae,
)
from gambrel.files.drawing.svg import Markup, box, element, group

_LINE: dict[str, str | float] = {"fill": "none", "stroke_linecap": "round"}
_BONE: dict[str, str | float] = {"fill": BONE, "stroke": BONE_EDGE, "stroke_width": 1}


def side_body(cutout: SideCutout, tints: Mapping[str, str], *, hump: bool, kidney_fat: bool) -> Markup:
    """The drawing, 400 by 930; regions without a tint are grey. A left side is the right one mirrored."""
    shape = shape_of(cutout.species)
    mirror = WIDTH if cutout.hand == "left" else None
    curves = areas(shape)
    parts = [
        _hook(mirror),
        _rim(curves["foreshank"], mirror),
        _region("foreshank", curves, tints, mirror),
        _rim(outline(shape), mirror),
    ]
    for slug in curves:
        if slug not in ("foreshank", "kidney-fat") and (hump or slug != "hump"):
            parts.append(_region(slug, curves, tints, mirror))
    parts.append(_bones(cutout, shape, mirror))
    if kidney_fat:
        d = curves["kidney-fat"].path(mirror_width=mirror, closed=True)
        parts.append(
            element("path", d=d, fill=FAT, stroke=BONE_EDGE, stroke_width=1.5, class_="region kidney-fat")
        )
    return group(*parts)


def _rim(curve: Curve, mirror: float | None) -> Markup:
    """A dark edge that shows a pale region against the paper."""
    d = curve.path(mirror_width=mirror, closed=True)
    return element("path", d=d, fill=PAPER, stroke=MEAT, stroke_width=6, stroke_linejoin="round")


def _region(slug: str, curves: Mapping[str, Curve], tints: Mapping[str, str], mirror: float | None) -> Markup:
    d = curves[slug].path(mirror_width=mirror, closed=True)
    return element(
        "path",
        d=d,
        fill=tints.get(slug, LINE),
        stroke=PAPER,
        stroke_width=3,
        stroke_linejoin="round",
        class_=f"region {slug}",
    )


def _hook(mirror: float | None) -> Markup:
    """Rail, trolley hook and the hock it goes through."""
    x = 206.0 if mirror is None else mirror - 206.0
    bend = f"M {x} -2 C {x - 2} 12 {x - 18} 22 {x - 8} 38 C {x - 2} 48 {x + 12} 46 {x + 12} 36"
    rail = box(x - 90, -8, 180, 6, fill=QUIET, radius=3)
    return group(rail, element("path", d=bend, stroke=QUIET, stroke_width=5, **_LINE))


def _bones(cutout: SideCutout, shape: Shape, mirror: float | None) -> Markup:
    """Ribs by their number, the split backbone, the aitch bone."""
    parts: list[Markup] = []
    last = cutout.ribbed_between[0]
    for index, curve in rib_lines(shape, cutout.rib_pairs, last):
        d = curve.path(mirror_width=mirror)
        where = "chuck" if index <= 5 else "rib" if index <= last else "loin"
        parts.append(element("path", d=d, stroke=BONE_EDGE, stroke_width=6.5, **_LINE))
        parts.append(
            element("path", d=d, stroke=BONE, stroke_width=4.5, class_=f"rib rib-of-{where}", **_LINE)
        )
    for x, y in vertebrae(shape):
        middle = x if mirror is None else mirror - x
        parts.append(element("rect", x=middle - 7, y=y - 6.5, width=14, height=13, rx=4, **_BONE))
    aitch = smooth(AITCH_BONE, closed=True).path(mirror_width=mirror, closed=True)
    return group(*parts, element("path", d=aitch, **_BONE))
