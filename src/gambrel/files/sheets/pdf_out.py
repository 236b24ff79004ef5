"""The documents as PDF: plan, forecast, price list, price board, and the kinds beside each other."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import groupby
from typing import Any

from gambrel.files.drawing import say
from gambrel.files.drawing.inputs import PieceInterval
from gambrel.files.drawing.intervals import interval_pages
from gambrel.files.drawing.kinds import kinds_svg
from gambrel.files.drawing.lines import curve_svg
from gambrel.files.drawing.side import side_svg
from gambrel.files.drawing.svg import words_plain
from gambrel.files.drawing.week import week_pages
from gambrel.files.sheets.cautions import CUTTING, FOOT, SHORT
from gambrel.files.sheets.inputs import (
    CutJob,
    ForecastSheet,
    Head,
    KindsSheet,
    ListedPrice,
    PlanSheet,
    PriceListSheet,
)
from gambrel.files.sheets.typeset import typeset
from gambrel.files.speech import spoken
from gambrel.measures.estimate import Estimate
from gambrel.measures.money import cents_per_lb, show_money
from gambrel.measures.units import lb_from_kg


def plan_pdf(sheet: PlanSheet, *, paper: str = "letter") -> bytes:
    """The calendar, then a cut list a day: each side with its ways, its pieces and room for the weight."""
    pictures = {f"week-{n}.svg": svg for n, svg in enumerate(week_pages(sheet.week), 1)}
    jobs = sorted(sheet.jobs, key=lambda job: (job.day, job.side))
    days = [
        {"day": say.day_year(day), "jobs": [_job(job) for job in these]}
        for day, these in groupby(jobs, key=lambda job: job.day)
    ]
    data = {**heading(sheet.head, sheet.notes, sheet.facts), "pictures": list(pictures), "days": days,
            "cautions": [{"name": name, "text": text} for name, text in CUTTING]}  # fmt: skip
    return typeset("plan", data, pictures, paper=paper, made_on=sheet.head.made_on)


def forecast_pdf(sheet: ForecastSheet, *, shade: str = "share", paper: str = "letter") -> bytes:
    """The side drawn with its weights, the weight on the rail, the intervals, and the table of pieces."""
    pictures = {"side.svg": side_svg(sheet.cutout, shade=shade)}
    charts = interval_pages(sheet.pieces, title="Pieces with their 90 % intervals", rows_per_page=40)
    pictures |= {f"pieces-{n}.svg": svg for n, svg in enumerate(charts, 1)}
    if sheet.curve is not None:
        pictures["curve.svg"] = curve_svg(sheet.curve)
    hung = sheet.cutout.hung_kg.mean
    data = {
        **heading(sheet.head, sheet.notes, sheet.facts),
        "care": SHORT,
        "charts": [name for name in pictures if name.startswith("pieces-")],
        "curve": "curve.svg" if sheet.curve is not None else None,
        "groups": [_group(name, these, hung) for name, these in _grouped(sheet.pieces)],
        "totals": [_weights(name, weight, hung) for name, weight in sheet.totals],
    }
    return typeset("forecast", data, pictures, paper=paper, made_on=sheet.head.made_on)


def price_list_pdf(sheet: PriceListSheet, *, paper: str = "letter") -> bytes:
    """The owner's list: price, cost, margin and expected weight. Not for the counter."""
    data = {**heading(sheet.head, sheet.notes, sheet.facts), "groups": _price_groups(sheet.lines)}
    return typeset("prices", data, {}, paper=paper, made_on=sheet.head.made_on)


def price_board_pdf(sheet: PriceListSheet, *, paper: str = "letter") -> bytes:
    """The board at the counter: names and prices in large letters, without cost or margin."""
    data = {**heading(sheet.head, sheet.notes, ()), "groups": _price_groups(sheet.lines)}
    return typeset("board", data, {}, paper=paper, made_on=sheet.head.made_on)


def kinds_pdf(sheet: KindsSheet, *, paper: str = "letter") -> bytes:
    """The kinds beside each other on one page, and their figures as a table."""
    pictures = {"kinds.svg": kinds_svg(sheet.kinds, title=sheet.head.title)}
    rows = [
        [
            words_plain(kind.name),
            say.area(kind.ribeye_cm2.mean),
            say.thickness(kind.fat_mm.mean),
            say.kg_lb(kind.side_kg.mean),
            say.pct(kind.split.cuts_share + kind.split.ground_share),
        ]
        for kind in sheet.kinds
    ]
    data = {**heading(sheet.head, sheet.notes, ()), "rows": rows}
    return typeset("kinds", data, pictures, paper=paper, made_on=sheet.head.made_on)


def heading(head: Head, notes: Iterable[str], facts: Iterable[tuple[str, str]]) -> dict[str, Any]:
    """What every template shows; characters that no page can hold are taken out here."""
    return {
        "shop": words_plain(head.shop),
        "title": words_plain(head.title),
        "made": say.day_year(head.made_on),
        "foot": FOOT,
        "edition": words_plain(head.edition),
        "notes": [words_plain(note) for note in notes],
        "facts": [{"name": words_plain(name), "value": words_plain(value)} for name, value in facts],
    }


def _job(job: CutJob) -> dict[str, Any]:
    hung = job.hung_kg.mean
    pieces = [{**_weights(piece.name, piece.kg, hung), "use": words_plain(piece.use)} for piece in job.pieces]
    return {
        "side": words_plain(job.side),
        "kind": words_plain(job.kind),
        "hung": say.kg_lb(hung),
        "work": ", ".join(
            f"{words_plain(spoken(work))} {say.plain(minutes, 0)} min" for work, minutes in job.work_min
        ),
        "ways": [{"piece": words_plain(piece), "way": words_plain(way)} for piece, way in job.ways],
        "pieces": pieces,
    }


def _weights(name: str, weight_kg: Estimate, hung_kg: float) -> dict[str, str]:
    return {
        "name": words_plain(name),
        "kg": say.plain(weight_kg.mean),
        "lb": say.plain(lb_from_kg(weight_kg.mean)),
        "span": say.span(weight_kg, "").strip(),
        "share": say.plain(100 * weight_kg.mean / hung_kg),
    }


def _grouped(pieces: Sequence[PieceInterval]) -> list[tuple[str, list[PieceInterval]]]:
    names = dict.fromkeys(piece.group for piece in pieces)
    return [(name, [piece for piece in pieces if piece.group == name]) for name in names]


def _group(name: str, pieces: Sequence[PieceInterval], hung_kg: float) -> dict[str, Any]:
    return {"name": words_plain(name), "rows": [_weights(piece.name, piece.kg, hung_kg) for piece in pieces]}


def _price_groups(lines: Sequence[ListedPrice]) -> list[dict[str, Any]]:
    names = dict.fromkeys(line.group for line in lines)
    return [
        {"name": words_plain(name), "rows": [_price(line) for line in lines if line.group == name]}
        for name in names
    ]


def _price(line: ListedPrice) -> dict[str, str]:
    cost, margin, weight = line.cost_cents_per_kg, line.margin_share, line.expected_kg
    return {
        "name": words_plain(line.name),
        "note": words_plain(line.note),
        "lb": show_money(cents_per_lb(line.cents_per_kg)),
        "kg": show_money(line.cents_per_kg),
        "cost": "" if cost is None else show_money(cents_per_lb(cost)),
        "margin": "" if margin is None else say.pct(margin),
        "expected": "" if weight is None else say.plain(weight),
        "expected_lb": "" if weight is None else say.plain(lb_from_kg(weight)),
    }
