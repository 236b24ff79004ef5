"""Names as people and machines really write them, everywhere a name can stand: shown as they are, never obeyed."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator
from dataclasses import replace
from xml.etree import ElementTree

import openpyxl
import pytest

from gambrel.files.drawing.intervals import interval_pages
from gambrel.files.drawing.kinds import kinds_svg
from gambrel.files.drawing.lines import curve_svg
from gambrel.files.drawing.side import side_svg
from gambrel.files.drawing.week import week_pages
from gambrel.files.sheets.csv_out import csv_bytes
from gambrel.files.sheets.inputs import Head
from gambrel.files.sheets.pdf_out import forecast_pdf, kinds_pdf, plan_pdf, price_board_pdf, price_list_pdf
from gambrel.files.sheets.plan_tables import plan_tables
from gambrel.files.sheets.table import Table
from gambrel.files.sheets.tables import forecast_tables, kinds_tables, price_tables
from gambrel.files.sheets.xlsx_out import xlsx_bytes

NAMES = {
    "quotes": 'Ol\' "Red" `steer`',
    "line ends": "two\nlines\r\nand\ta tab",
    "emoji": "bull 🐂🏽 №7 👩‍🌾",
    "two hundred letters": "w" * 200,
    "two hundred words": " ".join(["rib"] * 200),
    "right to left": "שור בן-בקר 12 كتف",
    "typesetting signs": '#eval("1") $x^2$ [b] *s* _e_ <l> @r ~ \\ // /* ` -- = + ',
    "code": '"); #panic("x") //',
    "markup": "<script>alert(1)</script>&amp;]]>",
    "formula": "=1+1",
    "control": "a\x00b\x07c\x1b[31m\x7f\x85d",
    "half characters": "a\ud800b\udfffc",
    "nothing": "",
    "blanks": "   ",
    "combining": "e\u0301\u0327" + "\u0336" * 60,
}
each_name = pytest.mark.parametrize("name", NAMES.values(), ids=NAMES)


def named_week(week, name):
    side = replace(week.sides[0], side=name, kind=name)
    work = tuple(replace(one, work=name) for one in week.work)
    return replace(week, title=name, note=name, sides=(side, *week.sides[1:]), work=work)


def named_plan(plan, name):
    job = plan.jobs[0]
    piece = replace(job.pieces[0], name=name, use=name)
    job = replace(job, side=name, kind=name, ways=((name, name),), pieces=(piece,), work_min=((name, 1.0),))
    return replace(plan, head=named_head(plan.head, name), week=named_week(plan.week, name), jobs=(job,),
                   facts=((name, name),), notes=(name,))  # fmt: skip


def named_head(head, name):
    return Head(name, name, head.made_on)


def named_cutout(cutout, name):
    regions = tuple(replace(region, name=name) for region in cutout.regions)
    return replace(cutout, title=name, note=name, regions=regions)


def named_forecast(sheet, name):
    pieces = tuple(replace(piece, group=name, name=name) for piece in sheet.pieces)
    return replace(sheet, head=named_head(sheet.head, name), cutout=named_cutout(sheet.cutout, name), pieces=pieces,
                   totals=((name, sheet.totals[0][1]),), facts=((name, name),), notes=(name,),
                   curve=replace(sheet.curve, title=name, note=name))  # fmt: skip


def named_prices(sheet, name):
    lines = tuple(replace(line, group=name, name=name, note=name) for line in sheet.lines)
    return replace(
        sheet, head=named_head(sheet.head, name), lines=lines, facts=((name, name),), notes=(name,)
    )


def named_kinds(sheet, name):
    kinds = tuple(replace(kind, name=name, note=name) for kind in sheet.kinds)
    return replace(sheet, head=named_head(sheet.head, name), kinds=kinds, notes=(name,))


@pytest.fixture
def pictures(sample_week, cattle_side, bison_side, sample_pieces, sample_faces, sample_curve):
    def make(name: str) -> Iterator[str]:
        yield from week_pages(named_week(sample_week, name))
        for side in (cattle_side, bison_side):
            for shade in ("share", "value"):
                yield side_svg(named_cutout(side, name), shade=shade)
        pieces = [replace(piece, group=name, name=name) for piece in sample_pieces]
        yield from interval_pages(pieces, title=name, note=name)
        yield kinds_svg([replace(face, name=name) for face in sample_faces], title=name, note=name)
        yield curve_svg(replace(sample_curve, title=name, note=name))

    return make


@pytest.fixture
def tables(sample_plan, sample_forecast, sample_prices, sample_kinds):
    def make(name: str) -> list[Table]:
        return [
            *plan_tables(named_plan(sample_plan, name)),
            *forecast_tables(named_forecast(sample_forecast, name)),
            *price_tables(named_prices(sample_prices, name)),
            *kinds_tables(named_kinds(sample_kinds, name)),
        ]

    return make


@each_name
def test_pictures_stay_pictures(name, pictures):
    """Well-formed, nothing in them but drawing and text, and no attribute that runs or fetches anything."""
    allowed = {
        "svg",
        "title",
        "desc",
        "g",
        "rect",
        "line",
        "path",
        "polygon",
        "polyline",
        "circle",
        "ellipse",
        "text",
    }
    for svg in pictures(name):
        root = ElementTree.fromstring(svg.encode("utf-8"))
        assert {node.tag.rpartition("}")[2] for node in root.iter()} <= allowed
        for node in root.iter():
            assert not [key for key in node.attrib if key.startswith("on") or key.endswith("href")]


@each_name
def test_the_title_of_a_picture_is_the_name_itself(name, pictures):
    """Only what XML cannot hold is taken out of it."""
    for svg in pictures(name):
        title = (
            ElementTree.fromstring(svg.encode("utf-8")).findtext("{http://www.w3.org/2000/svg}title") or ""
        )
        kept = "".join(c if c.isprintable() else " " for c in name)
        shown = "".join(c if c.isprintable() else " " for c in title)
        assert shown.startswith(kept)


@each_name
def test_no_line_of_a_picture_is_wider_than_the_picture(name, pictures):
    """Letters counted as 0.56 of their size (the drawing's own allowance); what does not fit ends in an ellipsis."""
    for svg in pictures(name):
        root = ElementTree.fromstring(svg.encode("utf-8"))
        width = float((root.get("viewBox") or "").split()[2])
        for node in root.iter("{http://www.w3.org/2000/svg}text"):
            letters = 0.56 * float(node.get("font-size") or 0) * len(node.text or "")
            assert letters <= width, node.text


@each_name
def test_documents_are_made_and_say_their_foot(
    name, sample_plan, sample_forecast, sample_prices, sample_kinds, pages_of
):
    documents = [
        plan_pdf(named_plan(sample_plan, name)),
        forecast_pdf(named_forecast(sample_forecast, name)),
        price_list_pdf(named_prices(sample_prices, name)),
        price_board_pdf(named_prices(sample_prices, name)),
        kinds_pdf(named_kinds(sample_kinds, name)),
    ]
    for data in documents:
        for page in pages_of(data):
            assert "not an official grade" in " ".join(page.split())


@pytest.mark.parametrize("name", ["quotes", "typesetting signs", "code", "markup", "formula"])
def test_a_board_shows_the_name_letter_by_letter(name, sample_prices, pages_of):
    words = NAMES[name].split()
    (first, *_) = pages_of(price_board_pdf(named_prices(sample_prices, NAMES[name])))
    shown = "".join(first.split())
    assert "".join(words) in shown


@each_name
def test_a_csv_file_gives_every_name_back(name, tables):
    for table in tables(name):
        data = csv_bytes(table).decode("utf-8-sig")
        back = list(csv.reader(io.StringIO(data, newline="")))
        assert len(back) == len(table.rows) + 1
        for row, cells in zip(table.rows, back[1:], strict=True):
            for value, cell in zip(row, cells, strict=True):
                if isinstance(value, str):
                    assert cell.removeprefix("'") == value.encode("utf-8", "replace").decode().removeprefix(
                        "'"
                    )
                    assert not cell.lstrip(" ").startswith(("=", "+", "-", "@", "\t", "\r", "\n"))


@each_name
def test_a_workbook_opens_with_every_row(name, tables, sample_plan):
    made = tables(name)
    data = xlsx_bytes(made, title=name, made_on=sample_plan.head.made_on, notes=[name])
    book = openpyxl.load_workbook(io.BytesIO(data))
    assert len(book.sheetnames) == len(made) + 1
    for table, sheet in zip(made, book.worksheets, strict=False):
        assert sheet.max_row == len(table.rows) + 1
        assert not [cell for row in sheet.iter_rows() for cell in row if cell.data_type == "f"]
