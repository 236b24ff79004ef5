"""How a side is to be broken, as far as it is settled, and the ways that are open for it piece by piece."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from gambrel.catalog.animal import Animal
from gambrel.catalog.cuts import shipped_cuts
from gambrel.catalog.lawful_ways import lawful_choice, lawful_ways
from gambrel.catalog.tree_totals import PRIMAL_OF_PIECE
from gambrel.catalog.ways import WHOLE, Tree, shipped_tree
from gambrel.hang.loss import LossModel
from gambrel.journey import USUAL_STYLE
from gambrel.measures import CannotDo, Finding
from gambrel.plan.week import Hanging
from gambrel.shop.records.forecasts import Asked
from gambrel.shop.records.loss import learned_loss
from gambrel.shop.records.models import FaceReading, PlannedSide, ShopProfile, Side, Weighing
from gambrel.shop.records.selectors.plan import accepted_plan
from gambrel.shop.records.shop_yields import Taught, taught
from gambrel.shop.records.week import faces_of, hanging_of, kinds_of_shop

Ways = dict[str, str]


@dataclass(frozen=True, slots=True)
class WayChoice:
    """One piece that comes up, with the ways the law leaves open for it and the one taken."""

    piece: str
    name: str
    ways: tuple[str, ...]
    taken: str


@dataclass(frozen=True, slots=True)
class Held:
    """The choice that holds: piece to way, where it comes from (side, plan or usual), the day it is planned for."""

    ways: Ways
    origin: str
    day: date | None
    style: str


@dataclass(frozen=True)
class OnRail:
    """One side as a forecast needs it: its animal, its loss after its weighings, the readings that count,
    the yields that the shop knows."""

    side: Side
    hanging: Hanging
    shop: ShopProfile
    loss: LossModel
    faces: Mapping[int, FaceReading]
    known: Taught

    @property
    def tree(self) -> Tree:
        return shipped_tree().trimmed(self.shop.trim)

    @property
    def species(self) -> str:
        return self.hanging.animal.species

    def lawful(
        self, chosen: Mapping[str, str], asked: Mapping[str, str]
    ) -> tuple[Ways, list[Finding], list[Finding]]:
        """`chosen` made lawful, what was changed for it, and what had to be refused of `asked`."""
        return lawful_choice(self.tree, shipped_cuts(), self.hanging.animal, chosen, asked=asked,
                             srm_policy_bison=self.shop.srm_policy_bison)  # fmt: skip

    def asked(self, ways: Mapping[str, str], on: date) -> Asked:
        supplier = self.side.animal.supplier
        return Asked(
            tag=self.hanging.id, half=self.side.half, carcass=self.hanging.animal, killed=self.hanging.killed,
            hot_kg=float(self.side.hot_kg), loss=self.loss, on=on, ways=tuple(sorted(ways.items())),
            trim=self.shop.trim, edition=self.known.edition, supplier=supplier.name if supplier else "",
            known=self.known,
        )  # fmt: skip

    def style(self, name: str) -> Ways:
        return self.tree.style(name, self.species)


def side_on_rail(side: Side, shop: ShopProfile, weighings: list[Weighing]) -> OnRail:
    """The side with its animal, both sides of it counted. `CannotDo` where the shop has no such kind any more."""
    rows = Side.objects.filter(animal=side.animal_id)
    both = list(rows.select_related("animal", "animal__bill", "pin", "rail__room"))
    faces = faces_of(both)
    found = hanging_of(both, kinds_of_shop(), faces)
    if not found:
        raise CannotDo([Finding(f"{side}", f"kind {side.animal.kind}", "a kind of the shop",
                                "Add the kind again, or put the animal's kind right.")])  # fmt: skip
    return OnRail(side, found[0], shop, learned_loss(side, found[0], weighings), faces, taught(shop))


def held(on_rail: OnRail) -> Held:
    """As chosen for the side, else by the plan that the shop works by, else as usual."""
    side, plan = on_rail.side, accepted_plan()
    planned = PlannedSide.objects.filter(plan=plan, side=side).first() if plan else None
    day = planned.day if planned else None
    if side.style or side.ways:
        return Held(
            {**on_rail.style(side.style or USUAL_STYLE), **side.ways}, "side", day, side.style or USUAL_STYLE
        )
    usual = on_rail.style(USUAL_STYLE)
    if planned is not None and planned.ways:
        return Held({**usual, **planned.ways}, "plan", day, "")
    return Held(usual, "usual", day, USUAL_STYLE)


def choices(on_rail: OnRail, chosen: Mapping[str, str]) -> tuple[tuple[str, tuple[WayChoice, ...]], ...]:
    """By primal, the pieces that come up when the side is broken as `chosen` and that leave a choice."""
    return open_choices(on_rail.tree, on_rail.hanging.animal, chosen, policy=on_rail.shop.srm_policy_bison)


def open_choices(
    tree: Tree, animal: Animal, chosen: Mapping[str, str], *, policy: str
) -> tuple[tuple[str, tuple[WayChoice, ...]], ...]:
    """The same for any animal of the kind that the law asks about, hanging or sold in shares."""
    species, cuts = animal.species, shipped_cuts()
    open_ways = lawful_ways(tree, cuts, animal, srm_policy_bison=policy)
    used = {way.piece: way for way in tree.reached(chosen, species)}
    come_up = dict.fromkeys(
        [*used, *(slug for way in used.values() for slug in way.outputs if slug in tree.ways)]
    )
    groups: dict[str, list[WayChoice]] = {}
    for piece in come_up:
        names = open_ways.get(piece, ())
        if len(names) < 2:
            continue
        taken = used[piece].name if piece in used else WHOLE
        choice = WayChoice(piece, cuts[piece].shop_name(species), names, taken)
        groups.setdefault(PRIMAL_OF_PIECE.get(piece) or _group(piece), []).append(choice)
    return tuple((name, tuple(listed)) for name, listed in groups.items())


def _group(piece: str) -> str:
    """The primal a piece belongs to; what is broken before the primals stands by itself."""
    primal = shipped_cuts()[piece].primal
    return primal if primal in set(PRIMAL_OF_PIECE.values()) else "first"
