"""The picture of the rails: to scale, every state in words, the window of each side as a bar."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET

import pytest

from gambrel.files.drawing.rails import LEFT, RIGHT, RailRow, RailWords, SideOnPlace, rails_svg
from gambrel.measures.estimate import Estimate

SPANISH = RailWords("aún no", "lista", "pasada", "día {}", "lista del día {} al {}", "vacío")


def side(
    name: str = "B1-left", place_mm: float = 0.0, days: int = 6, state: str = "ready",
    window_days: tuple[int, int, int] | None = (5, 7, 10),
) -> SideOnPlace:  # fmt: skip
    return SideOnPlace(name, place_mm, days, state, Estimate.exact(150.0), window_days)


def rects(svg: str) -> list[dict[str, float]]:
    """The boxes of the window bars: 8 high."""
    found = [one.attrib for one in ET.fromstring(svg).iter() if one.tag.endswith("rect")]
    kept = [one for one in found if one.get("height") == "8"]
    return [{key: float(one[key]) for key in ("x", "width")} for one in kept]


def test_a_rail_without_anything_is_drawn_and_said_to_be_empty() -> None:
    svg = rails_svg([RailRow("Back", 4200.0, ())], title="Cooler", side_mm=600.0, words=SPANISH)
    assert "Back: vacío." in svg and "empty" not in svg


def test_no_rail_or_a_side_that_takes_no_room_is_a_mistake_of_ours() -> None:
    with pytest.raises(ValueError, match="needs a rail"):
        rails_svg([], title="Cooler", side_mm=600.0)
    with pytest.raises(ValueError, match="takes some of it"):
        rails_svg([RailRow("Back", 4200.0, ())], title="Cooler", side_mm=0.0)


def test_the_window_bar_is_to_scale_from_the_kill_to_the_latest_day() -> None:
    """Ready from day 5 to 10 of 10: the second half of the bar."""
    svg = rails_svg([RailRow("Back", 4200.0, (side(),))], title="Cooler", side_mm=600.0)
    whole, window = rects(svg)
    assert whole["x"] == LEFT
    assert window["x"] == pytest.approx(whole["x"] + whole["width"] / 2, abs=0.1)
    assert window["width"] == pytest.approx(whole["width"] / 2, abs=0.1)


def test_a_side_past_its_latest_day_stretches_its_bar_to_today() -> None:
    """Day 20 of a window that ends on day 10: the window ends in the middle, today stands at the end."""
    late = side(days=20, state="late")
    svg = rails_svg([RailRow("Back", 4200.0, (late,))], title="Cooler", side_mm=600.0)
    whole, window = rects(svg)
    assert window["x"] + window["width"] == pytest.approx(whole["x"] + whole["width"] / 2, abs=0.1)
    end = f"{whole['x'] + whole['width']:g}"
    assert re.search(rf'<line[^>]*x1="{end}"', svg), "the mark of today"


def test_a_side_whose_kind_is_not_known_has_no_bar() -> None:
    svg = rails_svg([RailRow("Back", 4200.0, (side(window_days=None),))], title="Cooler", side_mm=600.0)
    assert rects(svg) == [] and "B1-left" in svg


@pytest.mark.parametrize(("state", "said"), [("early", "aún no"), ("ready", "lista"), ("late", "pasada")])
def test_a_state_is_said_in_words_and_in_the_language_asked_for(state: str, said: str) -> None:
    svg = rails_svg(
        [RailRow("Back", 4200.0, (side(state=state),))], title="Cooler", side_mm=600.0, words=SPANISH
    )
    root = ET.fromstring(svg)
    texts = ["".join(one.itertext()) for one in root.iter() if one.tag.endswith("text")]
    assert texts.count(said) == 2, "on the side and in the legend"
    assert "día 6" in texts and "lista del día 5 al 10" in svg


def test_places_are_to_scale() -> None:
    """A side 2.1 m along a rail of 4.2 m hangs from the middle of the picture on."""
    svg = rails_svg([RailRow("Back", 4200.0, (side(place_mm=2100.0),))], title="Cooler", side_mm=600.0)
    assert rects(svg)[0]["x"] == pytest.approx((LEFT + RIGHT) / 2)
