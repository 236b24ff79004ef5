"""A breakdown case as a person writes it, read into an animal, a hung weight, ways and wishes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from gambrel.breakdown.forecast import Forecast, Wishes, forecast_side
from gambrel.breakdown.tissue import figures
from gambrel.catalog.animal import HOT_KG_LIMITS, Animal, read_animal
from gambrel.catalog.cuts import Cut
from gambrel.catalog.kinds import Kind
from gambrel.catalog.law import POLICIES
from gambrel.catalog.lawful_ways import lawful_choice
from gambrel.catalog.ways import WHOLE, Tree
from gambrel.hang.loss import LossModel
from gambrel.measures import Entry, Finding, Findings
from gambrel.measures.units import LENGTH, MASS

DEFAULT_STYLE = "boneless"
DRAWS_LIMITS = (100, 100_000)


@dataclass(frozen=True, slots=True)
class Case:
    """What to forecast. `basis` says whether the weights are of a side or of a carcass.

    `hung_kg` is None when it was not weighed and follows from hot weight and days hung. `asked` is the style and
    the ways that were named outright.
    """

    animal: Animal
    basis: str
    hot_known: bool
    hung_kg: float | None
    days_hung: int
    style: str
    ways: Mapping[str, str]
    wishes: Wishes
    srm_policy_bison: str
    draws: int
    seed: int

    @property
    def hot_kg(self) -> float:
        """Hot weight of what is forecast: the carcass, or half of it."""
        return self.animal.hot_kg * (0.5 if self.basis == "side" else 1.0)


def read_case(entry: Entry, kinds: Mapping[str, Kind], tree: Tree) -> Case:
    """The case of a file; `CannotDo` with everything that is wrong with it."""
    findings = entry.findings
    side_kg = entry.quantity("side_hot", MASS, low=HOT_KG_LIMITS[0] / 2, high=HOT_KG_LIMITS[1] / 2)
    hot_known = side_kg is not None or entry.has("hot")
    if side_kg is not None and entry.has("hot"):
        entry.wrong(
            "side_hot", "hot as well", "hot (the carcass) or side_hot (one side)", "Give one of the two."
        )
    animal = read_animal(entry, kinds, usual_stands_in=True)
    hung_kg = entry.quantity("hung", MASS, low=10.0, high=HOT_KG_LIMITS[1])
    days = entry.whole("days_hung", low=0, high=120, what="days since the kill, such as 14")
    style = entry.word("style", tree.styles) or DEFAULT_STYLE
    ways = _read_ways(entry.table("ways"), tree, animal)
    deepest = figures()["cover"]["deepest_mm"]
    cover = entry.quantity("cover", LENGTH, low=0.0, high=deepest) or 0.0
    lean = entry.number("grind_lean", low=50.0, high=97.0, what="the lean point of the grind, such as 85")
    policy = entry.word("srm_policy_bison", POLICIES) or POLICIES[0]
    draws = entry.whole("draws", low=DRAWS_LIMITS[0], high=DRAWS_LIMITS[1]) or 4000
    seed = entry.whole("seed", low=0, high=2**32 - 1) or 0
    entry.no_more()
    if animal is not None and side_kg is not None:
        animal = replace(animal, hot_kg=2.0 * side_kg)
    if animal is not None and hung_kg is not None:
        hot = side_kg or animal.hot_kg
        if hot_known and not 0.7 * hot <= hung_kg <= 1.01 * hot:
            entry.wrong("hung", f"{hung_kg:.1f} kg from {hot:.1f} kg hot", "70 to 101 % of the hot weight",
                        "Check both weights and their units.")  # fmt: skip
    findings.stop_if_any()
    assert animal is not None
    return Case(
        animal=animal,
        basis="side" if side_kg is not None else "carcass",
        hot_known=hot_known,
        hung_kg=hung_kg,
        days_hung=animal.kind.hang_days[1] if days is None else days,
        style=style,
        ways=ways,
        wishes=Wishes(cover, lean),
        srm_policy_bison=policy,
        draws=draws,
        seed=seed,
    )


def _read_ways(entry: Entry, tree: Tree, animal: Animal | None) -> dict[str, str]:
    chosen: dict[str, str] = {}
    for piece in entry.fields:
        if entry.word_of_key(piece, tree.ways) is None:
            continue
        open_ways = tree.ways_of(piece, animal.species) if animal else tree.ways[piece]
        way = entry.word(piece, [*open_ways, WHOLE])
        if way is not None:
            chosen[piece] = way
    return chosen


def forecast_case(
    case: Case, *, tree: Tree, cuts: Mapping[str, Cut], loss: LossModel | None = None
) -> tuple[Forecast, list[Finding]]:
    """The forecast of a case and what had to be changed for the law.

    A way of the named style that the law forbids for this animal gives way to its boneless alternative, with a
    finding; one that was named outright is refused (`CannotDo`). `loss` is the hanging loss learned for the kind.
    """
    named = {**tree.style(case.style, case.animal.species), **case.ways}
    chosen, changed, refused = lawful_choice(
        tree, cuts, case.animal, named, asked=case.ways, srm_policy_bison=case.srm_policy_bison
    )
    Findings(refused).stop_if_any()
    forecast = forecast_side(
        case.animal,
        chosen,
        tree=tree,
        cuts=cuts,
        hung_kg=_hung_draws(case, loss),
        seed=case.seed,
        wishes=case.wishes,
    )
    return forecast, changed


def _hung_draws(case: Case, loss: LossModel | None) -> NDArray[np.float64]:
    """Equally likely hung weights [kg]: weighed, or hot weight less the hanging loss."""
    if case.hung_kg is not None:
        return np.full(case.draws, case.hung_kg)
    rng = np.random.default_rng((case.seed, 1))
    animal = case.animal
    hot = np.full(case.draws, case.hot_kg)
    if not case.hot_known:
        usual = animal.kind.hot_kg
        hot = np.maximum(HOT_KG_LIMITS[0], usual.mean + usual.sd * rng.standard_normal(case.draws))
    model = loss or LossModel.prior(animal.kind, fat_mm=animal.fat_mm, side_hot_kg=animal.hot_kg / 2)
    return hot * model.draw_remaining(case.days_hung, case.draws, rng)
