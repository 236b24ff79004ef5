"""The cutout drawn as the hanging side: each region with kg, lb and share, shaded by share or value."""

from __future__ import annotations

from gambrel.files.drawing import say
from gambrel.files.drawing.colours import QUIET, ramp
from gambrel.files.drawing.inputs import Region, SideCutout
from gambrel.files.drawing.side_body import side_body
from gambrel.files.drawing.side_labels import ANCHORS, LABEL_WIDTH, TOP, side_labels
from gambrel.files.drawing.side_shape import HEIGHT, WIDTH
from gambrel.files.drawing.svg import Markup, box, group, label, picture, shortened, wrapped
from gambrel.files.speech import spoken

SHADES = ("share", "value")
MERGED = {"loin": ("sirloin", "short-loin"), "shank": ("hindshank", "foreshank")}
"""A region that stands for two drawn ones."""

SHEET_WIDTH = WIDTH + 2 * LABEL_WIDTH
SHEET_HEIGHT = TOP + HEIGHT + 110.0


def side_svg(cutout: SideCutout, *, shade: str = "share") -> str:
    """One side as an SVG picture, 912 by 1132. `shade`: share (of the hung side) or value (price of a kg)."""
    panel = _panel(cutout, shade)
    return picture(SHEET_WIDTH, SHEET_HEIGHT, panel, title=cutout.title, desc=_in_words(cutout))


def pair_svg(left: SideCutout, right: SideCutout, *, shade: str = "share") -> str:
    """Two sides beside each other, 1848 by 1132: a left and a right side, or two kinds."""
    step = SHEET_WIDTH + 24.0
    moved = group(_panel(right, shade), transform=f"translate({step:g} 0)")
    return picture(
        step + SHEET_WIDTH,
        SHEET_HEIGHT,
        _panel(left, shade),
        moved,
        title=f"{left.title}; {right.title}",
        desc=f"{_in_words(left)} {_in_words(right)}",
    )


def _in_words(cutout: SideCutout) -> str:
    """The picture told to someone who cannot see it."""
    parts = "; ".join(f"{spoken(region.name)} {say.kg_lb(region.kg.mean)}, {say.pct(cutout.share(region))}"
                      for region in cutout.regions)  # fmt: skip
    head = spoken(
        f"Inside of the {cutout.hand} side, hung by the hind shank, {say.kg_lb(cutout.hung_kg.mean)}."
    )
    whose = spoken("The shop's own estimates with 90 % intervals; schematic drawing.")
    return f"{head} {parts}. {whose}"


def _panel(cutout: SideCutout, shade: str) -> Markup:
    if shade not in SHADES:
        raise ValueError(f"shade is share or value, not {shade}")
    if cutout.hand not in ("left", "right"):
        raise ValueError(f"hand is left or right, not {cutout.hand}")
    if not cutout.hung_kg.mean > 0:
        raise ValueError("a side must weigh something")
    drawn = {region.slug: region for region in cutout.regions if region.slug in ANCHORS}
    values = _values(cutout, drawn, shade)
    body = side_body(cutout, _tints(values, drawn), hump="hump" in drawn, kidney_fat="kidney-fat" in drawn)
    return group(
        _heading(cutout),
        group(body, transform=f"translate({LABEL_WIDTH:g} {TOP:g})"),
        *side_labels(cutout, drawn.values(), with_price=shade == "value"),
        _legend(values, shade),
        _notes(cutout),
    )


def _heading(cutout: SideCutout) -> Markup:
    first, last = cutout.ribbed_between
    weight = spoken(
        f"{say.kg(cutout.hung_kg.mean)} ({say.span_kg(cutout.hung_kg)}) · {say.lb(cutout.hung_kg.mean)} hung"
    )
    under = f"{cutout.hand} side, inside · {weight} · {cutout.rib_pairs} ribs, ribbed {first}/{last}"
    title = shortened(cutout.title, SHEET_WIDTH - 40, 26)
    return group(label(SHEET_WIDTH / 2, 34, title, size=26, bold=True, anchor="middle"),
                 label(SHEET_WIDTH / 2, 62, under, size=18, anchor="middle", fill=QUIET))  # fmt: skip


def _values(cutout: SideCutout, drawn: dict[str, Region], shade: str) -> dict[str, float]:
    """What each region is shaded by; a region without a price has none."""
    if shade == "share":
        return {slug: cutout.share(region) for slug, region in drawn.items()}
    return {slug: region.cents_per_kg for slug, region in drawn.items() if region.cents_per_kg is not None}


def _tints(values: dict[str, float], drawn: dict[str, Region]) -> dict[str, str]:
    """Colour by drawn area; what a wider region covers takes its colour."""
    most = max(values.values(), default=0.0)
    tints = {slug: ramp(value / most if most > 0 else 0.0) for slug, value in values.items()}
    for whole, parts in MERGED.items():
        if whole in tints:
            for part in parts:
                tints.setdefault(part, tints[whole])
    if "chuck" in tints and "hump" not in drawn:
        tints["hump"] = tints["chuck"]
    return tints


def _legend(values: dict[str, float], shade: str) -> Markup:
    y = TOP + HEIGHT + 34
    most = max(values.values(), default=0.0)
    name = "share of the hung side" if shade == "share" else "price of the region"
    low, high = ("0 %", say.pct(most)) if shade == "share" else ("$0.00/lb", say.per_lb(most))
    steps = [box(280 + 26 * step, y - 14, 26, 18, fill=ramp(step / 5)) for step in range(6)]
    return group(label(20, y, name, size=17, fill=QUIET), label(272, y, low, size=17, anchor="end"), *steps,
                 label(444, y, high, size=17))  # fmt: skip


def _notes(cutout: SideCutout) -> Markup:
    """What is not on the drawing, and whose figures these are."""
    rest = [region for region in cutout.regions if region.slug not in ANCHORS]
    elsewhere = "; ".join(f"{spoken(region.name)} {say.kg_lb(region.kg.mean)}" for region in rest)
    parts = [spoken(f"Not on the drawing: {elsewhere}.") if rest else "", cutout.note,
             spoken("In brackets the 90 % interval. The shop's own estimates; schematic drawing.")]  # fmt: skip
    lines = wrapped(" ".join(part for part in parts if part), SHEET_WIDTH - 40, 16, most=3)
    return group(*(label(20, TOP + HEIGHT + 62 + 21 * row, text, size=16, fill=QUIET)
                   for row, text in enumerate(lines)))  # fmt: skip
