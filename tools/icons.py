"""Draws the shop's icon as the PNG files that phones want: `python tools/icons.py`. The same figure as icon.svg."""

from __future__ import annotations

from pathlib import Path

from PIL import Image, ImageDraw

STATIC = Path(__file__).parents[1] / "src/gambrel/shop/pages/base/static/base"
SIZES_PX = (192, 512)
RED, PAPER = "#6e2620", "#fff7ee"
FINE = 4
"""Drawn so many times larger and made smaller, so that its edges are soft."""


def icon(size_px: int) -> Image.Image:
    """A gambrel on its rail; its figures are in 64ths of the picture."""
    unit = size_px * FINE / 64
    picture = Image.new("RGB", (size_px * FINE, size_px * FINE), RED)
    pen = ImageDraw.Draw(picture)

    def stroke(*points: tuple[float, float]) -> None:
        places = [(x * unit, y * unit) for x, y in points]
        pen.line(places, fill=PAPER, width=round(4.5 * unit), joint="curve")
        for x, y in places:
            radius = 2.25 * unit
            pen.ellipse((x - radius, y - radius, x + radius, y + radius), fill=PAPER)

    stroke((10, 16), (54, 16))
    stroke((32, 16), (32, 26))
    stroke((16, 34), (19, 30), (24, 27.5), (32, 27), (40, 27.5), (45, 30), (48, 34))
    stroke((16, 34), (16, 42), (18, 45), (21, 42))
    stroke((48, 34), (48, 42), (46, 45), (43, 42))
    return picture.resize((size_px, size_px), Image.Resampling.LANCZOS)


if __name__ == "__main__":
    for size_px in SIZES_PX:
        icon(size_px).save(STATIC / f"icon-{size_px}.png", optimize=True)
