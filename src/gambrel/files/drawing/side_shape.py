"""The shape of a hanging side, point by point: outline, cutting lines, ribs, bones; laid by hand.

The inside of the right side, hung by the hind shank: back to the left, belly to the right, neck down; the
left side is its mirror image. Places are on a sheet 400 wide and 930 high. Schematic: nothing is
measured from it.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from gambrel.files.drawing.curves import Curve, between, smooth
from gambrel.files.drawing.svg import Point

WIDTH = 400.0
HEIGHT = 930.0

Outline = tuple[tuple[str, float, float], ...]

# A name marks where a cutting line meets the edge; the rest only give the edge its bend.
CATTLE_EDGE: Outline = (
    ("hock", 184, 48), ("", 181, 84), ("", 176, 128), ("shank-back", 158, 180), ("", 126, 228),
    ("", 102, 292), ("", 97, 344), ("round-back", 110, 392), ("", 116, 420), ("sirloin-back", 110, 474),
    ("", 108, 525), ("rib-back", 111, 584), ("", 109, 630), ("hump-top", 105, 666),
    ("chuck-back", 101, 694), ("", 92, 744), ("", 96, 796), ("hump-foot", 109, 834),
    ("neck-back", 138, 902), ("", 166, 917), ("", 200, 917), ("neck-front", 226, 900), ("", 246, 874),
    ("breast", 268, 858), ("", 300, 846), ("", 334, 812), ("", 352, 764), ("chuck-belly", 350, 706),
    ("", 342, 640), ("plate-belly", 327, 566), ("", 311, 488), ("", 294, 420), ("stifle", 271, 352),
    ("", 270, 302), ("", 260, 246), ("shank-front", 240, 190), ("", 231, 132), ("", 228, 84),
    ("hock-front", 227, 46), ("", 206, 30),
)  # fmt: skip

# Bison: the long feather bones raise the hump, the fore is deep, the round slim.
BISON_EDGE: Outline = (
    ("hock", 186, 48), ("", 183, 84), ("", 178, 128), ("shank-back", 163, 180), ("", 138, 228),
    ("", 119, 290), ("", 115, 342), ("round-back", 126, 388), ("", 130, 416), ("sirloin-back", 124, 462),
    ("", 118, 508), ("rib-back", 106, 564), ("", 90, 612), ("hump-top", 74, 652), ("chuck-back", 60, 698),
    ("", 52, 746), ("", 66, 800), ("hump-foot", 92, 838), ("neck-back", 130, 898), ("", 158, 916),
    ("", 196, 918), ("neck-front", 230, 904), ("", 254, 882), ("breast", 282, 868), ("", 322, 850),
    ("", 356, 810), ("", 374, 758), ("chuck-belly", 372, 702), ("", 360, 630), ("plate-belly", 332, 548),
    ("", 306, 474), ("", 286, 410), ("stifle", 264, 348), ("", 262, 300), ("", 254, 246),
    ("shank-front", 238, 190), ("", 230, 132), ("", 227, 84), ("hock-front", 226, 46), ("", 206, 30),
)  # fmt: skip

Cuts = dict[str, tuple[Point, ...]]

# Cutting lines as the saw or knife runs; the first and last point of each lie on the edge or on another line.
CATTLE_CUTS: Cuts = {
    "shank": ((158, 180), (198, 197), (240, 190)),
    "round": ((110, 392), (186, 384), (271, 352)),
    "sirloin": ((110, 474), (176, 468), (238, 452)),
    "rib": ((111, 584), (172, 577), (230, 567), (278, 562), (327, 566)),
    "chuck": ((101, 694), (172, 693), (240, 690), (294, 692), (350, 706)),
    "flank-loin": ((271, 352), (250, 400), (238, 452)),
    "flank-rib": ((238, 452), (232, 508), (230, 567)),
    "plate": ((230, 567), (236, 630), (240, 690)),
    "brisket": ((240, 690), (246, 776), (268, 858)),
    "hump": ((105, 666), (109, 750), (109, 834)),
}
BISON_CUTS: Cuts = {
    "shank": ((163, 180), (200, 196), (238, 190)),
    "round": ((126, 388), (194, 378), (264, 348)),
    "sirloin": ((124, 462), (182, 456), (236, 442)),
    "rib": ((106, 564), (170, 556), (230, 546), (280, 543), (332, 548)),
    "chuck": ((60, 698), (160, 696), (244, 690), (306, 690), (372, 702)),
    "flank-loin": ((264, 348), (246, 394), (236, 442)),
    "flank-rib": ((236, 442), (231, 492), (230, 546)),
    "plate": ((230, 546), (238, 618), (244, 690)),
    "brisket": ((244, 690), (252, 780), (282, 868)),
    "hump": ((74, 652), (112, 696), (118, 770), (92, 838)),
}

CATTLE_SPINE: tuple[Point, ...] = (
    (128, 372), (130, 430), (128, 500), (130, 584), (128, 650), (126, 700), (128, 760), (140, 820),
    (162, 880),
)  # fmt: skip
BISON_SPINE: tuple[Point, ...] = (
    (141, 370), (142, 424), (138, 490), (138, 564), (138, 630), (138, 700), (140, 760), (146, 820),
    (162, 880),
)  # fmt: skip

FORESHANK: tuple[Point, ...] = (
    (284, 800), (312, 846), (328, 880), (334, 914), (348, 922), (364, 912), (362, 880), (354, 836),
    (344, 780),
)  # fmt: skip
KIDNEY_FAT: tuple[Point, ...] = (
    (174, 422), (192, 414), (207, 434), (209, 466), (204, 500), (192, 522), (177, 512), (167, 480),
    (165, 444), (174, 422),
)  # fmt: skip
AITCH_BONE: tuple[Point, ...] = (
    (140, 318),
    (158, 306),
    (172, 322),
    (168, 352),
    (154, 372),
    (142, 356),
    (140, 318),
)

FIRST_RIB: tuple[Point, ...] = ((150, 836), (178, 834), (206, 836), (228, 842), (246, 852))


@dataclass(frozen=True, slots=True)
class Shape:
    """Smoothed edges and cutting lines of one species, ready to be joined into regions."""

    edge: dict[str, Curve]
    cuts: dict[str, Curve]
    cut_points: Cuts
    spine: tuple[Point, ...]


def shape_of(species: str) -> Shape:
    """Bison has a shape of its own; everything else is drawn as cattle."""
    outline, cuts, spine = ((BISON_EDGE, BISON_CUTS, BISON_SPINE) if species == "bison"
                            else (CATTLE_EDGE, CATTLE_CUTS, CATTLE_SPINE))  # fmt: skip
    return Shape(edge=_named_edges(outline), cuts={name: smooth(points) for name, points in cuts.items()},
                 cut_points=cuts, spine=spine)  # fmt: skip


def _named_edges(outline: Outline) -> dict[str, Curve]:
    """The outline bent once as a whole, then split at its names: edge X runs from X to the next name."""
    points = [(x, y) for _, x, y in outline]
    names = [(index, name) for index, (name, _, _) in enumerate(outline) if name]
    whole = smooth((*points, points[0]), closed=True)
    edges: dict[str, Curve] = {}
    for (begin, name), (end, _) in zip(names, [*names[1:], (len(outline), "")], strict=True):
        edges[name] = Curve(start=points[begin], bends=whole.bends[begin:end])
    return edges


def outline(shape: Shape) -> Curve:
    """The edge of the whole side, run round once."""
    first, *others = shape.edge.values()
    return first.then(*others)


def areas(shape: Shape) -> dict[str, Curve]:
    """Each region's closed edge by slug, in painting order; the hump lies over chuck and rib."""
    edge, cut = shape.edge, shape.cuts
    rib_back, rib_belly = cut["rib"].head(2), cut["rib"].tail(2)
    chuck_back, chuck_belly = cut["chuck"].head(2), cut["chuck"].tail(2)
    return {
        "foreshank": smooth(FORESHANK),
        "hindshank": edge["hock"].then(cut["shank"], edge["shank-front"], edge["hock-front"]),
        "round": edge["shank-back"].then(cut["round"], edge["stifle"], cut["shank"].back()),
        "sirloin": edge["round-back"].then(cut["sirloin"], cut["flank-loin"].back(), cut["round"].back()),
        "short-loin": edge["sirloin-back"].then(rib_back, cut["flank-rib"].back(), cut["sirloin"].back()),
        "flank": cut["flank-loin"].then(cut["flank-rib"], rib_belly, edge["plate-belly"]),
        "rib": edge["rib-back"].then(edge["hump-top"], chuck_back, cut["plate"].back(), rib_back.back()),
        "plate": cut["plate"].then(chuck_belly, edge["chuck-belly"], rib_belly.back()),
        "chuck": chuck_back.then(cut["brisket"], edge["neck-front"].back(), edge["neck-back"].back(),
                                 edge["hump-foot"].back(), edge["chuck-back"].back()),
        "brisket": cut["brisket"].then(edge["breast"], chuck_belly.back()),
        "hump": edge["hump-top"].then(edge["chuck-back"], cut["hump"].back()),
        "kidney-fat": smooth(KIDNEY_FAT, closed=True),
    }  # fmt: skip


def rib_lines(shape: Shape, rib_pairs: int, last_in_rib: int) -> list[tuple[int, Curve]]:
    """Rib number and arch, from the neck back; ribs 6 to `last_in_rib` lie between chuck and loin cut."""
    chuck, rib = shape.cut_points["chuck"], shape.cut_points["rib"]
    ribs: list[tuple[int, Curve]] = []
    for index in range(1, rib_pairs + 1):
        if index <= 5:
            points = between(FIRST_RIB, chuck, (index - 0.5) / 5)
        else:
            points = between(chuck, rib, (index - 5.5) / (last_in_rib - 5))
        ribs.append((index, _arch(points, _spine_x(shape, points[0][1]), _reach_share(index, rib_pairs))))
    return ribs


def _arch(points: Sequence[Point], start_x: float, reach_share: float) -> Curve:
    """One even bend from the spine, ended `reach_share` of the way to the belly and dropping there."""
    end_x = points[-1][0] * reach_share
    run = end_x - start_x
    crown = points[len(points) // 2][1]
    start, end = (start_x, points[0][1] + 5), (end_x, points[-1][1] + 14)
    return Curve(start, (((start_x + 0.30 * run, crown - 2), (start_x + 0.78 * run, crown - 10), end),))


def _reach_share(index: int, rib_pairs: int) -> float:
    """How far a rib's bone runs before gristle goes on; the hindmost end free in the flank."""
    if index == rib_pairs:
        return 0.80
    return min(0.93, 0.88 + 0.01 * index)


def _spine_x(shape: Shape, y: float) -> float:
    """Where the spine is at this height."""
    for (x0, y0), (x1, y1) in pairwise(shape.spine):
        if y0 <= y <= y1:
            return x0 + (x1 - x0) * (y - y0) / (y1 - y0)
    return shape.spine[-1][0]


def vertebrae(shape: Shape) -> list[Point]:
    """Middles of the split backbone's bones, tail to neck: 5 of the rump, 19 of loin and back, 6 of the neck.

    The 19 hold for both species (from memory; they are only drawn).
    """
    count = 5 + 19 + 6
    return [_along(shape.spine, (place + 0.5) / count) for place in range(count)]


def _along(points: Sequence[Point], share: float) -> Point:
    lengths = [math.dist(a, b) for a, b in pairwise(points)]
    left = share * sum(lengths)
    for (a, b), length in zip(pairwise(points), lengths, strict=True):
        if left <= length:
            return (a[0] + (b[0] - a[0]) * left / length, a[1] + (b[1] - a[1]) * left / length)
        left -= length
    return points[-1]
