"""The interval chart: every piece once, in its group, with its figures, and bars where the figures say."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gambrel.files.drawing.inputs import PieceInterval
from gambrel.files.drawing.intervals import NAMES, PLOT_END, interval_pages
from gambrel.measures.estimate import Estimate
from gambrel.measures.units import lb_from_kg


def test_every_piece_is_on_the_chart_with_kg_and_lb(sample_pieces, drawn):
    (svg,) = interval_pages(sample_pieces, title="Forecast")
    picture = drawn(svg)
    for piece in sample_pieces:
        assert piece.name in picture.texts
        assert f"{piece.kg.mean:.1f} ({piece.kg.p05:.1f}–{piece.kg.p95:.1f})" in picture.texts
        assert any(text.startswith(f"{lb_from_kg(piece.kg.mean):.1f} (") for text in picture.texts)
    assert len(picture.of_class("mean")) == len(sample_pieces)
    assert {"kg", "lb", "kg (90 %)", "lb (90 %)"} <= set(picture.texts)


def test_dots_lie_within_their_bars_and_on_the_scale(sample_pieces, drawn):
    picture = drawn(interval_pages(sample_pieces, title="Forecast")[0])
    heaviest = max(sample_pieces, key=lambda piece: piece.kg.mean)
    dots = [float(node.get("cx")) for node in picture.of_class("mean")]
    assert all(NAMES <= x <= PLOT_END for x in dots)
    top = max(piece.kg.p95 for piece in sample_pieces) * 1.02
    assert max(dots) == pytest.approx(NAMES + heaviest.kg.mean / top * (PLOT_END - NAMES), abs=0.01)


def test_the_lb_marks_stand_where_their_kg_would(sample_pieces, drawn):
    """20 lb is 9.0718 kg exactly to four places [NIST Special Publication 811, appendix B.8, 2008]."""
    picture = drawn(interval_pages(sample_pieces, title="Forecast")[0])
    nodes = [
        node for node in picture.root.iter("{http://www.w3.org/2000/svg}text") if node.text in ("20", "10")
    ]
    kilos = {node.text: float(node.get("x")) for node in nodes if float(node.get("y")) > 200}
    pounds = {node.text: float(node.get("x")) for node in nodes if float(node.get("y")) < 200}
    per_kg = (kilos["20"] - kilos["10"]) / 10
    assert (pounds["20"] - NAMES) / per_kg == pytest.approx(9.0718, abs=0.01)


def test_long_forecasts_run_over_pages_on_one_scale(drawn):
    pieces = [
        PieceInterval(f"group {i // 25}", f"piece {i}", Estimate.normal(1 + i / 10, 0.2)) for i in range(120)
    ]
    pages = [drawn(svg) for svg in interval_pages(pieces, title="Forecast", rows_per_page=30)]
    assert len(pages) >= 4
    shown = [text for page in pages for text in page.texts if text.startswith("piece ")]
    assert sorted(shown) == sorted(piece.name for piece in pieces)
    assert "Forecast (1 of 5)" in pages[0].texts or pages[0].title.startswith("Forecast (1 of")
    marks = [{text for text in page.texts if text in ("2", "5", "10")} for page in pages]
    assert all(mark == marks[0] for mark in marks)
    assert any("continued" in text for page in pages for text in page.texts)


@given(st.integers(0, 90), st.integers(2, 40), st.integers(1, 9))
def test_no_piece_is_lost_and_no_page_is_too_long(count, rows_per_page, groups):
    pieces = [PieceInterval(f"g{i % groups}", f"p{i}", Estimate.exact(1.0 + i)) for i in range(count)]
    pages = interval_pages(pieces, title="t", rows_per_page=rows_per_page)
    assert sum(page.count('class="mean"') for page in pages) == count
    assert all(page.count('class="mean"') < rows_per_page for page in pages)


def test_within_a_group_the_heaviest_comes_first(drawn):
    pieces = [
        PieceInterval("chuck", name, Estimate.exact(kg)) for name, kg in (("a", 1.0), ("b", 3.0), ("c", 2.0))
    ]
    texts = drawn(interval_pages(pieces, title="t")[0]).texts
    assert [text for text in texts if text in "abc"] == ["b", "c", "a"]


def test_an_empty_forecast_says_so(drawn):
    (svg,) = interval_pages([], title="Forecast")
    assert "no pieces in this forecast" in drawn(svg).texts


def test_an_interval_the_wrong_way_round_is_refused(sample_pieces):
    wrong = replace(sample_pieces[0], kg=Estimate(1.0, 2.0, 0.5))
    with pytest.raises(ValueError, match="low end"):
        interval_pages([wrong], title="t")


def test_a_page_without_room_is_refused(sample_pieces):
    with pytest.raises(ValueError, match="room"):
        interval_pages(sample_pieces, title="t", rows_per_page=1)


def test_long_and_hostile_names_stay_in_their_column(drawn):
    name = "<i>" + "very long name " * 12
    picture = drawn(interval_pages([PieceInterval(name, name, Estimate.exact(2.0))], title=name)[0])
    assert "i" not in picture.tags()
    assert any(text.startswith("<i>very long") and text.endswith("…") for text in picture.texts)
