"""The picture of a plan tried on draws."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest

from gambrel.files.drawing.tried import FOOT, LEFT, RIGHT, TriedPicture, tried_svg

SHOWN = TriedPicture("Tried", "on 100 draws", (0, 100_00, 200_00, 400_00), (10, 60, 30),
                     (("5", 50_00), ("50", 160_00), ("95", 380_00)))  # fmt: skip


def boxes(svg: str) -> list[tuple[float, float, float, float]]:
    """x, y, width and height of every bar; the paper itself is left out."""
    found = re.findall(r'<rect x="([\d.]+)" y="([\d.]+)" width="([\d.]+)" height="([\d.]+)"', svg)
    return [tuple(float(one) for one in each) for each in found if float(each[2]) < 800]  # type: ignore[misc]


def test_bars_are_as_high_as_their_counts_and_as_wide_as_their_stretch() -> None:
    first, second, third = boxes(tried_svg(SHOWN))
    assert second[3] == pytest.approx(2 * third[3], rel=1e-3) == pytest.approx(6 * first[3], rel=1e-3)
    assert third[2] + 2 == pytest.approx(2 * (first[2] + 2), rel=1e-3)
    assert all(y + height == pytest.approx(FOOT) for _, y, _, height in (first, second, third))


def test_marks_stand_at_their_profits() -> None:
    lines = re.findall(r'<line x1="([\d.]+)" y1="[\d.]+" x2="\1"', tried_svg(SHOWN))
    wanted = [LEFT + (RIGHT - LEFT) * cents / 400_00 for _, cents in SHOWN.marks]
    assert [float(x) for x in lines] == pytest.approx(wanted, abs=0.01)


def test_the_picture_says_in_words_what_it_shows() -> None:
    assert "<desc>on 100 draws 5 $50.00; 50 $160.00; 95 $380.00</desc>" in re.sub(
        r' id="[^"]*"', "", tried_svg(SHOWN)
    )


def test_draws_that_all_earn_the_same_are_drawn_too() -> None:
    flat = replace(SHOWN, edges_cents=(500, 500, 500, 500), marks=(("5", 500), ("50", 500), ("95", 500)))
    assert "<svg" in tried_svg(flat)


@pytest.mark.parametrize("edges", [(0, 1), (0, 2, 1, 3)])
def test_bars_without_their_edges_are_a_mistake_of_ours(edges: tuple[int, ...]) -> None:
    with pytest.raises(ValueError, match="rising edges"):
        tried_svg(replace(SHOWN, edges_cents=edges))


def test_what_is_said_is_escaped() -> None:
    assert "<b>" not in tried_svg(replace(SHOWN, title="<b>"))
