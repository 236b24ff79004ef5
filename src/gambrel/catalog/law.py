"""What may not be sold as food from an older animal, and the ways that stay open.

The rule is 9 CFR 310.22 (specified risk material) as data in `data/law.toml`. It bites on the finished item:
an older side may hang, be ribbed and be boned in house, but nothing with backbone in it leaves as food. It
names cattle; whether a shop applies it to bison is the shop's choice with its inspector (`srm_policy_bison`).
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from functools import cache
from importlib import resources

from gambrel.catalog.animal import Animal
from gambrel.catalog.cuts import Cut
from gambrel.measures import Finding

POLICIES = ("as_cattle", "not_applied")
"""How a shop treats bison under the rule; the first is taken when nothing is said."""

NO_FOOD_USES = ("bone", "fat", "offal")
"""Uses that never close a way: what may not be sold of them weighs as inedible."""

ASK = "Ask the inspector in charge."


@dataclass(frozen=True, slots=True)
class SrmRule:
    """The rule on specified risk material; `applied` false switches it off."""

    citation: str
    in_force_from: date
    applied: bool
    older_from_months: int
    older_above_incisors_count: int
    mark: str
    source: str


@cache
def shipped_rule() -> SrmRule:
    """The rule of `data/law.toml`."""
    text = resources.files("gambrel.catalog").joinpath("data/law.toml").read_text("utf-8")
    return SrmRule(**tomllib.loads(text)["specified_risk_material"])


def age_in_months(*, born: date, killed: date) -> int:
    """Whole calendar months from birth to slaughter. Raises ValueError when killed before born."""
    if killed < born:
        raise ValueError("killed before it was born")
    months = (killed.year - born.year) * 12 + killed.month - born.month
    return months - (1 if killed.day < born.day else 0)


def is_older(animal: Animal, *, permanent_incisors: int | None = None, rule: SrmRule | None = None) -> bool:
    """Whether the animal counts as 30 months or older; exactly 30 does, and so does an unknown age.

    Where the age is not recorded the teeth may speak: more than two permanent incisors erupted is older.
    """
    rule = rule or shipped_rule()
    if animal.age_months is not None:
        return animal.age_months >= rule.older_from_months
    if permanent_incisors is not None:
        return permanent_incisors > rule.older_above_incisors_count
    return True


def forbidden_leaf(
    cut: Cut,
    animal: Animal,
    *,
    srm_policy_bison: str = POLICIES[0],
    permanent_incisors: int | None = None,
    rule: SrmRule | None = None,
) -> Finding | None:
    """Why this finished item may not be food from this animal; None when the rule lets it go.

    Raises ValueError for a policy that is not one of `POLICIES`.
    """
    rule = rule or shipped_rule()
    if srm_policy_bison not in POLICIES:
        raise ValueError(f"srm_policy_bison is one of {', '.join(POLICIES)}")
    exempt = animal.species == "bison" and srm_policy_bison == "not_applied"
    at_any_age = cut.srm == "any"
    from_older = cut.srm == "30m" or cut.contains_vertebra
    if not rule.applied or exempt or not (at_any_age or from_older):
        return None
    if not at_any_age and not is_older(animal, permanent_incisors=permanent_incisors, rule=rule):
        return None
    return Finding(cut.slug, _given(cut, animal), _wanted(at_any_age, rule), _do(cut, animal))


def inedible(
    slugs: Iterable[str], cuts: Mapping[str, Cut], animal: Animal, *, srm_policy_bison: str = POLICIES[0]
) -> set[str]:
    """Those of `slugs` that weigh as inedible: neck bones, chine and the like of an older animal."""
    return {slug for slug in slugs if slug in cuts
            and forbidden_leaf(cuts[slug], animal, srm_policy_bison=srm_policy_bison)}  # fmt: skip


def bison_notice(animal: Animal, *, srm_policy_bison: str = POLICIES[0]) -> Finding | None:
    """A warning for every bison that counts as older: the rule names cattle, and somebody has to decide."""
    if animal.species != "bison" or not is_older(animal):
        return None
    cited = shipped_rule().citation
    given = f"{cited} applied as to cattle" if srm_policy_bison == POLICIES[0] else f"{cited} not applied"
    wanted = "a decision on record: the rule names cattle"
    return Finding("bison", given, wanted, f"{ASK} Record who decided and when.")


def _given(cut: Cut, animal: Animal) -> str:
    age = "unknown age, which counts as older" if animal.age_months is None else f"{animal.age_months} months"
    what = f"{cut.name}, backbone in it," if cut.contains_vertebra else cut.name
    return f"{what} from {animal.species} of {age}"


def _wanted(at_any_age: bool, rule: SrmRule) -> str:
    if at_any_age:
        return f"no tonsils and no distal ileum as food at any age ({rule.citation})"
    months = rule.older_from_months
    return f"no backbone or other risk material as food from {months} months on ({rule.citation})"


def _do(cut: Cut, animal: Animal) -> str:
    bare = cut.use in NO_FOOD_USES
    first = "Weigh it as inedible and record where it goes." if bare else "Bone it out."
    if animal.species == "bison":
        return f"{first} The rule names cattle: {ASK[0].lower()}{ASK[1:]}"
    return f"{first} {ASK}"
