"""Sizes of labels: rolls with one label to a page, and sheets of many for an ordinary printer."""

from __future__ import annotations

from dataclasses import dataclass

MM_PER_IN = 25.4


@dataclass(frozen=True, slots=True)
class LabelSize:
    """One stock of labels, all in millimetres; `columns` times `rows` labels to a page, gaps between them."""

    slug: str
    words: str
    width_mm: float
    height_mm: float
    page_width_mm: float
    page_height_mm: float
    columns_count: int = 1
    rows_count: int = 1
    left_mm: float = 0.0
    top_mm: float = 0.0
    gap_x_mm: float = 0.0
    gap_y_mm: float = 0.0
    inset_mm: float = 2.0

    @property
    def places_count(self) -> int:
        return self.columns_count * self.rows_count

    @property
    def inner_width_mm(self) -> float:
        return self.width_mm - 2 * self.inset_mm


def _roll(slug: str, words: str, width_in: float, height_in: float) -> LabelSize:
    width, height = width_in * MM_PER_IN, height_in * MM_PER_IN
    return LabelSize(slug, words, width, height, width, height)


_LETTER = (8.5 * MM_PER_IN, 11 * MM_PER_IN)
_A4 = (210.0, 297.0)

SIZES: dict[str, LabelSize] = {
    size.slug: size
    for size in (
        _roll("roll-small", "roll, 2¼ × 3 in", 2.25, 3.0),
        _roll("roll-medium", "roll, 3 × 4 in", 3.0, 4.0),
        _roll("roll-square", "roll, 4 × 4 in", 4.0, 4.0),
        _roll("roll-large", "roll, 4 × 6 in", 4.0, 6.0),
        LabelSize("letter-6", "Letter sheet, 6 labels of 4 × 3⅓ in", 101.6, 254.0 / 3, *_LETTER, columns_count=2,
                  rows_count=3, left_mm=3.96, top_mm=12.7, gap_x_mm=4.78, inset_mm=3.0),
        LabelSize("letter-10", "Letter sheet, 10 labels of 4 × 2 in", 101.6, 50.8, *_LETTER, columns_count=2,
                  rows_count=5, left_mm=3.96, top_mm=12.7, gap_x_mm=4.78, inset_mm=3.0),
        LabelSize("a4-4", "A4 sheet, 4 labels of 105 × 148 mm", 105.0, 148.5, *_A4, columns_count=2, rows_count=2,
                  inset_mm=6.0),
        LabelSize("a4-8", "A4 sheet, 8 labels of 99 × 68 mm", 99.1, 67.7, *_A4, columns_count=2, rows_count=4,
                  left_mm=4.65, top_mm=13.1, gap_x_mm=2.5, inset_mm=3.0),
    )
}  # fmt: skip
"""Common stock; measure yours and print one on plain paper first."""
