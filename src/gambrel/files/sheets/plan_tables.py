"""The plan as tables: the sides and their days, the ways, the pieces, rail and hours by day."""

from __future__ import annotations

from gambrel.files.sheets.inputs import PlanSheet
from gambrel.files.sheets.table import Table, day, kg, lb, number, share, text
from gambrel.measures.units import lb_from_kg


def plan_tables(sheet: PlanSheet) -> list[Table]:
    """Tabs sides, ways, pieces, rail and hours; an empty one is left out."""
    tables = [_sides(sheet), _ways(sheet), _pieces(sheet), _rail(sheet), _work(sheet)]
    return [table for table in tables if table.rows]


def _sides(sheet: PlanSheet) -> Table:
    columns = (
        text("side"),
        text("kind"),
        kg("hung"),
        lb("hung"),
        day("earliest"),
        day("target"),
        day("latest"),
        day("cutting day"),
    )
    return Table("sides", columns, tuple(
        (side.side, side.kind, side.hung_kg.mean, lb_from_kg(side.hung_kg.mean), side.earliest, side.target,
         side.latest, side.cut_on) for side in sheet.week.sides))  # fmt: skip


def _ways(sheet: PlanSheet) -> Table:
    columns = (day("cutting day"), text("side"), text("piece"), text("way"))
    return Table(
        "ways",
        columns,
        tuple((job.day, job.side, piece, way) for job in sheet.jobs for piece, way in job.ways),
    )


def _pieces(sheet: PlanSheet) -> Table:
    columns = (
        day("cutting day"),
        text("side"),
        text("kind"),
        text("piece"),
        text("use"),
        kg("mean"),
        kg("low end of 90 %"),
        kg("high end of 90 %"),
        lb("mean"),
        share("share of the side"),
    )
    return Table(
        "pieces",
        columns,
        tuple(
            (
                job.day,
                job.side,
                job.kind,
                piece.name,
                piece.use,
                piece.kg.mean,
                piece.kg.p05,
                piece.kg.p95,
                lb_from_kg(piece.kg.mean),
                piece.kg.mean / job.hung_kg.mean,
            )
            for job in sheet.jobs
            for piece in job.pieces
        ),
    )


def _rail(sheet: PlanSheet) -> Table:
    columns = (day("day"), number("rail used", "m"), number("rail there is", "m"))
    return Table("rail", columns, tuple((one.day, one.used_m, one.capacity_m) for one in sheet.week.rail))


def _work(sheet: PlanSheet) -> Table:
    columns = (day("day"), text("work"), number("used", "min", 0), number("available", "min", 0))
    return Table(
        "hours",
        columns,
        tuple((one.day, one.work, one.used_min, one.available_min) for one in sheet.week.work),
    )
