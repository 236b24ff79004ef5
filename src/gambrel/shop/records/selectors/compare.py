"""The kinds side by side for the customer, from the plan that the shop works by."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache
from uuid import UUID

from gambrel.catalog.cuts import shipped_cuts
from gambrel.catalog.ways import shipped_tree
from gambrel.files.drawing.inputs import KindFace
from gambrel.files.drawing.kinds import kinds_svg
from gambrel.files.sheets.inputs import KindsSheet
from gambrel.files.sheets.pdf_out import kinds_pdf
from gambrel.files.shop_sheets import kinds_sheet
from gambrel.journey import Journey, forecast_on_rail, sides_on_rail
from gambrel.measures import CannotDo
from gambrel.shop.records.named_sides import sides_of_animals
from gambrel.shop.records.selectors.plan import accepted_plan, known_to, models_to, planned_by, prices_of
from gambrel.shop.records.shop_yields import Taught
from gambrel.shop.records.week import faces_of
from gambrel.shop.records.yields_said import yields_said
from gambrel.standards.nutrition import Nutrition, nutrition_source, steaks

DRAWS = 400
"""Enough for means, which are all that is shown of the yield."""


@dataclass(frozen=True, slots=True)
class KindLine:
    """One kind: what is drawn of it, and its steak's published nutrition where there is one."""

    slug: str
    face: KindFace
    nutrition: Nutrition | None


@dataclass(frozen=True, slots=True)
class ComparePage:
    """Without an accepted plan, or with an empty rail, there are no lines. `known`: the yields it goes by."""

    lines: tuple[KindLine, ...] = ()
    picture: str = ""
    nutrition_source: str = ""
    known: Taught | None = None


def compare_page(*, title: str, with_prices: bool) -> ComparePage:
    """What the customer sees. Prices only where the owner shows them."""
    plan = accepted_plan()
    if plan is None:
        return ComparePage()
    lines = tuple(replace(line, face=_priced(line.face, with_prices)) for line in _lines(plan.key))
    if not lines:
        return ComparePage()
    return ComparePage(lines, kinds_svg([line.face for line in lines], title=title), nutrition_source(),
                       known_to(plan.key))  # fmt: skip


def poster_pdf(*, paper: str, with_prices: bool) -> bytes | None:
    """The comparison on one page to hang up; None without an accepted plan."""
    plan = accepted_plan()
    if plan is None or not _sheet(plan.key).kinds:
        return None
    sheet = _sheet(plan.key)
    head = replace(sheet.head, edition=yields_said(known_to(plan.key)))
    kinds = tuple(_priced(face, with_prices) for face in sheet.kinds)
    return kinds_pdf(replace(sheet, head=head, kinds=kinds), paper=paper)


def _priced(face: KindFace, with_prices: bool) -> KindFace:
    return face if with_prices else replace(face, low_cents_per_kg=None, high_cents_per_kg=None)


@lru_cache(maxsize=4)
def _lines(key: UUID) -> tuple[KindLine, ...]:
    week, _ = planned_by(key)
    slugs = dict.fromkeys(hanging.kind.slug for hanging in week.animals if hanging.side_hot_kg)
    published = steaks()
    return tuple(KindLine(slug, face, published.get(week.kinds[slug].like if slug not in published else slug))
                 for slug, face in zip(slugs, _sheet(key).kinds, strict=True))  # fmt: skip


@lru_cache(maxsize=4)
def _sheet(key: UUID) -> KindsSheet:
    """Everything hanging, forecast as the plan breaks it; kept in memory, since a done plan never changes."""
    week, result = planned_by(key)
    tree, cuts = shipped_tree().trimmed(week.shop.trim), shipped_cuts()
    sides, models = sides_on_rail(week, result), models_to(key)
    forecasts = {side.id: forecast_on_rail(side, week, tree=tree, cuts=cuts, draws=DRAWS, seed=number,
                                           models=models)
                 for number, side in enumerate(sides)}  # fmt: skip
    try:
        prices = prices_of(key)
    except CannotDo:  # the prices page says why; the kinds can be shown without them
        prices = None
    journey = Journey(week, {}, sides, result, forecasts, prices, {}, ())
    return kinds_sheet(journey, _marbling_pct([hanging.id for hanging in week.animals]))


def _marbling_pct(tags: list[str]) -> dict[str, float]:
    """Animal to the mean share of fat in the eyes that were read [% of the eye]."""
    sides = list(sides_of_animals(tags).values())
    faces, said = faces_of(sides), dict[str, list[float]]()
    for side in sides:
        face = faces.get(side.pk)
        if face is not None and face.marbling_pct is not None:
            said.setdefault(side.animal.tag, []).append(face.marbling_pct)
    return {tag: sum(values) / len(values) for tag, values in said.items()}
