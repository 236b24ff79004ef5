"""What the owner of a share takes home, by how it is wanted cut, and what each choice changes.

A share is a whole carcass, a side, or a part of a side with some of everything. Its weight at the cutting day and
what comes out of it are forecast as for any side; what the owner does not want (bones, fat) stays behind. The same
seed draws the same animal whatever is chosen, so choices can be compared draw by draw (`share_choices.py`).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from gambrel.breakdown.forecast import CLOSELY_TRIMMED, Forecast, Wishes, forecast_side
from gambrel.breakdown.share_model import ShareModel
from gambrel.catalog.animal import Animal
from gambrel.catalog.cuts import Cut
from gambrel.catalog.law import POLICIES, inedible
from gambrel.catalog.lawful_ways import lawful_choice
from gambrel.catalog.ways import Tree
from gambrel.measures import CannotDo, Estimate, Finding

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class OwnerWishes:
    """How a share is wanted. `ways` (piece to way) go before the style; bones and fat are taken or left.

    `cover_mm` of fat left on the cuts, `grind_lean_pct` the lean point the trims are made up to.
    """

    style: str = "boneless"
    ways: Mapping[str, str] = field(default_factory=dict)
    cover_mm: float = 0.0
    grind_lean_pct: float | None = None
    takes_bones: bool = False
    takes_fat: bool = False


@dataclass(frozen=True, slots=True)
class ShareAsked:
    """A share of one animal: `sides` of it, and equally likely weights of one side on the cutting day [kg].

    `learned` are the share models that the shop's own sides have taught, by piece and way; without them the book's.
    """

    animal: Animal
    sides: float
    side_hung_kg: Floats
    seed: int
    srm_policy_bison: str = POLICIES[0]
    learned: Mapping[tuple[str, str], ShareModel] | None = None


@dataclass(frozen=True, slots=True)
class TakeHome:
    """Draws in kg of one share: hung, taken home, of that ground; and by piece. `changed` by the law."""

    hung_kg: Floats
    taken_kg: Floats
    ground_kg: Floats
    pieces_kg: Mapping[str, Floats]
    changed: tuple[Finding, ...]

    @property
    def share(self) -> Estimate:
        """Taken home as a share of hung."""
        return Estimate.from_draws(self.taken_kg / self.hung_kg)

    def pieces(self) -> dict[str, Estimate]:
        """Every piece that is taken home [kg], heaviest first."""
        found = {slug: Estimate.from_draws(kg) for slug, kg in self.pieces_kg.items()}
        return dict(sorted(found.items(), key=lambda item: -item[1].mean))


def take_home(asked: ShareAsked, wishes: OwnerWishes, *, tree: Tree, cuts: Mapping[str, Cut]) -> TakeHome:
    """The forecast of a share cut so. `CannotDo` for a style or way there is not, and one that the law closes."""
    if wrong := _unknown(wishes, tree, asked.animal.species):
        raise CannotDo(wrong)
    named = {**tree.style(wishes.style, asked.animal.species), **wishes.ways}
    chosen, changed, refused = lawful_choice(
        tree, cuts, asked.animal, named, asked=wishes.ways, srm_policy_bison=asked.srm_policy_bison
    )
    if refused:
        raise CannotDo(refused)
    how = replace(CLOSELY_TRIMMED, cover_mm=wishes.cover_mm, grind_lean_pct=wishes.grind_lean_pct)
    forecast = _forecast(asked, chosen, how, tree, cuts)
    kept = _kept(forecast, asked, wishes, cuts)
    none = np.zeros_like(forecast.hung_kg)
    ground = sum((kg for slug, kg in kept.items() if cuts[slug].use == "grind"), none)
    return TakeHome(
        hung_kg=forecast.hung_kg * asked.sides,
        taken_kg=sum(kept.values(), none) * asked.sides,
        ground_kg=ground * asked.sides,
        pieces_kg={slug: kg * asked.sides for slug, kg in kept.items()},
        changed=tuple(changed),
    )


def usual_choices(wishes: OwnerWishes, tree: Tree) -> dict[str, OwnerWishes]:
    """What owners are asked: every other style, bones and fat taken or left, fat cover, and the lean of the grind."""
    asked = {
        f"style {style}": replace(wishes, style=style, ways={})
        for style in tree.styles
        if style != wishes.style
    }
    asked["leave the bones" if wishes.takes_bones else "take the bones"] = replace(
        wishes, takes_bones=not wishes.takes_bones
    )
    asked["leave the fat" if wishes.takes_fat else "take the fat"] = replace(
        wishes, takes_fat=not wishes.takes_fat
    )
    for cover_mm in (0.0, 3.0, 6.0):
        if cover_mm != wishes.cover_mm:
            asked[f"{cover_mm:g} mm of fat left on"] = replace(wishes, cover_mm=cover_mm)
    for lean_pct in (80.0, 85.0, 90.0):
        if lean_pct != wishes.grind_lean_pct:
            asked[f"ground at {lean_pct:g} % lean"] = replace(wishes, grind_lean_pct=lean_pct)
    return asked


def _unknown(wishes: OwnerWishes, tree: Tree, species: str) -> list[Finding]:
    found = []
    if wishes.style not in tree.styles:
        found.append(
            Finding("style", wishes.style, f"one of {', '.join(tree.styles)}", "Choose one of them.")
        )
    for piece, way in wishes.ways.items():
        open_ways = tree.ways_of(piece, species)
        if way not in open_ways:
            wanted = f"one of {', '.join(open_ways)}" if open_ways else "a piece that is broken further"
            found.append(Finding(f"way of {piece}", way, wanted, "Choose it from the list."))
    return found


def _forecast(
    asked: ShareAsked, chosen: Mapping[str, str], how: Wishes, tree: Tree, cuts: Mapping[str, Cut]
) -> Forecast:
    return forecast_side(
        asked.animal,
        chosen,
        tree=tree,
        cuts=cuts,
        hung_kg=asked.side_hung_kg,
        seed=asked.seed,
        wishes=how,
        learned=asked.learned,
    )


def _kept(
    forecast: Forecast, asked: ShareAsked, wishes: OwnerWishes, cuts: Mapping[str, Cut]
) -> dict[str, Floats]:
    """What the owner takes of one side: food, and bones and fat where wanted; never what may not be food."""
    forbidden = inedible(forecast.kg, cuts, asked.animal, srm_policy_bison=asked.srm_policy_bison)
    left = {use for use, wanted in (("bone", wishes.takes_bones), ("fat", wishes.takes_fat)) if not wanted}
    return {
        slug: kg for slug, kg in forecast.kg.items() if slug not in forbidden and cuts[slug].use not in left
    }
