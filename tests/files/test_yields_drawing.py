"""The drawing of yields: every dot stands where its share is, and what the shop never weighed has no dot."""

from __future__ import annotations

import re
from xml.etree import ElementTree

import pytest

from gambrel.files.drawing.yields import NAMES, PLOT_END, CutYield, yields_svg
from gambrel.measures import Estimate

SMALL = CutYield("tenderloin", Estimate(0.02, 0.015, 0.025), None, Estimate(0.02, 0.016, 0.024))
BIG = CutYield(
    "chuck roll", Estimate(0.08, 0.06, 0.10), Estimate(0.09, 0.08, 0.10), Estimate(0.085, 0.075, 0.095)
)


def dots(svg: str, whose: str) -> list[float]:
    return [float(x) for x in re.findall(rf'<circle cx="([\d.]+)"[^>]*class="{whose}"', svg)]


def test_every_dot_stands_where_its_share_is() -> None:
    svg = yields_svg([BIG, SMALL], title="Yields")
    at = [
        NAMES + share / (0.10 * 1.03) * (PLOT_END - NAMES) for share in (0.08, 0.02)
    ]  # the widest end is 10 %
    assert dots(svg, "book") == pytest.approx(at, abs=0.01)
    assert dots(svg, "both")[0] > dots(svg, "book")[0]


def test_what_was_never_weighed_has_no_dot_and_is_said_so() -> None:
    svg = yields_svg([BIG, SMALL], title="Yields")
    assert (len(dots(svg, "own")), len(dots(svg, "both"))) == (1, 2)
    assert "tenderloin book 2.0 %, never weighed, both 2.0 %" in svg


@pytest.mark.parametrize("cuts", [[], [SMALL], [BIG] * 30])
def test_the_drawing_is_well_formed_and_holds_its_title(cuts: list[CutYield]) -> None:
    root = ElementTree.fromstring(yields_svg(cuts, title="A & B <yields>"))
    assert root.find("{http://www.w3.org/2000/svg}title").text == "A & B <yields>"  # type: ignore[union-attr]
    assert float(root.get("viewBox", "0 0 0 0").split()[2]) == 1000.0
