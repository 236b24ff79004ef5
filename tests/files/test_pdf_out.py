"""The documents read back page by page: figures and foot are on them, hostile text stays text."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pypdfium2
import pytest

from gambrel.files.drawing import say
from gambrel.files.sheets.cautions import CUTTING, FOOT
from gambrel.files.sheets.inputs import Head, ListedPrice
from gambrel.files.sheets.pdf_out import forecast_pdf, kinds_pdf, plan_pdf, price_board_pdf, price_list_pdf
from gambrel.files.sheets.typeset import typeset
from gambrel.measures.estimate import Estimate
from gambrel.measures.units import lb_from_kg

HOSTILE = '#import "x.typ" $a$ *b* _c_ [d] `e` <f> @g \\h "i" // j'


def flat(page: str) -> str:
    return " ".join(page.split())


@pytest.fixture
def plan_pages(sample_plan, pages_of) -> list[str]:
    return [flat(page) for page in pages_of(plan_pdf(sample_plan))]


def test_the_plan_shows_calendar_facts_and_a_list_a_day(plan_pages, sample_plan):
    assert "Plan for 9 to 22 March 2026" in plan_pages[0]
    assert "profit of the plan $4,812.00" in plan_pages[0]
    for side in sample_plan.week.sides:
        assert side.side in plan_pages[0]
    days = {job.day for job in sample_plan.jobs}
    whole = " ".join(plan_pages)
    for day in days:
        assert whole.count(f"Cut list, {say.day_year(day)}") == 1
    assert len(plan_pages) >= 1 + len(days)


def test_each_cut_list_has_ways_pieces_and_weights(plan_pages, sample_plan):
    job = min(sample_plan.jobs, key=lambda job: (job.day, job.side))
    page = " ".join(plan_pages)
    assert f"{job.side}, {job.kind}" in page
    assert f"{say.kg_lb(job.hung_kg.mean)} hung · knife 95 min, saw 12 min" in page
    for piece, way in job.ways:
        assert f"{piece} {way}" in page
    for piece in job.pieces:
        kg, span = say.plain(piece.kg.mean), f"{piece.kg.p05:.1f}–{piece.kg.p95:.1f}"
        assert f"{piece.name} {piece.use} {kg} {span} {lb_from_kg(piece.kg.mean):.1f}" in page
    assert "scale says" in page


def test_the_plan_prints_the_cautions_before_the_work(plan_pages):
    whole = " ".join(plan_pages)
    for name, text in CUTTING:
        assert f"{name} {text}" in whole
    assert whole.index("Before you start") < whole.index("Cut list,")


def test_a_plan_without_cutting_says_so(sample_plan, pages_of):
    pages = pages_of(plan_pdf(replace(sample_plan, jobs=())))
    assert "No side is cut in this plan." in flat(" ".join(pages))


def test_the_forecast_shows_side_intervals_totals_and_table(sample_forecast, pages_of):
    pages = [flat(page) for page in pages_of(forecast_pdf(sample_forecast))]
    assert "chuck 47.2 kg · 104.0 lb" in pages[0]
    assert "hot carcass 365.6 kg · 806 lb" in pages[0]
    whole = " ".join(pages)
    for piece in sample_forecast.pieces:
        assert f"{piece.name} {piece.kg.mean:.1f} {piece.kg.p05:.1f}–{piece.kg.p95:.1f}" in whole
        assert f"{piece.kg.mean:.1f} ({piece.kg.p05:.1f}–{piece.kg.p95:.1f})" in whole
    assert "saleable cuts 86.0" in whole
    assert "days since the kill" in whole
    assert "Kidney fat was not weighed" in whole
    assert len(pages) == 4


def test_a_forecast_without_curve_totals_and_notes(sample_forecast, pages_of):
    bare = replace(sample_forecast, curve=None, totals=(), notes=(), facts=())
    assert len(pages_of(forecast_pdf(bare, shade="value"))) == 4


def test_the_owners_list_has_cost_and_margin_and_the_board_has_not(sample_prices, pages_of):
    owner = flat(" ".join(pages_of(price_list_pdf(sample_prices))))
    board = flat(" ".join(pages_of(price_board_pdf(sample_prices))))
    for line in sample_prices.lines:
        assert line.name in owner and line.name in board
        assert say.per_lb(line.cents_per_kg) in board
        assert say.per_kg(line.cents_per_kg) in board
    assert "shoulder clod $7.30 $16.10 $5.53 24.2 % 8.2 18.1" in owner
    assert "cost" in owner and "margin" in owner
    assert "cost" not in board and "margin" not in board and "$5.53" not in board and "24.2 %" not in board


def test_the_kinds_are_on_one_page_with_a_table(sample_kinds, pages_of):
    pages = [flat(page) for page in pages_of(kinds_pdf(sample_kinds))]
    assert len(pages) == 2
    assert "Four kinds on one rail" in pages[0] and "ribeye 89.5 cm² · 13.9 in²" in pages[0]
    assert "Wagyu 84.5 cm² · 13.1 in² 21.7 mm · 0.85 in 176.0 kg · 388.0 lb 60.0 %" in pages[1]


def every_pdf(plan, forecast, prices, kinds, paper):
    return [
        plan_pdf(plan, paper=paper),
        forecast_pdf(forecast, paper=paper),
        price_list_pdf(prices, paper=paper),
        price_board_pdf(prices, paper=paper),
        kinds_pdf(kinds, paper=paper),
    ]


@pytest.mark.parametrize(("paper", "points"), [("letter", (612, 792)), ("a4", (595, 842))])
def test_every_page_of_every_sheet_has_its_foot_and_paper(
    paper, points, sample_plan, sample_forecast, sample_prices, sample_kinds, pages_of
):
    for data in every_pdf(sample_plan, sample_forecast, sample_prices, sample_kinds, paper):
        pages = pages_of(data)
        for number, page in enumerate(pages, 1):
            text = flat(page)
            assert FOOT in text
            assert f"page {number} of {len(pages)}" in text
            assert "made Mon 9 Mar 2026" in text
            assert "Cottonwood Bend" in text
        for page in pypdfium2.PdfDocument(data):
            assert sorted(round(side) for side in page.get_size()) == sorted(points)


def test_the_same_values_give_the_same_bytes(sample_plan, sample_prices):
    assert plan_pdf(sample_plan) == plan_pdf(sample_plan)
    other_day = replace(sample_prices, head=replace(sample_prices.head, made_on=date(2026, 3, 10)))
    assert price_list_pdf(sample_prices) != price_list_pdf(other_day)


def test_hostile_text_is_shown_as_it_is(sample_prices, sample_plan, pages_of):
    head = Head(HOSTILE, HOSTILE, date(2026, 3, 9))
    line = ListedPrice(HOSTILE, HOSTILE, 1000.0, note="\x00\x1bnote")
    sheet = replace(sample_prices, head=head, lines=(line,), notes=(HOSTILE,), facts=((HOSTILE, HOSTILE),))
    for data in (price_list_pdf(sheet), price_board_pdf(sheet)):
        assert flat(" ".join(pages_of(data))).count('#import "x.typ" $a$ *b* _c_ [d] `e` <f> @g') >= 4
    jobs = (replace(sample_plan.jobs[0], side=HOSTILE, ways=((HOSTILE, HOSTILE),)),)
    assert "@g \\h" in flat(" ".join(pages_of(plan_pdf(replace(sample_plan, head=head, jobs=jobs)))))


def test_a_list_of_hundreds_runs_over_pages_with_its_heading(sample_prices, pages_of):
    lines = tuple(ListedPrice("chuck", f"cut {i}", 1000.0 + i) for i in range(200))
    pages = [flat(page) for page in pages_of(price_list_pdf(replace(sample_prices, lines=lines)))]
    assert len(pages) > 3
    assert all("price $/lb" in page for page in pages)
    assert sum(page.count("cut ") for page in pages) == 200


def test_an_empty_list_is_a_sheet_too(sample_prices, pages_of):
    assert len(pages_of(price_board_pdf(replace(sample_prices, lines=())))) == 1


def test_other_papers_are_refused(sample_prices):
    with pytest.raises(ValueError, match="letter, a4"):
        price_list_pdf(sample_prices, paper="foolscap")


def test_a_figure_that_is_no_number_is_refused(sample_forecast):
    wrong = replace(sample_forecast, totals=(("bone", Estimate.exact(float("nan"))),))
    with pytest.raises(ValueError, match="finite"):
        forecast_pdf(wrong)
    with pytest.raises(ValueError, match="JSON compliant"):
        typeset("prices", {"x": float("nan")}, {}, paper="a4", made_on=date(2026, 3, 9))


def test_no_font_of_the_machine_is_used(sample_prices):
    assert b"Libertinus" in price_list_pdf(sample_prices)
    assert b"DejaVuSans-" not in price_list_pdf(sample_prices)
