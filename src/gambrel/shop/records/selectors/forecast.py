"""What the forecast pages show: a side as it would break, piece by piece, and what another way changes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from functools import lru_cache

from gambrel.catalog.cuts import shipped_cuts
from gambrel.catalog.law import bison_notice
from gambrel.files.drawing.inputs import PieceInterval, Region
from gambrel.files.drawing.intervals import interval_pages
from gambrel.files.drawing.side import side_svg
from gambrel.files.sheets.inputs import ForecastSheet, Head
from gambrel.files.sheets.pdf_out import forecast_pdf
from gambrel.files.speech import finding_spoken, language
from gambrel.journey import USUAL_STYLE
from gambrel.measures import CannotDo, Estimate, Finding
from gambrel.plan.week import Hanging
from gambrel.shop.records.forecasts import Asked, Broken, Worth, broken, worth_of
from gambrel.shop.records.list_prices import ListPrices, list_prices
from gambrel.shop.records.loss import weighings_of, whole_days
from gambrel.shop.records.models import FaceReading, PlannedSide, ShopProfile, Side
from gambrel.shop.records.selectors.forecast_ways import Held, OnRail, WayChoice, choices, held, side_on_rail
from gambrel.shop.records.selectors.plan import accepted_plan
from gambrel.shop.records.shop_yields import Taught
from gambrel.shop.records.week import faces_of, kinds_of_shop, sides_on_rail
from gambrel.shop.records.yields_said import yields_said

LEAST_CHANGE_KG = 0.005
LISTED_LAST = ("trims", "bone", "fat", "suet")


@dataclass(frozen=True, slots=True)
class SideLine:
    """One side in the list. `origin` says where its ways come from: side, plan or usual."""

    side: Side
    kind: str
    days_hung: int
    origin: str
    has_face: bool


@dataclass(frozen=True, slots=True)
class PieceLine:
    """One cut of the side: weight, share of the hung side, and what it brings at list price (None: no price)."""

    slug: str
    name: str
    use: str
    kg: Estimate
    share: float
    cents: int | None


@dataclass(frozen=True, slots=True)
class Change:
    """One line before and after another choice: weights [kg], and money [cents] where there is a price.

    `name` is a cut's slug or the name of a total.
    """

    name: str
    before_kg: float
    after_kg: float
    before_cents: int | None = None
    after_cents: int | None = None

    @property
    def more_kg(self) -> float:
        return self.after_kg - self.before_kg

    @property
    def more_cents(self) -> int | None:
        if self.before_cents is None and self.after_cents is None:
            return None
        return (self.after_cents or 0) - (self.before_cents or 0)


@dataclass(frozen=True, slots=True)
class Proposal:
    """Another choice beside the one that holds. Without `side` the law refused it; `findings` say why."""

    style: str
    ways: Mapping[str, str]
    findings: tuple[Finding, ...]
    side: Broken | None = None
    worth: Worth | None = None
    pieces: tuple[Change, ...] = ()
    totals: tuple[Change, ...] = ()
    minutes: tuple[tuple[str, float, float], ...] = ()
    more_cents: int | None = None


@dataclass(frozen=True, slots=True)
class ForecastPage:
    """All that the page of one side shows. Without `shown` only the findings mean anything."""

    side: Side
    hanging: Hanging
    on: date
    held: Held
    findings: tuple[Finding, ...]
    face: FaceReading | None
    weighings: int
    shown: Broken | None = None
    picture: str = ""
    intervals: str = ""
    groups: tuple[tuple[str, tuple[PieceLine, ...]], ...] = ()
    primals: tuple[tuple[Region, float], ...] = ()
    worth: Worth | None = None
    styles: tuple[str, ...] = ()
    choices: tuple[tuple[str, tuple[WayChoice, ...]], ...] = ()
    proposal: Proposal | None = None
    known: Taught | None = None

    @property
    def days_hung(self) -> int:
        return whole_days(self.hanging, self.on)

    @property
    def is_sold(self) -> bool:
        return self.hanging.is_sold

    @property
    def totals(self) -> tuple[tuple[str, Estimate], ...]:
        return tuple(self.shown.totals.items()) if self.shown else ()


@dataclass(frozen=True, slots=True)
class Wish:
    """What a person wants to see: a style, ways that differ from it, and the day; None: as it holds."""

    style: str | None = None
    ways: Mapping[str, str] = field(default_factory=dict)
    on: date | None = None


def forecast_lines(*, today: date) -> list[SideLine]:
    """Every hanging side, the longest hung first."""
    sides = list(sides_on_rail().order_by("hung_at", "animal__tag", "half"))
    kinds, faces, plan = kinds_of_shop(), faces_of(sides), accepted_plan()
    planned = set(PlannedSide.objects.filter(plan=plan).values_list("side_id", flat=True)) if plan else set()
    return [
        SideLine(
            side=side,
            kind=kinds[side.animal.kind].name if side.animal.kind in kinds else side.animal.kind,
            days_hung=max(0, (today - side.animal.killed_on).days),
            origin="side" if side.style or side.ways else "plan" if side.pk in planned else "usual",
            has_face=side.pk in faces,
        )
        for side in sides
    ]


def forecast_page(side: Side, shop: ShopProfile, wish: Wish, *, today: date) -> ForecastPage:
    """The forecast by the ways that hold, and beside it what the wish would change."""
    weighings = weighings_of([side]).get(side.pk, [])
    on_rail = side_on_rail(side, shop, weighings)
    holds = held(on_rail)
    on = wish.on or max(holds.day or today, today)
    lawful, changed, refused = on_rail.lawful(holds.ways, {})
    notice = bison_notice(on_rail.hanging.animal, srm_policy_bison=shop.srm_policy_bison)
    bare = ForecastPage(side, on_rail.hanging, on, holds, (*changed, *refused, *([notice] if notice else [])),
                        on_rail.faces.get(side.pk), len(weighings))  # fmt: skip
    try:
        shown = broken(on_rail.asked(lawful, on))
    except CannotDo as refusal:
        return replace(bare, findings=(*bare.findings, *refusal.findings))
    pictures = _pictures(on_rail.asked(lawful, on), language())
    prices = list_prices(side.animal.kind) if on_rail.hanging.is_sold else None
    worth = worth_of(shown, prices) if prices else None
    proposal, ways = None, lawful
    if wish.style is not None or wish.ways:
        proposal, ways = _proposal(on_rail, holds, wish, on, shown, prices)
    return replace(
        bare,
        shown=shown,
        picture=pictures[0],
        intervals=pictures[1],
        groups=_groups(shown, worth, on_rail.species),
        primals=tuple((region, shown.cutout.share(region)) for region in shown.cutout.regions),
        worth=worth,
        styles=tuple(on_rail.tree.styles),
        choices=choices(on_rail, ways),
        proposal=proposal,
        known=on_rail.known,
    )


@lru_cache(maxsize=32)
def _pictures(asked: Asked, spoken: str) -> tuple[str, str]:
    """The side drawn as it hangs, and its pieces with their intervals; kept as the forecast is, for each language."""
    shown = broken(asked)
    pieces = _intervals(shown, asked.carcass.species)
    return side_svg(shown.cutout), interval_pages(pieces, title=shown.cutout.title, rows_per_page=400)[0]


def _proposal(
    on_rail: OnRail, holds: Held, wish: Wish, on: date, shown: Broken, prices: ListPrices | None
) -> tuple[Proposal, dict[str, str]]:
    """What the wish would change, and the ways it comes to."""
    style = wish.style if wish.style in on_rail.tree.styles else None
    base = on_rail.style(style) if style else holds.ways
    asked = {piece: way for piece, way in wish.ways.items()
             if way in on_rail.tree.ways_of(piece, on_rail.species) and base.get(piece) != way}  # fmt: skip
    lawful, changed, refused = on_rail.lawful({**base, **asked}, asked)
    kept = style or on_rail.side.style or USUAL_STYLE
    ways = {piece: way for piece, way in {**base, **asked}.items() if on_rail.style(kept).get(piece) != way}
    findings = (*changed, *refused)
    if refused:
        return Proposal(kept, ways, findings), {**base, **asked}
    other = broken(on_rail.asked(lawful, on))
    worth = worth_of(other, prices) if prices else None
    before = worth_of(shown, prices) if prices else None
    minutes = {work: (shown.minutes.get(work, 0.0), other.minutes.get(work, 0.0))
               for work in {**shown.minutes, **other.minutes}}  # fmt: skip
    return Proposal(
        style=kept,
        ways=ways,
        findings=findings,
        side=other,
        worth=worth,
        pieces=_changes(shown, other, before, worth),
        totals=tuple(Change(name, shown.totals[name].mean, other.totals[name].mean) for name in shown.totals),
        minutes=tuple((work, *spent) for work, spent in minutes.items()),
        more_cents=worth.cents - before.cents if worth and before else None,
    ), lawful


def _changes(shown: Broken, other: Broken, before: Worth | None, after: Worth | None) -> tuple[Change, ...]:
    """Pieces whose weight changes, the largest change first."""
    was, comes = shown.kg_by_slug(), other.kg_by_slug()
    lines = [
        Change(
            slug,
            was.get(slug, 0.0),
            comes.get(slug, 0.0),
            before.by_slug.get(slug) if before else None,
            after.by_slug.get(slug) if after else None,
        )
        for slug in {**was, **comes}
    ]
    changed = [line for line in lines if abs(line.more_kg) >= LEAST_CHANGE_KG]
    return tuple(sorted(changed, key=lambda line: -abs(line.more_kg)))


def _groups(
    shown: Broken, worth: Worth | None, species: str
) -> tuple[tuple[str, tuple[PieceLine, ...]], ...]:
    """Pieces by the primal they are listed under, the heaviest group first, what is no meat last."""
    groups: dict[str, list[PieceLine]] = {}
    for piece in shown.pieces:
        name = shipped_cuts()[piece.slug].shop_name(species)
        cents = worth.by_slug.get(piece.slug) if worth else None
        share = piece.kg.mean / shown.hung_kg.mean
        groups.setdefault(piece.group, []).append(
            PieceLine(piece.slug, name, piece.use, piece.kg, share, cents)
        )
    heaviest = sorted(
        groups.items(), key=lambda item: (item[0] in LISTED_LAST, -sum(line.kg.mean for line in item[1]))
    )
    return tuple((name, tuple(lines)) for name, lines in heaviest)


def _intervals(shown: Broken, species: str) -> list[PieceInterval]:
    cuts = shipped_cuts()
    return [
        PieceInterval(piece.group, cuts[piece.slug].shop_name(species), piece.kg) for piece in shown.pieces
    ]


def forecast_sheet_pdf(page: ForecastPage, shop: ShopProfile, *, paper: str, today: date) -> bytes:
    """The page as a document to print or to send."""
    if page.shown is None:
        raise CannotDo(list(page.findings))
    totals = tuple((name.removesuffix("_kg").replace("_", " "), kg) for name, kg in page.shown.totals.items())
    facts = (("cut on", f"{page.on}, day {page.days_hung}"), ("kind", page.hanging.kind.name))
    pieces = sorted(
        _intervals(page.shown, page.hanging.animal.species), key=lambda one: (one.group, -one.kg.mean)
    )
    notes = tuple(finding_spoken(finding) for finding in page.findings)
    yields = yields_said(page.known) if page.known else ""
    head = Head(shop.name, f"Side {page.side}", today, yields)
    sheet = ForecastSheet(head, page.shown.cutout, tuple(pieces), totals, facts, notes=notes)
    return forecast_pdf(sheet, paper=paper)
