"""The kinds beside each other: rib faces at one scale, side weight, days on the rail, yield and price."""

from __future__ import annotations

import math
from collections.abc import Sequence

from gambrel.files.drawing import say
from gambrel.files.drawing.axis import Scale
from gambrel.files.drawing.colours import (
    BAND,
    BONES,
    FAINT,
    FAT,
    GROUND,
    INK,
    LINE,
    LOSS,
    MEAT,
    QUIET,
    READY,
    TARGET,
)
from gambrel.files.drawing.inputs import KindFace, YieldSplit
from gambrel.files.drawing.svg import (
    Markup,
    Point,
    box,
    element,
    fitted,
    group,
    label,
    line,
    picture,
    polygon,
    shortened,
    wrapped,
)
from gambrel.files.speech import spoken
from gambrel.measures import Estimate

COLUMN = 290.0
NAMES = 130.0
HEIGHT = 872.0
FACE_MIDDLE = 205.0
LARGEST_PER_MM = 1.55
EYE_RATIO = 0.62
"""Depth of the drawn ribeye over its width: a schematic, only area and cover are to scale."""

_SPLIT = (("cuts_share", "cuts", MEAT), ("ground_share", "ground", GROUND), ("fat_share", "fat", FAT),
          ("bone_share", "bone", BONES), ("loss_share", "loss", LOSS))  # fmt: skip


def kinds_svg(kinds: Sequence[KindFace], *, title: str, note: str = "") -> str:
    """One column a kind, in the order given; 130 + 290 a kind wide, 872 high."""
    if not kinds:
        raise ValueError("at least one kind is needed")
    for kind in kinds:
        _check(kind)
    width = NAMES + COLUMN * len(kinds) + 20
    weights = Scale(0.0, max(kind.side_kg.p95 for kind in kinds), 0.0, COLUMN - 40)
    days = Scale(0.0, max(kind.hang_days[2] for kind in kinds) + 1, 0.0, COLUMN - 40)
    per_mm = _face_scale(kinds)
    columns = [
        group(_column(kind, weights, days, per_mm), transform=f"translate({NAMES + COLUMN * place:g} 0)")
        for place, kind in enumerate(kinds)
    ]
    return picture(
        width,
        HEIGHT,
        label(20, 38, shortened(title, width - 40, 25), size=25, bold=True),
        _names(width),
        *columns,
        _foot(width, note, per_mm),
        title=title,
        desc=_in_words(kinds),
    )


def _check(kind: KindFace) -> None:
    total = sum(getattr(kind.split, name) for name, _, _ in _SPLIT)
    if abs(total - 1.0) > 1e-3:
        raise ValueError(f"{kind.name}: the yield shares add to {total:.4f}, not 1")
    if kind.ribeye_cm2.mean <= 0 or kind.fat_mm.mean < 0:
        raise ValueError(f"{kind.name}: a ribeye area above 0 and a cover of 0 or more are needed")


def _in_words(kinds: Sequence[KindFace]) -> str:
    told = []
    for kind in kinds:
        parts = ", ".join(
            f"{spoken(name)} {say.pct(getattr(kind.split, field))}" for field, name, _ in _SPLIT
        )
        told.append(
            spoken(
                f"{kind.name}: ribeye {say.area(kind.ribeye_cm2.mean)}, cover {say.thickness(kind.fat_mm.mean)}, "
                f"side {say.kg_lb(kind.side_kg.mean)}, hangs {_days(kind)}, {parts}"
            )
        )
    return ". ".join(told) + ". " + spoken("The shop's own estimates, not an official grade.")


def _days(kind: KindFace) -> str:
    first, best, last = kind.hang_days
    return f"{first} to {last} days, best {best}"


_BANDS = (
    ("rib face", 112.0),
    ("side on the rail", 424.0),
    ("days on the rail", 530.0),
    ("yield of the side", 628.0),
    ("price range", 782.0),
)


def _names(width: float) -> Markup:
    parts: list[Markup] = []
    for name, top in _BANDS:
        parts.append(line((16, top - 26), (width - 16, top - 26), stroke=LINE))
        parts.extend(label(20, top + 20 * row, text, size=17, fill=QUIET)
                     for row, text in enumerate(wrapped(name, NAMES - 20, 17)))  # fmt: skip
    return group(*parts)


def _column(kind: KindFace, weights: Scale, days: Scale, per_mm: float) -> Markup:
    name, size = fitted(kind.name, COLUMN - 24, 20)
    return group(
        label(0, 74, name, size=size, bold=True),
        _face(kind, per_mm),
        _side(kind, weights, 424.0),
        _hanging(kind, days, 530.0),
        _yield(kind.split, 628.0),
        _price(kind, 782.0),
        class_="kind",
    )


def eye_axes_mm(area_cm2: float) -> tuple[float, float]:
    """Half width and half depth [mm] of the ellipse that has this area."""
    half_width = math.sqrt(area_cm2 * 100.0 / (math.pi * EYE_RATIO))
    return half_width, half_width * EYE_RATIO


def _face_scale(kinds: Sequence[KindFace]) -> float:
    """Units of the drawing a millimetre: one scale for all, small enough for the largest face."""
    fits = [LARGEST_PER_MM]
    for kind in kinds:
        across, deep = eye_axes_mm(kind.ribeye_cm2.mean)
        fits.append((COLUMN - 50) / 2 / (across + 0.4 * kind.fat_mm.mean))
        fits.append((FACE_MIDDLE - 92) / (deep + kind.fat_mm.mean))
    return min(fits)


def cover_points(across: float, deep: float, cover: float) -> list[Point]:
    """The fat cover about an ellipse's middle: full thickness over the back, thinning out at both ends."""
    rim: list[Point] = []
    outer: list[Point] = []
    for step in range(41):
        turn = math.pi * (1 + step / 40)
        x, y = across * math.cos(turn), deep * math.sin(turn)
        nx, ny = deep * math.cos(turn), across * math.sin(turn)
        thick = cover * min(1.0, 1.8 * math.sin(math.pi * step / 40)) / math.hypot(nx, ny)
        rim.append((x, y))
        outer.append((x + nx * thick, y + ny * thick))
    return [*outer, *reversed(rim)]


def _face(kind: KindFace, per_mm: float) -> Markup:
    """Ribeye as an ellipse with the fat cover as a band along its outer edge, both to the same scale."""
    across, deep = (per_mm * half for half in eye_axes_mm(kind.ribeye_cm2.mean))
    x, y = (COLUMN - 40) / 2, FACE_MIDDLE
    cover = cover_points(across, deep, per_mm * kind.fat_mm.mean)
    marbling = "not read" if kind.marbling_pct is None else f"{say.plain(kind.marbling_pct)} %"
    area, fat = kind.ribeye_cm2, kind.fat_mm
    return group(
        polygon(
            [(x + dx, y + dy) for dx, dy in cover], fill=FAT, stroke=QUIET, stroke_width=1, class_="cover"
        ),
        element(
            "ellipse", cx=x, cy=y, rx=across, ry=deep, fill=MEAT, stroke=INK, stroke_width=1, class_="eye"
        ),
        label(0, 318, f"ribeye {say.area(area.mean)}", size=17),
        label(0, 340, f"cover {say.thickness(fat.mean)}", size=17),
        label(0, 362, f"marbling {marbling}", size=17),
        label(0, 384, _read_or_range(area, fat), size=15, fill=QUIET),
    )


def _read_or_range(area_cm2: Estimate, fat_mm: Estimate) -> str:
    """The ranges, where the figures are estimates; a figure that was read has none."""
    if area_cm2.p05 == area_cm2.p95 and fat_mm.p05 == fat_mm.p95:
        return "as read at the rib face"
    return f"90 %: {say.span(area_cm2, 'cm²', 0)}, {say.span(fat_mm, 'mm', 0)}"


def _side(kind: KindFace, scale: Scale, y: float) -> Markup:
    weight = kind.side_kg
    return group(
        box(0, y - 14, scale.at(weight.mean), 20, fill=BAND, radius=2),
        line((scale.at(weight.p05), y - 18), (scale.at(weight.p05), y + 10), stroke=INK, width=1.5),
        line((scale.at(weight.p95), y - 18), (scale.at(weight.p95), y + 10), stroke=INK, width=1.5),
        line((scale.at(weight.p05), y - 4), (scale.at(weight.p95), y - 4), stroke=INK, width=1.5),
        label(0, y + 32, say.kg_lb(weight.mean), size=17),
        label(0, y + 52, f"90 %: {say.span_kg(weight)}", size=15, fill=QUIET),
    )  # fmt: skip


def _hanging(kind: KindFace, scale: Scale, y: float) -> Markup:
    first, best, last = (scale.at(day) for day in kind.hang_days)
    return group(
        box(0, y - 6, scale.at(scale.high), 4, fill=FAINT),
        box(first, y - 14, last - first, 20, fill=READY, radius=3),
        line((best, y - 16), (best, y + 8), stroke=TARGET, width=4),
        label(0, y + 32, _days(kind), size=17),
    )


def _yield(split: YieldSplit, y: float) -> Markup:
    """A bar of the whole side, and its parts named in figures below."""
    parts: list[Markup] = []
    left = 0.0
    for place, (field, name, tint) in enumerate(_SPLIT):
        share: float = getattr(split, field)
        width = share * (COLUMN - 40)
        parts.append(box(left, y - 14, width, 26, fill=tint, stroke=INK, stroke_width=0.6, class_="part"))
        left += width
        x, base = (0.0, 131.0)[place % 2], y + 38 + 24 * (place // 2)
        parts.append(box(x, base - 13, 14, 14, fill=tint, stroke=INK, stroke_width=0.6))
        parts.append(label(x + 21, base, f"{spoken(name)} {say.pct(share)}", size=17))
    return group(*parts)


def _price(kind: KindFace, y: float) -> Markup:
    low, high = kind.low_cents_per_kg, kind.high_cents_per_kg
    if low is None or high is None:
        return label(0, y, "no prices yet", size=17, fill=QUIET)
    kilos = f"{say.per_kg(low).removesuffix('/kg')} to {say.per_kg(high)}"
    return group(label(0, y, f"{say.per_lb(low).removesuffix('/lb')} to {say.per_lb(high)}", size=17),
                 label(0, y + 22, kilos, size=15, fill=QUIET))  # fmt: skip


def _foot(width: float, note: str, per_mm: float) -> Markup:
    """The scale of the rib faces, and whose figures these are."""
    bar = 50 * per_mm
    text = " ".join(
        part
        for part in (
            "The shop's own estimates, not an official grade. Rib faces are schematic: area "
            "and cover are to scale, the outline is not.",
            note,
        )
        if part
    )
    return group(
        line((20, 300), (20 + bar, 300), stroke=INK, width=2),
        line((20, 294), (20, 306), stroke=INK, width=2),
        line((20 + bar, 294), (20 + bar, 306), stroke=INK, width=2),
        label(20, 286, "5 cm · 2.0 in", size=15),
        *(
            label(20, 838 + 20 * row, one, size=15, fill=QUIET)
            for row, one in enumerate(wrapped(text, width - 40, 15, most=2))
        ),
    )
