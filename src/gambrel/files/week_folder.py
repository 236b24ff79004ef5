"""A walked week as a folder of files: sheets (PDF), workbooks (XLSX), tables (CSV) and pictures (SVG)."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from pathlib import Path

from gambrel.catalog.cuts import Cut
from gambrel.files.drawing.intervals import interval_pages
from gambrel.files.drawing.kinds import kinds_svg
from gambrel.files.drawing.lines import curve_svg
from gambrel.files.drawing.side import side_svg
from gambrel.files.drawing.week import week_pages
from gambrel.files.sheets.csv_out import csv_bytes
from gambrel.files.sheets.inputs import ForecastSheet, Head
from gambrel.files.sheets.pdf_out import forecast_pdf, kinds_pdf, plan_pdf, price_board_pdf, price_list_pdf
from gambrel.files.sheets.plan_tables import plan_tables
from gambrel.files.sheets.table import Table, text
from gambrel.files.sheets.tables import forecast_tables, kinds_tables, price_tables
from gambrel.files.sheets.xlsx_out import xlsx_bytes
from gambrel.files.shop_sheets import forecast_sheet, kinds_sheet, plan_sheet, price_sheet
from gambrel.files.writing import write_whole
from gambrel.journey import Journey

Making = tuple[str, Callable[[], bytes]]


def write_week(
    journey: Journey,
    folder: Path,
    *,
    cuts: Mapping[str, Cut],
    paper: str = "letter",
    marbling_pct: Mapping[str, float] | None = None,
) -> Iterator[Path]:
    """Write every file of the week into `folder`, giving each path as it is done; `CannotDo` where it cannot be.

    `marbling_pct`: animal to the share of fat in its eye, where a photograph was read.
    """
    yield from write_files(week_files(journey, cuts=cuts, paper=paper, marbling_pct=marbling_pct), folder)


def write_files(files: Iterable[Making], folder: Path) -> Iterator[Path]:
    """Make and write each file, giving its path as it is done."""
    for name, make in files:
        path = folder / name
        write_whole(path, make())
        yield path


def week_files(
    journey: Journey,
    *,
    cuts: Mapping[str, Cut],
    paper: str = "letter",
    marbling_pct: Mapping[str, float] | None = None,
) -> list[Making]:
    """Every file of the week by name with its maker; documents and workbooks are made only at their turn."""
    return list(_makings(journey, cuts, paper, marbling_pct))


def _makings(
    journey: Journey, cuts: Mapping[str, Cut], paper: str, marbling_pct: Mapping[str, float] | None
) -> Iterator[Making]:
    plan = plan_sheet(journey, cuts)
    forecasts = {side.id: forecast_sheet(journey, side, cuts) for side in journey.sides}
    prices, kinds = price_sheet(journey, cuts), kinds_sheet(journey, marbling_pct)
    yield "plan.pdf", lambda: plan_pdf(plan, paper=paper)
    yield from _tables("plan", plan_tables(plan), plan.head)
    for number, svg in enumerate(week_pages(plan.week), 1):
        yield f"pictures/week-{number}.svg", svg.encode
    yield from _forecasts(forecasts, paper)
    if prices is not None:
        yield "prices.pdf", lambda: price_list_pdf(prices, paper=paper)
        yield "price-board.pdf", lambda: price_board_pdf(prices, paper=paper)
        yield from _tables("prices", price_tables(prices), prices.head)
    yield "kinds.pdf", lambda: kinds_pdf(kinds, paper=paper)
    yield from _tables("kinds", kinds_tables(kinds), kinds.head)
    yield "pictures/kinds.svg", lambda: kinds_svg(kinds.kinds, title=kinds.head.title).encode()


def _forecasts(forecasts: Mapping[str, ForecastSheet], paper: str) -> Iterator[Making]:
    """A document and pictures for each side; one workbook and one table of each sort for all of them."""
    for side, sheet in zip(file_names(list(forecasts)), forecasts.values(), strict=True):
        yield f"forecast/{side}.pdf", lambda sheet=sheet: forecast_pdf(sheet, paper=paper)  # type: ignore[misc]
        yield f"pictures/side-{side}.svg", lambda sheet=sheet: side_svg(sheet.cutout).encode()  # type: ignore[misc]
        for number, svg in enumerate(interval_pages(sheet.pieces, title=sheet.head.title), 1):
            yield f"pictures/pieces-{side}-{number}.svg", svg.encode
        if sheet.curve is not None:
            yield f"pictures/rail-{side}.svg", lambda curve=sheet.curve: curve_svg(curve).encode()  # type: ignore[misc]
    by_side = {side: forecast_tables(sheet) for side, sheet in forecasts.items()}
    if by_side:
        yield from _tables("forecast", _one_of_each(by_side), next(iter(forecasts.values())).head)


def file_names(wished: Sequence[str]) -> list[str]:
    """A file name a side, each once whatever its case: letters, digits, dots and hyphens, no dot in front.

    An animal may be called anything, "../7" too; a file of its name must stay in its own folder.
    """
    names: list[str] = []
    for wish in wished:
        plain = "".join(c if c.isalnum() or c in "-_." else "-" for c in wish).lstrip(".") or "side"
        name, count = plain, 1
        while name.lower() in {taken.lower() for taken in names}:
            count += 1
            name = f"{plain}-{count}"
        names.append(name)
    return names


def _one_of_each(by_side: Mapping[str, Sequence[Table]]) -> list[Table]:
    """The tables of all sides in one of each name, the side in the first column."""
    joined: dict[str, Table] = {}
    for side, tables in by_side.items():
        for table in tables:
            rows = tuple((side, *row) for row in table.rows)
            before = joined.get(table.name)
            joined[table.name] = Table(
                table.name, (text("side"), *table.columns), (before.rows if before else ()) + rows
            )
    return list(joined.values())


def _tables(stem: str, tables: Sequence[Table], head: Head) -> Iterator[Making]:
    """One workbook with a tab a table, and a CSV file a table."""
    title = f"{head.shop}, {stem}"
    yield f"{stem}.xlsx", lambda: xlsx_bytes(tables, title=title, made_on=head.made_on)
    for table in tables:
        name = stem if table.name == stem else f"{stem}-{table.name}"
        yield f"tables/{name}.csv", lambda table=table: csv_bytes(table)  # type: ignore[misc]
