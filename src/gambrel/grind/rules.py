"""The rules of a batch, each a function with a sentence for a name.

The first half says which trim may go into which product at all; the second half adds limits to the linear
program. Columns are kilograms of one trim in one product.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

from gambrel.grind.case import GroundProduct, Trim
from gambrel.grind.names import NATURAL_SHANK_PCT
from gambrel.measures.units import lb_from_kg
from gambrel.optimize import Problem


@dataclass(frozen=True, slots=True)
class Rule:
    """What a batch was held to, for the person who asks why."""

    sentence: str
    cite: str
    mark: str


Columns = Mapping[tuple[str, str], int]
"""Column number by (trim id, product id); only pairs that `why_not` allows are there."""


def species_are_kept_apart(trim: Trim, product: GroundProduct) -> str:
    """Every species of a tub that is of more than one: meat that is ground together cannot be told apart again."""
    for species in trim.species_share:
        if species not in product.name.species:
            return f"{species} does not go into {product.name.words.lower()}"
    return ""


def inspection_is_kept_apart(trim: Trim, product: GroundProduct) -> str:
    if trim.inspected == product.inspected:
        return ""
    return f"{trim.inspected} trim is kept apart from {product.inspected} product"


def each_owner_gets_his_own(trim: Trim, product: GroundProduct) -> str:
    return "" if trim.owner == product.owner else f"it belongs to {trim.owner or 'another owner'}"


def added_fat_only_where_the_name_allows(trim: Trim, product: GroundProduct) -> str:
    if not trim.fat_class or product.name.added_fat:
        return ""
    return f"added fat is not allowed in {product.name.words.lower()}"


def a_named_primal_holds_only_itself(trim: Trim, product: GroundProduct) -> str:
    name = product.name
    if not name.primal or (trim.primal in (name.primal, name.shank) and trim.primal and not trim.cheek):
        return ""
    return (
        f"{name.words.lower()} takes only {name.primal}, and this is {trim.primal or 'from no named primal'}"
    )


_KEPT_APART: tuple[Callable[[Trim, GroundProduct], str], ...] = (
    species_are_kept_apart,
    inspection_is_kept_apart,
    each_owner_gets_his_own,
    added_fat_only_where_the_name_allows,
    a_named_primal_holds_only_itself,
)


def why_not(trim: Trim, product: GroundProduct) -> str:
    """Why a trim may not go into a product, or "" when it may."""
    return next((reason for rule in _KEPT_APART if (reason := rule(trim, product))), "")


def too_old(trim: Trim, age_limit_days: int | None) -> str:
    """Why a trim is too old to grind, or "": over the shop's own limit, or of an age nobody has entered."""
    if age_limit_days is None:
        return ""
    if trim.age_days is None:
        return f"its age is not known and the limit is {age_limit_days} days"
    if trim.age_days <= age_limit_days:
        return ""
    return f"{trim.age_days} day{'s' * (trim.age_days != 1)} old, over the limit of {age_limit_days}"


def no_more_trim_than_there_is(problem: Problem, columns: Columns, trim: Trim) -> None:
    terms = {column: 1.0 for (trim_id, _), column in columns.items() if trim_id == trim.id}
    problem.rule(f"{trim.id}: no more than there is", terms, high=trim.weight_kg)


def an_order_is_met(problem: Problem, columns: Columns, product: GroundProduct) -> int | None:
    """least <= sum of kg. Soft: a smaller order can be agreed, the law cannot."""
    if product.least_kg <= 0:
        return None
    sentence = f"{product.id}: {product.least_kg:.1f} kg ({lb_from_kg(product.least_kg):.1f} lb) wanted"
    return problem.rule(sentence, _of(columns, product), low=product.least_kg, soft=True)


def no_more_than_can_be_sold(problem: Problem, columns: Columns, product: GroundProduct) -> None:
    if product.most_kg is not None:
        problem.rule(f"{product.id}: no more than can be sold", _of(columns, product), high=product.most_kg)


def never_fatter_than_stated(
    problem: Problem, columns: Columns, trims: Mapping[str, Trim], product: GroundProduct
) -> Rule:
    """sum((lean - stated) kg) >= 0."""
    terms = _of(columns, product, lambda trim_id: trims[trim_id].lean_pct - product.lean_pct)
    problem.rule(f"{product.id}: never fatter than stated", terms, low=0.0)
    return Rule(
        f"lean at least the {product.lean_pct:g} % stated",
        "9 CFR 317.362(f), lean and fat percent stated",
        "read",
    )


def no_leaner_than_wanted(
    problem: Problem, columns: Columns, trims: Mapping[str, Trim], product: GroundProduct
) -> Rule:
    """sum((lean - stated - tolerance) kg) <= 0."""
    most = product.lean_pct + product.tolerance_pct
    terms = _of(columns, product, lambda trim_id: trims[trim_id].lean_pct - most)
    problem.rule(f"{product.id}: no leaner than wanted", terms, high=0.0)
    return Rule(
        f"lean at most {most:g} %, {product.tolerance_pct:g} points given away",
        "the shop's own tolerance",
        "practice",
    )


def never_over_the_fat_ceiling(
    problem: Problem, columns: Columns, trims: Mapping[str, Trim], product: GroundProduct
) -> Rule:
    """sum((fat - ceiling) kg) <= 0."""
    ceiling = product.name.fat_ceiling_pct
    terms = _of(columns, product, lambda trim_id: trims[trim_id].fat_pct - ceiling)
    problem.rule(f"{product.id}: never over {ceiling:g} % fat", terms, high=0.0)
    return Rule(f"fat at most {ceiling:g} %", product.name.cite, product.name.mark)


def cheek_within_its_limit(
    problem: Problem, columns: Columns, trims: Mapping[str, Trim], product: GroundProduct
) -> Rule | None:
    """sum(cheek kg) <= limit x sum(kg)."""
    limit = product.name.cheek_limit_pct
    if not any(trims[trim_id].cheek for trim_id, product_id in columns if product_id == product.id):
        return None
    terms = _of(columns, product, lambda trim_id: 100.0 * trims[trim_id].cheek - limit)
    problem.rule(f"{product.id}: cheek meat within {limit:g} %", terms, high=0.0)
    return Rule(f"cheek meat at most {limit:g} %", "9 CFR 319.15; Meat Calculations, teaching slides", "read")


def shank_within_its_natural_share(
    problem: Problem, columns: Columns, trims: Mapping[str, Trim], product: GroundProduct
) -> Rule | None:
    """sum(shank kg) <= natural share x sum(kg), unless the stated fat is low enough to lift the limit."""
    name = product.name
    if not name.shank or 100.0 - product.lean_pct <= name.shank_free_fat_pct:
        return None
    terms = _of(
        columns, product, lambda trim_id: 100.0 * (trims[trim_id].primal == name.shank) - NATURAL_SHANK_PCT
    )
    problem.rule(f"{product.id}: shank within its natural share", terms, high=0.0)
    return Rule(
        f"shank at most {NATURAL_SHANK_PCT:g} % unless fat is at or under {name.shank_free_fat_pct:g} %",
        name.cite,
        "read",
    )


def species_in_the_shares_named(
    problem: Problem, columns: Columns, trims: Mapping[str, Trim], product: GroundProduct
) -> Rule | None:
    """sum(kg of the species named first) = its share x sum(kg)."""
    if product.first_species_pct is None:
        return None
    first, share = product.name.species[0], product.first_species_pct
    terms = _of(
        columns, product, lambda trim_id: 100.0 * trims[trim_id].species_share.get(first, 0.0) - share
    )
    problem.rule(f"{product.id}: {first} is {share:g} %", terms, low=0.0, high=0.0)
    return Rule(f"{first} is {share:g} % and named first", product.name.cite, product.name.mark)


_LIMITS: tuple[Callable[[Problem, Columns, Mapping[str, Trim], GroundProduct], Rule | None], ...] = (
    never_fatter_than_stated,
    no_leaner_than_wanted,
    never_over_the_fat_ceiling,
    cheek_within_its_limit,
    shank_within_its_natural_share,
    species_in_the_shares_named,
)


def hold_product_to_its_rules(
    problem: Problem, columns: Columns, trims: Mapping[str, Trim], product: GroundProduct
) -> tuple[Rule, ...]:
    """Add every limit that applies to the product; returns them, and what keeps trims out, for the record."""
    limits = tuple(rule for limit in _LIMITS if (rule := limit(problem, columns, trims, product)) is not None)
    return (*_kept_out(product), *limits)


def _kept_out(product: GroundProduct) -> tuple[Rule, ...]:
    """What `why_not` keeps out of the product, in words."""
    name = product.name
    own = f", {product.owner}'s own" if product.owner else ""
    cite = "9 CFR 303.1(a)(2), custom work" if product.is_custom else "species and inspection kept apart"
    kept = [Rule(f"only {' and '.join(name.species)}, {product.inspected} inspection{own}", cite, "memory")]
    if name.primal:
        kept.append(
            Rule(
                f"only {name.primal}" + (f" and its {name.shank}" if name.shank else ""), name.cite, name.mark
            )
        )
    if not name.added_fat:
        kept.append(Rule("no fat added as such", name.cite, name.mark))
    return tuple(kept)


def _of(
    columns: Columns, product: GroundProduct, weigh: Callable[[str], float] = lambda _: 1.0
) -> dict[int, float]:
    return {
        column: weigh(trim_id)
        for (trim_id, product_id), column in columns.items()
        if product_id == product.id
    }
