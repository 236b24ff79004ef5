"""The rules of labels, one function each: what is wrong with these facts under that rule.

`data/rules.toml` has the sentence, the source and how sure it is; the slug there is the function's key here.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator

from gambrel.catalog.law import forbidden_leaf
from gambrel.grind.names import FAT_CEILING_PCT, FAT_TEST_PCT
from gambrel.measures import Finding
from gambrel.sell.label_facts import LabelFacts
from gambrel.sell.rules import Rule, claims
from gambrel.sell.weights import label_adds_up

_GRADES = re.compile(
    r"\b(usda\s+)?(prime|choice|select|standard|commercial|utility|canada\s+(a|aa|aaa|prime))\b", re.I
)
_GRADES_THAT_ARE_NAMES = re.compile(r"\bprime\s+rib\b", re.I)
"""Prime rib is the name of a roast, not of a grade [common practice]."""

_LEAN_ALONE = re.compile(r"\b(extra\s+)?lean\b(?!\s*/)", re.I)
_ORIGIN = re.compile(r"\b(product\s+of|made\s+in)\s+(the\s+)?(usa|u\.s\.a?\.?|united states)", re.I)
_GROUND_NOW = re.compile(r"\bground\s+(today|fresh\s+daily|daily)\b", re.I)

Breaches = Iterator[Finding]
Check = Callable[[LabelFacts, Rule], Breaches]


def name(facts: LabelFacts, rule: Rule) -> Breaches:
    if not facts.name.strip():
        yield rule.breach("no name", "the product's name", "Name the cut.")


def maker(facts: LabelFacts, rule: Rule) -> Breaches:
    if not facts.maker.strip() and "maker" not in facts.stock and not facts.is_custom:
        yield rule.breach("nobody", "the shop's name and place", "Enter them under shop.")


def net_weight(facts: LabelFacts, rule: Rule) -> Breaches:
    if facts.printed.net <= 0:
        yield rule.breach(facts.printed.words, "more than nothing", "Weigh it again.")


def ingredients(facts: LabelFacts, rule: Rule) -> Breaches:
    mixed = facts.ground is not None and len(set(facts.ground.species)) > 1
    if mixed and len(facts.ingredients) < 2:
        yield rule.breach("none", "both meats, the larger first", "Enter the ingredients of the batch.")
    if len(facts.ingredients) == 1:
        yield rule.breach(facts.ingredients[0], "none for a single one, or all of them", "Add the others.")


def legend(facts: LabelFacts, rule: Rule) -> Breaches:
    if facts.packed_under_inspection and not facts.is_custom and "legend" not in facts.stock:
        yield rule.breach("a plain roll", "label stock that bears the approved legend",
                          "Put in the approved roll, or say that this is packed at the counter.")  # fmt: skip
    if facts.is_custom and "legend" in facts.stock:
        yield rule.breach("stock with the legend", "a plain roll for custom work", "Change the roll.")
    elif "legend" in facts.stock and not facts.packed_under_inspection:
        yield rule.breach("stock with the legend", "a plain roll for what is packed at the counter",
                          "Change the roll, or enter the number of the establishment.")  # fmt: skip


def price_parts(facts: LabelFacts, rule: Rule) -> Breaches:
    if facts.is_custom:
        return
    if facts.price_cents is None or facts.total_cents is None:
        yield rule.breach("no price", "price per unit and total", "Price it first.")
    elif wrong := label_adds_up(facts.printed, price_cents=facts.price_cents, asked_cents=facts.total_cents):
        yield rule.breach(wrong.given, wrong.wanted, wrong.do)
    if facts.packed_on > facts.today:
        yield rule.breach(f"packed {facts.packed_on}", f"{facts.today} or before", "Look at the day.")
    for said in (facts.use_by, facts.best_before):
        if said is not None and said < facts.packed_on:
            yield rule.breach(f"{said}", f"{facts.packed_on} or after", "Look at the date.")


def not_for_sale(facts: LabelFacts, rule: Rule) -> Breaches:
    if not facts.is_custom:
        if facts.owner:
            yield rule.breach(f"{facts.owner} as owner of inspected meat", "no owner", "Take it out.")
        return
    if facts.price_cents is not None or facts.total_cents is not None:
        yield rule.breach("a price", "no price on custom work", "Take the price out.")
    if not facts.owner.strip():
        yield rule.breach("no owner", "the owner's name", "Enter whose animal it is.")


def custom_no_safe_handling(facts: LabelFacts, rule: Rule) -> Breaches:
    if facts.is_custom and "safe-handling" in facts.stock:
        yield rule.breach("stock with the block", "a roll without it", "Change the roll.")


def nutrition(facts: LabelFacts, rule: Rule) -> Breaches:
    wanted = facts.ground is not None and not facts.is_custom
    if wanted and facts.panel is None and not facts.nutrition_exempt_why.strip():
        yield rule.breach("no nutrition facts", "them, or why the shop is exempt",
                          "Take a lean point that is published, or enter the exemption under shop.")  # fmt: skip


def ground_fat(facts: LabelFacts, rule: Rule) -> Breaches:
    if facts.ground is not None and facts.ground.fat_pct > FAT_CEILING_PCT:
        yield rule.breach(
            f"{facts.ground.fat_pct:.1f} % fat", f"{FAT_CEILING_PCT:g} % at most", "Grind it leaner."
        )


def ground_fat_test(facts: LabelFacts, rule: Rule) -> Breaches:
    ground = facts.ground
    if ground is not None and FAT_TEST_PCT < ground.fat_pct <= FAT_CEILING_PCT and not ground.fat_tested:
        yield rule.breach(
            f"{ground.fat_pct:.1f} % fat, not tested", "a test of fat", "Test it before it is sold."
        )


def ground_species(facts: LabelFacts, rule: Rule) -> Breaches:
    ground = facts.ground
    if ground is not None and ground.species != ground.name.species:
        yield rule.breach(f"{ground.name.words.lower()} made of {' and '.join(ground.species)}",
                          "a name with every species, the larger first", "Choose the name that fits.")  # fmt: skip


def lean_with_fat(facts: LabelFacts, rule: Rule) -> Breaches:
    ground = facts.ground
    if ground is not None and 100.0 - ground.lean_pct < ground.fat_pct - 0.05:
        yield rule.breach(f"{ground.lean_pct:g} % lean with {ground.fat_pct:.1f} % fat in it",
                          f"{100 - ground.fat_pct:.1f} % lean at most", "State what is in it.")  # fmt: skip
    if _LEAN_ALONE.search(facts.words):
        yield rule.breach(facts.words, "lean and fat in percent together, which the label prints itself",
                          "Take the word out.")  # fmt: skip


def bison_is_not_beef(facts: LabelFacts, rule: Rule) -> Breaches:
    species = set(facts.ground.species) if facts.ground else {facts.species}
    said = facts.words.lower()
    if "cattle" not in species and re.search(r"\b(beef|veal)\b", said):
        yield rule.breach(facts.name, "bison", "Call it bison.")
    if "bison" not in species and re.search(r"\b(bison|buffalo)\b", said):
        yield rule.breach(facts.name, "beef", "Call it beef.")


def risk_material(facts: LabelFacts, rule: Rule) -> Breaches:
    for animal in facts.animals if facts.cut is not None else ():
        assert facts.cut is not None
        if found := forbidden_leaf(facts.cut, animal, srm_policy_bison=facts.srm_policy_bison):
            yield rule.breach(found.given, found.wanted, found.do)


def grade_words(facts: LabelFacts, rule: Rule) -> Breaches:
    said = _GRADES.search(_GRADES_THAT_ARE_NAMES.sub("", facts.words))
    if said and not facts.grade_record.strip():
        yield rule.breach(said[0], "no grade without the grader's record", "Take the word out.")


def imps_words(facts: LabelFacts, rule: Rule) -> Breaches:
    if re.search(r"\bIMPS\b", facts.words, re.I):
        yield rule.breach(facts.words, "no such letters", "Take them out.")


def fresh(facts: LabelFacts, rule: Rule) -> Breaches:
    if (facts.frozen or facts.was_frozen) and re.search(r"\bfresh\b", facts.words, re.I):
        yield rule.breach("fresh, and it was frozen", "no fresh", "Take the word out.")


def claims_have_proof(facts: LabelFacts, rule: Rule) -> Breaches:
    good = {proof.claim for proof in facts.proofs
            if proof.number.strip() and (proof.until is None or proof.until >= facts.today)}  # fmt: skip
    for claim in claims():
        if claim.is_in(facts.words) and claim.slug not in good:
            yield rule.breach(f"{claim.slug}: {facts.words}", "an approval or certificate on record, still valid",
                              "Enter its number, or take the words out.")  # fmt: skip


def dry_aged(facts: LabelFacts, rule: Rule) -> Breaches:
    if facts.aged_days is not None and facts.aged_days != facts.hung_days:
        log = "no days in the log" if facts.hung_days is None else f"{facts.hung_days} days, as the log says"
        yield rule.breach(f"dry aged {facts.aged_days} days", log, "Print the log's days, or none.")
    elif facts.aged_days is None and re.search(r"\bdry[\s-]+aged\b", facts.words, re.I):
        yield rule.breach(facts.words, "the days of the log beside it", "Let the label print the days.")


def origin(facts: LabelFacts, rule: Rule) -> Breaches:
    says = facts.says_origin or bool(_ORIGIN.search(facts.words))
    if says and set(facts.origin.steps) != {"US"}:
        said = ", ".join(step or "not on record" for step in facts.origin.steps)
        yield rule.breach(f"born, raised, killed, cut: {said}", "all four in the USA", "Take the words out.")


def ground_today(facts: LabelFacts, rule: Rule) -> Breaches:
    if _GROUND_NOW.search(facts.words) and (facts.ground is None or facts.ground.ground_on != facts.today):
        yield rule.breach(facts.words, "ground on the day it is sold", "Take the words out.")


def tenderised(facts: LabelFacts, rule: Rule) -> Breaches:
    yield from ()


keep_cold = safe_handling = tenderised
"""Rules that only put words on the label: `label.py` does."""


def state_border(facts: LabelFacts, rule: Rule) -> Breaches:
    if facts.inspected == "state" and facts.out_of_state and not facts.interstate_programme:
        yield rule.breach(
            "state-inspected meat for another state", "a buyer in this state", "Ask the inspector."
        )


def metric(facts: LabelFacts, rule: Rule) -> Breaches:
    if facts.printed.unit != "kg":
        yield rule.breach(facts.printed.words, "kilograms", "Set the scale to kilograms.")
    if facts.best_before is None and not facts.is_custom:
        yield rule.breach("no durable life date", "one", "Enter how long it keeps.")
    if not facts.second_name.strip():
        yield rule.breach("one language", "the name in both", "Enter the name in the other language.")


def eu_origin(facts: LabelFacts, rule: Rule) -> Breaches:
    if "cattle" in (facts.ground.species if facts.ground else (facts.species,)) and not all(
        facts.origin.steps
    ):
        yield rule.breach(", ".join(step or "not on record" for step in facts.origin.steps),
                          "where it was born, raised, killed and cut", "Enter them with the animal.")  # fmt: skip


CHECKS: dict[str, Check] = {
    "name": name, "maker": maker, "net-weight": net_weight, "ingredients": ingredients, "legend": legend,
    "price-parts": price_parts, "not-for-sale": not_for_sale, "custom-no-safe-handling": custom_no_safe_handling,
    "keep-cold": keep_cold, "safe-handling": safe_handling, "nutrition": nutrition, "ground-fat": ground_fat,
    "ground-fat-test": ground_fat_test, "ground-species": ground_species, "lean-with-fat": lean_with_fat,
    "bison-is-not-beef": bison_is_not_beef, "risk-material": risk_material, "grade-words": grade_words,
    "imps-words": imps_words, "fresh": fresh, "claims": claims_have_proof, "dry-aged": dry_aged, "origin": origin,
    "ground-today": ground_today, "tenderised": tenderised, "state-border": state_border, "metric": metric,
    "eu-origin": eu_origin,
}  # fmt: skip
"""Each rule's function by the slug of its row."""
