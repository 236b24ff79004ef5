"""The cutout forecast: draws of what comes out of each way, multiplied down the tree, then summed up.

Every draw starts from the hung weight and is split without loss of mass, so the pieces, the bone, the fat and
the cutting loss of each draw add up to it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from gambrel.breakdown.share_model import ShareModel, usual_relative_sd
from gambrel.breakdown.tissue import (
    KIDNEY_FAT,
    FaceDraws,
    contents,
    draw_face,
    fat_left_share,
    figures,
    lean_sd,
    tissue_factors,
    usual_face,
)
from gambrel.catalog.animal import Animal
from gambrel.catalog.cuts import Cut
from gambrel.catalog.tree_totals import PRIMAL_OF_PIECE
from gambrel.catalog.ways import LOSS, ROOT, Tree, Way
from gambrel.measures import Estimate

Floats = NDArray[np.float64]

COVARIATES = ("fat_mm", "ribeye_cm2_per_100kg", "kph_pct")
TOTALS = ("saleable_kg", "ground_kg", "trim_fat_kg", "bone_kg", "loss_kg")
_QUARTERS = (ROOT, "forequarter", "hindquarter")
# Whatever the published response of the tissues leaves over; in units of the spread, from memory.
_SLOPE_SD = 0.15
_LEARNED = Mapping[tuple[str, str], ShareModel]


@dataclass(frozen=True, slots=True)
class Wishes:
    """How the work is wanted: fat left on the cuts [mm], and the lean point [%] the trims are made up to."""

    cover_mm: float = 0.0
    grind_lean_pct: float | None = None


CLOSELY_TRIMMED = Wishes()
"""No fat left on the cuts, trims as they fall."""


@dataclass(frozen=True, slots=True)
class Forecast:
    """Equally likely outcomes by slug (draws,), in kg; `loss_kg` and `hung_kg` (draws,) likewise.

    `primal_kg` and `broken_kg` are draws of the primals as they leave the quarters and of every piece on the way.
    """

    hung_kg: Floats
    kg: Mapping[str, Floats]
    loss_kg: Floats
    primal_kg: Mapping[str, Floats]
    broken_kg: Mapping[str, Floats]
    ways: tuple[Way, ...]
    cuts: Mapping[str, Cut] = field(repr=False)

    @property
    def balance_error_kg(self) -> float:
        """Largest difference, over the draws, of the hung weight and all that came of it."""
        return float(np.max(np.abs(sum(self.kg.values()) + self.loss_kg - self.hung_kg)))

    @property
    def primal_share(self) -> dict[str, float]:
        """Mean share of the hung weight by primal."""
        return {primal: float(np.mean(kg / self.hung_kg)) for primal, kg in self.primal_kg.items()}

    def pieces(self) -> dict[str, Estimate]:
        """Estimate of every piece [kg], heaviest first."""
        estimates = {slug: Estimate.from_draws(kg) for slug, kg in self.kg.items()}
        return dict(sorted(estimates.items(), key=lambda item: -item[1].mean))

    def total_draws(self) -> dict[str, Floats]:
        """Draws of the totals [kg]. Saleable (of which ground), trimmed fat, bone and loss add to the hung weight."""
        none = np.zeros_like(self.hung_kg)
        of = dict.fromkeys(("food", "grind", "fat", "bone"), none)
        for slug, kg in self.kg.items():
            use = self.cuts[slug].use
            group = use if use in ("fat", "bone") else "food"
            of[group] = of[group] + kg
            if use == "grind":
                of["grind"] = of["grind"] + kg
        return dict(zip(TOTALS, (of["food"], of["grind"], of["fat"], of["bone"], self.loss_kg), strict=True))

    def totals(self) -> dict[str, Estimate]:
        return {name: Estimate.from_draws(kg) for name, kg in self.total_draws().items()}


def forecast_side(
    animal: Animal,
    chosen: Mapping[str, str],
    *,
    tree: Tree,
    cuts: Mapping[str, Cut],
    hung_kg: Floats,
    seed: int,
    learned: _LEARNED | None = None,
    wishes: Wishes = CLOSELY_TRIMMED,
) -> Forecast:
    """Forecast of one side (or carcass) of `animal` broken as `chosen` (piece to way name) says.

    `hung_kg` (draws,) are equally likely hung weights; as many draws are made. `learned` holds the share models
    that the shop's own tests have taught, by piece and way; the book stands in for the rest.
    """
    rng = np.random.default_rng(seed)
    draws = len(hung_kg)
    face = draw_face(animal, draws, rng)
    tissues = contents(tree, cuts, animal.species)
    noise = lean_sd(animal.kind) * rng.standard_normal(draws)
    factors = tissue_factors(animal.kind, face, tissues[ROOT], noise)
    covariates = np.stack([face.fat_mm, face.ribeye_cm2_per_100kg, face.kph_pct], axis=-1)[:, None, :]

    at_hand: dict[str, Floats] = {ROOT: hung_kg}
    loss = np.zeros(draws)
    broken: dict[str, Floats] = {}
    primals: dict[str, Floats] = {}
    of_primal: set[str] = set()  # pieces that are a primal or come out of one
    deviates: dict[str, Floats] = {}
    used = tree.reached(chosen, animal.species)
    for way in used:
        piece_kg = broken[way.piece] = at_hand.pop(way.piece)
        taught = (learned or {}).get((way.piece, way.name))
        model = taught or book_model(way, animal)
        offset = _offsets(model.parts, factors, tissues)[:, None, :]
        normals = _alike(model.parts, deviates, draws, rng) if taught else None
        shares = model.draw(covariates, draws=draws, rng=rng, offset=offset, normals=normals)[:, 0, :]
        shares = _leave_cover(shares, model.parts, wishes.cover_mm, tissues, cuts)
        for slug, share in zip(model.parts, shares.T, strict=True):
            if slug == LOSS:
                loss = loss + piece_kg * share
            else:
                at_hand[slug] = at_hand.get(slug, 0.0) + piece_kg * share
                if way.piece in of_primal:
                    of_primal.add(slug)
                elif slug in PRIMAL_OF_PIECE:
                    of_primal.add(slug)
                    primal = PRIMAL_OF_PIECE[slug]
                    primals[primal] = primals.get(primal, 0.0) + piece_kg * share
    if wishes.grind_lean_pct is not None:
        at_hand = _make_up_grind(at_hand, wishes.grind_lean_pct, animal.species, cuts)
    return Forecast(
        hung_kg=hung_kg,
        kg=at_hand,
        loss_kg=loss,
        primal_kg=primals,
        broken_kg=broken,
        ways=tuple(used),
        cuts=cuts,
    )


def _alike(
    parts: tuple[str, ...], deviates: dict[str, Floats], draws: int, rng: np.random.Generator
) -> Floats:
    """Deviates (draws, parts) that a cut keeps wherever it comes from. A cut out of several pieces was weighed once,
    so that what was learned of it was told to all of them alike: it is too large, or too small, in all of them."""
    for slug in parts:
        if slug not in deviates:
            deviates[slug] = rng.standard_normal(draws)
    return np.stack(
        [rng.standard_normal(draws) if slug == LOSS else deviates[slug] for slug in parts], axis=-1
    )


def book_parts(way: Way) -> tuple[tuple[str, ...], Floats]:
    """The parts that a way gives and their shares in the book; a way with one output loses next to nothing."""
    parts = tuple(slug for slug, share in way.shares.items() if share > 0.0)
    if len(parts) == 1:
        return (*parts, LOSS), np.array([1.0 - 1e-9, 1e-9])
    return parts, np.array([way.shares[slug] for slug in parts])


def book_model(way: Way, animal: Animal) -> ShareModel:
    """The share model of a way before any test: the book's shares, worth a few carcasses."""
    spread = figures()["spread"]
    level = spread["quarters"] if way.piece in _QUARTERS else spread["pieces"]
    parts, mean = book_parts(way)
    kind = animal.kind
    per_100kg = 100.0 / kind.hot_kg.mean
    return ShareModel.from_prior(
        parts,
        mean,
        worth=spread["book_worth"],
        covariates=COVARIATES,
        relative_sd=usual_relative_sd(mean, level),
        centre=[kind.fat_mm.mean, kind.ribeye_cm2.mean * per_100kg, kind.kph_pct.mean],
        scale=[kind.fat_mm.sd, kind.ribeye_cm2.sd * per_100kg, kind.kph_pct.sd],
        slope_sd=_SLOPE_SD,
        df=spread["book_df"],
    )


def expected_shares(
    animal: Animal, *, tree: Tree, cuts: Mapping[str, Cut], learned: _LEARNED | None = None
) -> dict[tuple[str, str], dict[str, float]]:
    """Central shares of every way open to the animal, by (piece, way name) and output slug, loss among them."""
    face: FaceDraws = usual_face(animal)
    tissues = contents(tree, cuts, animal.species)
    factors = tissue_factors(animal.kind, face, tissues[ROOT])
    covariates = np.stack([face.fat_mm, face.ribeye_cm2_per_100kg, face.kph_pct], axis=-1)
    expected: dict[tuple[str, str], dict[str, float]] = {}
    for piece in tree.ways:
        for name, way in tree.ways_of(piece, animal.species).items():
            if way.is_whole:
                continue
            model = (learned or {}).get((piece, name))
            if model is None:
                expected[piece, name] = shares_by_the_book(way, factors, tissues)
                continue
            shares = model.mean(covariates, offset=_offsets(model.parts, factors, tissues))[0]
            expected[piece, name] = dict(zip(model.parts, shares.tolist(), strict=True))
    return expected


def shares_by_the_book(way: Way, factors: Floats, tissues: Mapping[str, Floats]) -> dict[str, float]:
    """Central shares before any test: without tests nothing leans on the covariates but the tissues' factors."""
    parts, mean = book_parts(way)
    shares = mean * np.exp(_offsets(parts, factors, tissues))[0]
    return dict(zip(parts, (shares / shares.sum()).tolist(), strict=True))


def _offsets(parts: tuple[str, ...], factors: Floats, tissues: Mapping[str, Floats]) -> Floats:
    """Log-factors (draws, parts): each part grows as the tissues it is made of."""
    made_of = np.stack([tissues[slug] for slug in parts])
    return np.log(np.maximum(factors @ made_of.T, 1e-6))


def _leave_cover(
    shares: Floats,
    parts: tuple[str, ...],
    cover_mm: float,
    tissues: Mapping[str, Floats],
    cuts: Mapping[str, Cut],
) -> Floats:
    """Shares with some of the trimmed fat left on the lean that came out beside it."""
    if cover_mm == 0.0:
        return shares
    fat = np.array([slug != LOSS and cuts[slug].use == "fat" and slug not in KIDNEY_FAT for slug in parts])
    lean = np.array([slug != LOSS and tissues[slug][0] > 0.5 for slug in parts])
    if not fat.any() or not lean.any():
        return shares
    moved = shares[:, fat].sum(axis=1) * fat_left_share(cover_mm)
    kept = shares.copy()
    kept[:, fat] *= 1.0 - fat_left_share(cover_mm)
    kept[:, lean] *= (1.0 + moved / shares[:, lean].sum(axis=1))[:, None]
    return kept


def _make_up_grind(
    at_hand: Mapping[str, Floats], lean_pct: float, species: str, cuts: Mapping[str, Cut]
) -> dict[str, Floats]:
    """Trims made up to one lean point: trimmed fat is left in, or more is taken out, as far as there is any."""
    trims = {slug: cuts[slug].lean_pct for slug in at_hand if cuts[slug].lean_pct is not None}
    fats = [slug for slug in at_hand if cuts[slug].use == "fat" and slug not in KIDNEY_FAT]
    if not trims or not fats:
        return dict(at_hand)
    trim_kg = np.sum([at_hand[slug] for slug in trims], axis=0)
    lean_kg = np.sum([at_hand[slug] * (pct or 0.0) / 100.0 for slug, pct in trims.items()], axis=0)
    fat_kg = np.sum([at_hand[slug] for slug in fats], axis=0)
    added = np.minimum(lean_kg / (lean_pct / 100.0) - trim_kg, fat_kg)
    kept = {slug: kg for slug, kg in at_hand.items() if slug not in trims}
    for slug in fats:
        kept[slug] = at_hand[slug] * (1.0 - added / fat_kg)
    ground = "ground-bison" if species == "bison" else "ground-beef"
    kept[ground] = kept.get(ground, np.zeros_like(trim_kg)) + trim_kg + added
    return kept
