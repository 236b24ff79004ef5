"""Figures of the invented shop Cottonwood Bend, for pictures and sheets. None is measured or published."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta
from xml.etree import ElementTree

import pypdfium2
import pytest

from gambrel.files.drawing.inputs import (
    HangingSide,
    KindFace,
    PieceInterval,
    RailCurve,
    RailDay,
    RailPoint,
    Region,
    SideCutout,
    WeekPlan,
    Weighing,
    WorkDay,
    YieldSplit,
)
from gambrel.files.sheets.inputs import (
    CutJob,
    CutPiece,
    ForecastSheet,
    Head,
    KindsSheet,
    ListedPrice,
    PlanSheet,
    PriceListSheet,
)
from gambrel.measures.estimate import Estimate

TODAY = date(2026, 3, 9)
SVG = "{http://www.w3.org/2000/svg}"

CATTLE_SHARES = {
    "hindshank": 0.031, "round": 0.206, "sirloin": 0.083, "short-loin": 0.079, "rib": 0.094, "chuck": 0.268,
    "flank": 0.048, "kidney-fat": 0.025, "plate": 0.079, "brisket": 0.052, "foreshank": 0.031,
}  # fmt: skip
BISON_SHARES = {
    "hindshank": 0.033, "round": 0.199, "sirloin": 0.079, "short-loin": 0.074, "rib": 0.100, "hump": 0.051,
    "chuck": 0.261, "flank": 0.044, "kidney-fat": 0.018, "plate": 0.074, "brisket": 0.036, "foreshank": 0.029,
}  # fmt: skip
PRICES = {
    "hindshank": 900.0,
    "round": 1650.0,
    "sirloin": 2500.0,
    "short-loin": 3900.0,
    "rib": 4100.0,
    "hump": 2100.0,
    "chuck": 1750.0,
    "flank": 1900.0,
    "plate": 1500.0,
    "brisket": 1800.0,
    "foreshank": 900.0,
}


def around(mean: float, spread_share: float = 0.08) -> Estimate:
    return Estimate.normal(mean, mean * spread_share)


def cutout(
    kind: str = "cattle", hand: str = "left", title: str = "Side 07, grain-finished cattle"
) -> SideCutout:
    bison = kind == "bison"
    hung = 158.0 if bison else 176.0
    shares = BISON_SHARES if bison else CATTLE_SHARES
    regions = [
        Region(slug, slug.replace("-", " "), around(hung * share), PRICES.get(slug))
        for slug, share in shares.items()
    ]
    rest = hung * (1 - sum(shares.values()))
    regions.append(Region("loss", "cutting loss", around(rest, 0.3)))
    return SideCutout(title=title, species=kind, rib_pairs=14 if bison else 13,
                      ribbed_between=(13, 14) if bison else (12, 13), hung_kg=around(hung, 0.012),
                      regions=tuple(regions), hand=hand)  # fmt: skip


PIECES = {
    "chuck": (
        "chuck roll",
        "shoulder clod",
        "chuck tender",
        "flat iron",
        "chuck short ribs",
        "neck for braising",
        "chuck stew",
        "ground from the chuck",
    ),
    "rib": ("ribeye roll", "back ribs", "rib cap and wedge"),
    "loin": ("strip loin", "tenderloin", "top sirloin", "tri-tip", "sirloin flap"),
    "round": ("top round", "bottom round", "eye of round", "knuckle", "ground from the round"),
    "plate, brisket, flank": (
        "brisket flat",
        "brisket point",
        "outside skirt",
        "inside skirt",
        "plate short ribs",
        "flank steak",
    ),
    "bone, fat and loss": ("marrow bones", "soup bones", "kidney fat", "trim fat", "cutting loss"),
}


def pieces() -> list[PieceInterval]:
    rows = []
    for group_number, (group, names) in enumerate(PIECES.items()):
        for number, name in enumerate(names):
            rows.append(PieceInterval(group, name, around(1.2 + 14.0 / (1 + number) + group_number, 0.12)))
    return rows


def week() -> WeekPlan:
    days = tuple(TODAY + timedelta(days=i) for i in range(14))
    rows = [
        ("01-left", "bison", -2, 0, 3, 1),
        ("01-right", "bison", -2, 0, 3, 1),
        ("02-left", "bison", 1, 3, 6, 3),
        ("03-left", "grass-finished cattle", -1, 3, 7, 4),
        ("03-right", "grass-finished cattle", -1, 3, 7, 7),
        ("04-left", "grain-finished cattle", 2, 6, 13, 8),
        ("04-right", "grain-finished cattle", 2, 6, 13, 10),
        ("05-left", "Wagyu", 4, 8, 22, 11),
        ("05-right", "Wagyu", 4, 8, 22, None),
        ("06-left", "grain-finished cattle", -5, -2, 1, 2),
    ]
    sides = tuple(
        HangingSide(
            name,
            kind,
            around(150 + 7.3 * i, 0.01),
            TODAY + timedelta(days=a),
            TODAY + timedelta(days=b),
            TODAY + timedelta(days=c),
            None if cut is None else TODAY + timedelta(days=cut),
        )
        for i, (name, kind, a, b, c, cut) in enumerate(rows)
    )
    rail = tuple(RailDay(day, 9.6 - 0.55 * i, 9.0) for i, day in enumerate(days))
    work = tuple(
        WorkDay(
            day, "knife", 0 if day.weekday() == 6 else 380 - 20 * (i % 5), 0 if day.weekday() == 6 else 480
        )
        for i, day in enumerate(days)
    )
    return WeekPlan("Cottonwood Bend: two weeks from 9 March 2026", TODAY, days, sides, rail, work)


def faces() -> list[KindFace]:
    def face(name, eye, fat, kg, days, split, marbling, low, high):
        return KindFace(
            name,
            around(eye, 0.1),
            around(fat, 0.3),
            around(kg, 0.1),
            days,
            YieldSplit(*split),
            marbling,
            low,
            high,
        )

    return [
        face("bison", 70.0, 9.0, 154.0, (5, 7, 10), (0.43, 0.27, 0.08, 0.19, 0.03), 1.9, 1600, 7100),
        face(
            "grass-finished cattle",
            73.0,
            6.5,
            145.0,
            (10, 14, 18),
            (0.42, 0.28, 0.09, 0.18, 0.03),
            2.6,
            1300,
            6000,
        ),
        face(
            "grain-finished cattle",
            89.5,
            14.2,
            195.0,
            (10, 14, 21),
            (0.41, 0.25, 0.16, 0.15, 0.03),
            5.1,
            1300,
            6400,
        ),
        face("Wagyu", 84.5, 21.7, 176.0, (10, 14, 28), (0.38, 0.22, 0.24, 0.13, 0.03), None, 1700, 14900),
    ]


def rail_curve() -> RailCurve:
    points = tuple(
        RailPoint(d, around(179.0 * (1 - 0.012 * min(d, 1) - 0.0028 * d), 0.003 + 0.0006 * d))
        for d in range(22)
    )
    return RailCurve(
        "Side 04-left on the rail, grain-finished cattle",
        points,
        (Weighing(0, 179.0), Weighing(1, 176.4), Weighing(5, 174.1)),
        (10, 14, 21),
        5.0,
    )


def head(title: str) -> Head:
    return Head("Cottonwood Bend", title, TODAY)


def plan_sheet() -> PlanSheet:
    calendar = week()
    jobs = []
    for side in calendar.sides:
        if side.cut_on is not None:
            rows = tuple(
                CutPiece(piece.name, "roast" if i % 2 else "steak", piece.kg)
                for i, piece in enumerate(pieces()[:14])
            )
            ways = (
                ("side", "quarters"),
                ("chuck", "single muscles"),
                ("rib", "boneless"),
                ("loin", "boneless"),
                ("round", "steak and roast"),
            )
            jobs.append(
                CutJob(
                    side.cut_on,
                    side.side,
                    side.kind,
                    side.hung_kg,
                    ways,
                    rows,
                    (("knife", 95.0), ("saw", 12.0)),
                )
            )
    facts = (("profit of the plan", "$4,812.00"), ("cannot be above", "$4,836.00"), ("sides cut", "9 of 10"))
    return PlanSheet(
        head("Plan for 9 to 22 March 2026"),
        calendar,
        tuple(jobs),
        facts,
        ("One more hour on Friday is worth $14.",),
    )


def forecast_sheet() -> ForecastSheet:
    totals = (("saleable cuts", around(86.0)), ("ground", around(41.0)), ("bone", around(26.0)))
    facts = (
        ("kind", "grain-finished cattle"),
        ("hot carcass", "365.6 kg · 806 lb"),
        ("days hung", "14"),
        ("style", "boneless"),
    )
    return ForecastSheet(head("Forecast of side 07"), cutout(), tuple(pieces()), totals, facts, rail_curve(),
                         ("Kidney fat was not weighed; the kind's usual share stands in.",))  # fmt: skip


def price_sheet() -> PriceListSheet:
    lines = tuple(
        ListedPrice(
            piece.group,
            piece.name,
            1400.0 + 210.0 * i,
            1100.0 + 120.0 * i if i % 5 else None,
            piece.kg.mean,
            "vacuum packed, about 1 lb" if i % 4 == 0 else "",
        )
        for i, piece in enumerate(pieces()[:20])
    )
    return PriceListSheet(
        head("Prices from 9 March 2026"), lines, (("margin on the whole animal", "28.0 %"),), ()
    )


def kinds_sheet() -> KindsSheet:
    return KindsSheet(
        head("Four kinds on one rail"), tuple(faces()), ("Bison is ribbed between the 13th and 14th rib.",)
    )


@pytest.fixture
def cattle_side() -> SideCutout:
    return cutout()


@pytest.fixture
def bison_side() -> SideCutout:
    return cutout("bison", "right", "Side 11, bison bull")


@pytest.fixture
def sample_pieces() -> list[PieceInterval]:
    return pieces()


@pytest.fixture
def sample_week() -> WeekPlan:
    return week()


@pytest.fixture
def sample_faces() -> list[KindFace]:
    return faces()


@pytest.fixture
def sample_curve() -> RailCurve:
    return rail_curve()


@pytest.fixture
def sample_plan() -> PlanSheet:
    return plan_sheet()


@pytest.fixture
def sample_forecast() -> ForecastSheet:
    return forecast_sheet()


@pytest.fixture
def sample_prices() -> PriceListSheet:
    return price_sheet()


@pytest.fixture
def sample_kinds() -> KindsSheet:
    return kinds_sheet()


class Drawn:
    """An SVG picture read back: its texts, and its elements by class."""

    def __init__(self, svg: str) -> None:
        self.root = ElementTree.fromstring(svg)
        self.texts = ["".join(node.itertext()) for node in self.root.iter(f"{SVG}text")]
        self.title = self.root.findtext(f"{SVG}title") or ""
        self.desc = self.root.findtext(f"{SVG}desc") or ""

    def of_class(self, name: str) -> list[ElementTree.Element]:
        return [node for node in self.root.iter() if name in node.get("class", "").split()]

    def tags(self) -> set[str]:
        return {node.tag.removeprefix(SVG) for node in self.root.iter()}

    def box(self) -> tuple[float, float]:
        _, _, width, height = (float(part) for part in self.root.get("viewBox", "").split())
        return width, height


@pytest.fixture
def drawn() -> type[Drawn]:
    return Drawn


def pdf_texts(data: bytes) -> list[str]:
    document = pypdfium2.PdfDocument(data)
    return [page.get_textpage().get_text_bounded() for page in document]


@pytest.fixture
def pages_of() -> Callable[[bytes], list[str]]:
    return pdf_texts
