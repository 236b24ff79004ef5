"""Every rule of labels: it lets the right pack through, and stops the wrong one by its name."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal
from typing import Any

import pytest
from label_packs import CUSTOM, GROUND, MINCE, STEAK, TODAY, rules, spoiled

from gambrel.catalog.animal import Animal
from gambrel.catalog.cuts import shipped_cuts
from gambrel.catalog.kinds import shipped_kinds
from gambrel.measures import CannotDo
from gambrel.sell.label import look_over, make_label
from gambrel.sell.label_facts import LabelFacts, Origin, Proof
from gambrel.sell.label_rules import CHECKS
from gambrel.sell.rules import COUNTRIES, RuleBook, Switch, rule_book, shipped_rules
from gambrel.sell.weights import DIVISIONS, PrintedWeight

USA = Origin("US", "US", "US", "US")
CUTS = shipped_cuts()


def steer(age_months: int | None, kind: str = "grain-finished") -> Animal:
    return Animal(shipped_kinds()[kind], "steer", 350.0, age_months)


def broken(facts: LabelFacts, book: RuleBook | None = None) -> set[str]:
    """Slugs of the rules that these facts break."""
    forbids, warns = look_over(facts, book or rules())
    return {slug for slug, rule in shipped_rules().items() for found in [*forbids, *warns] if rule.cited in found.where
            and rule.says in found.where}  # fmt: skip


def test_every_rule_has_its_function_and_every_function_its_rule() -> None:
    assert set(CHECKS) == set(shipped_rules())


@pytest.mark.parametrize("facts", [STEAK, MINCE, CUSTOM], ids=["steak", "mince", "custom"])
def test_right_packs_break_nothing(facts: LabelFacts) -> None:
    assert broken(facts) == set()
    assert make_label(facts, rules()).name == facts.name


SPOILED: list[tuple[str, LabelFacts, dict[str, Any]]] = [
    ("name", STEAK, {"name": "  "}),
    ("maker", STEAK, {"maker": ""}),
    ("ingredients", STEAK, {"ingredients": ("beef",)}),
    ("legend", STEAK, {"packed_under_inspection": True}),
    ("legend", CUSTOM, {"stock": frozenset({"legend"})}),
    ("legend", STEAK, {"stock": frozenset({"legend"})}),
    ("price-parts", STEAK, {"price_cents": None, "total_cents": None}),
    ("price-parts", STEAK, {"total_cents": 2354}),
    ("price-parts", STEAK, {"packed_on": date(2026, 3, 5)}),
    ("price-parts", STEAK, {"use_by": date(2026, 3, 3)}),
    ("not-for-sale", CUSTOM, {"price_cents": 1899, "total_cents": 2355}),
    ("not-for-sale", CUSTOM, {"owner": ""}),
    ("not-for-sale", STEAK, {"owner": "R. Aldous"}),
    ("custom-no-safe-handling", CUSTOM, {"stock": frozenset({"safe-handling"})}),
    ("nutrition", MINCE, {"ground": replace(GROUND, lean_pct=98.0, fat_pct=2.0)}),
    ("ground-fat", MINCE, {"ground": replace(GROUND, lean_pct=69.0, fat_pct=31.0), "nutrition_exempt_why": "small"}),
    ("ground-fat-test", MINCE, {"ground": replace(GROUND, lean_pct=71.0, fat_pct=28.9)}),
    ("ground-species", MINCE, {"ground": replace(GROUND, species=("cattle", "bison")), "nutrition_exempt_why": "small",
                               "ingredients": ("beef", "bison")}),
    ("lean-with-fat", MINCE, {"ground": replace(GROUND, lean_pct=90.0)}),
    ("lean-with-fat", STEAK, {"name": "Extra lean ribeye"}),
    ("bison-is-not-beef", STEAK, {"name": "Beef ribeye", "species": "bison"}),
    ("bison-is-not-beef", STEAK, {"name": "Bison ribeye"}),
    ("grade-words", STEAK, {"name": "Choice ribeye steak"}),
    ("grade-words", STEAK, {"more_words": ("USDA Prime",)}),
    ("imps-words", STEAK, {"more_words": ("IMPS 1112",)}),
    ("fresh", STEAK, {"name": "Fresh ribeye", "was_frozen": True}),
    ("claims", STEAK, {"more_words": ("Grass-finished",)}),
    ("dry-aged", STEAK, {"aged_days": 28, "hung_days": 27}),
    ("dry-aged", STEAK, {"name": "Dry-aged ribeye"}),
    ("origin", STEAK, {"says_origin": True, "origin": replace(USA, born="CA")}),
    ("origin", STEAK, {"more_words": ("Product of the USA",)}),
    ("ground-today", MINCE, {"more_words": ("Ground today",), "ground": replace(GROUND, ground_on=date(2026, 3, 3))}),
    ("state-border", STEAK, {"inspected": "state", "out_of_state": True}),
    ("risk-material", STEAK, {"cut": CUTS["t-bone-steak"], "animals": (steer(30),)}),
    ("risk-material", STEAK, {"cut": CUTS["t-bone-steak"], "animals": (steer(17), steer(None))}),
    ("net-weight", STEAK, {"printed": PrintedWeight(Decimal("0.00"), DIVISIONS["lb"]), "total_cents": 0}),
]  # fmt: skip


@pytest.mark.parametrize(
    ("slug", "facts", "change"), SPOILED, ids=[f"{n}-{row[0]}" for n, row in enumerate(SPOILED)]
)
def test_the_wrong_pack_is_stopped_by_that_rule_and_no_other(
    slug: str, facts: LabelFacts, change: dict[str, Any]
) -> None:
    wrong = spoiled(facts, **change)
    assert broken(wrong) == {slug}
    if shipped_rules()[slug].does == "warn":
        assert [found.where for found in make_label(wrong, rules()).warnings]
    else:
        with pytest.raises(CannotDo) as caught:
            make_label(wrong, rules())
        assert all(shipped_rules()[slug].citation in found.where for found in caught.value.findings)


RIGHTED: list[tuple[str, LabelFacts, dict[str, Any]]] = [
    ("maker on the roll", STEAK, {"maker": "", "stock": frozenset({"maker"})}),
    ("legend on the roll", STEAK, {"packed_under_inspection": True, "stock": frozenset({"legend"})}),
    ("no maker on custom work", CUSTOM, {"maker": ""}),
    ("exempt shop", MINCE, {"ground": replace(GROUND, lean_pct=98.0, fat_pct=2.0), "nutrition_exempt_why": "small"}),
    ("fat tested", MINCE, {"ground": replace(GROUND, lean_pct=71.0, fat_pct=28.9, fat_tested=True)}),
    ("thirty exactly", MINCE, {"ground": replace(GROUND, lean_pct=70.0, fat_pct=30.0, fat_tested=True)}),
    ("prime rib is a roast", STEAK, {"name": "Prime rib roast"}),
    ("graded", STEAK, {"name": "Choice ribeye", "grade_record": "grader's stamp of 2 March, side 7"}),
    ("fresh never frozen", STEAK, {"name": "Fresh ribeye"}),
    ("approved claim", STEAK, {"more_words": ("Grass-finished",), "proofs": (Proof("grass-fed", "L-1180"),)}),
    ("valid certificate", STEAK, {"name": "Organic ribeye", "proofs": (Proof("organic", "C-5", TODAY),)}),
    ("days of the log", STEAK, {"aged_days": 28, "hung_days": 28, "more_words": ("dry aged",)}),
    ("all four at home", STEAK, {"says_origin": True, "origin": USA}),
    ("ground today", MINCE, {"more_words": ("Ground today",)}),
    ("in its state", STEAK, {"inspected": "state"}),
    ("programme", STEAK, {"inspected": "state", "out_of_state": True, "interstate_programme": True}),
    ("young t-bone", STEAK, {"cut": CUTS["t-bone-steak"], "animals": (steer(29),)}),
    ("old, boneless", STEAK, {"cut": CUTS["ribeye-roll-steak"], "animals": (steer(48),)}),
    ("bison named so", STEAK, {"name": "Bison ribeye", "species": "bison"}),
    ("bison by the inspector's word", STEAK, {"name": "Bison T-bone", "species": "bison", "cut": CUTS["t-bone-steak"],
                                               "animals": (steer(40, "bison"),), "srm_policy_bison": "not_applied"}),
]  # fmt: skip


@pytest.mark.parametrize(("what", "facts", "change"), RIGHTED, ids=[row[0] for row in RIGHTED])
def test_what_only_looks_wrong_goes_through(what: str, facts: LabelFacts, change: dict[str, Any]) -> None:
    assert broken(spoiled(facts, **change)) == set()


def test_a_certificate_that_ended_yesterday_is_none() -> None:
    ended = (Proof("organic", "C-5", date(2026, 3, 3)),)
    assert broken(spoiled(STEAK, name="Organic ribeye", proofs=ended)) == {"claims"}
    assert broken(spoiled(STEAK, name="Organic ribeye", proofs=(Proof("organic", " "),))) == {"claims"}


def test_all_that_is_wrong_is_said_at_once() -> None:
    wrong = spoiled(STEAK, name="Choice organic IMPS beef", species="bison", maker="", total_cents=1)
    assert broken(wrong) == {
        "maker",
        "price-parts",
        "bison-is-not-beef",
        "grade-words",
        "imps-words",
        "claims",
    }


def test_mixed_meat_lists_both() -> None:
    both = replace(GROUND, name_slug="ground-bison-and-beef", species=("bison", "cattle"))
    mixed = spoiled(MINCE, name="Ground bison and beef", ground=both, nutrition_exempt_why="small shop")
    assert broken(mixed) == {"ingredients"}
    assert broken(spoiled(mixed, ingredients=("bison", "beef"))) == set()
    assert broken(
        spoiled(mixed, ingredients=("bison", "beef"), ground=replace(both, species=("cattle", "bison")))
    ) == {"ground-species"}


def test_other_countries_ask_for_other_things() -> None:
    assert broken(STEAK, rules("ca")) == {"metric"}
    metric = spoiled(STEAK, printed=PrintedWeight(Decimal("0.560"), DIVISIONS["kg"]), best_before=date(2026, 3, 9),
                     second_name="Bifteck de faux-filet")  # fmt: skip
    assert broken(metric, rules("ca")) == set()
    assert broken(STEAK, rules("eu")) == {"eu-origin"}
    assert broken(spoiled(STEAK, origin=USA), rules("eu")) == set()


def test_a_rule_switched_off_lets_the_label_through() -> None:
    word = Switch("legend", on=False, who="inspector in charge", why="packed at the counter", since=TODAY)
    facts = spoiled(STEAK, packed_under_inspection=True)
    assert broken(facts, rule_book("us", today=TODAY, switches=[word])) == set()


@pytest.mark.parametrize("country", COUNTRIES)
def test_no_country_lets_a_nameless_weightless_pack_through(country: str) -> None:
    empty = spoiled(STEAK, name="", printed=PrintedWeight(Decimal("0.00"), DIVISIONS["lb"]), total_cents=0)
    assert "net-weight" in broken(empty, rules(country))
