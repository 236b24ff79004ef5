"""Labels of packs at random: whatever is put together, what is made breaks no rule, and what is refused says why."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from datetime import timedelta
from decimal import Decimal
from functools import cache

from hypothesis import given, settings
from hypothesis import strategies as st
from label_packs import CUSTOM, MINCE, STEAK, TODAY

from gambrel.grind.names import GROUND_NAMES
from gambrel.measures import CannotDo
from gambrel.sell.element_strings import element_string
from gambrel.sell.label import Label, look_over, make_label
from gambrel.sell.label_facts import PREPRINTED, Ground, LabelFacts, Origin, Proof
from gambrel.sell.pack_code import read_scanned
from gambrel.sell.price_code import LAYOUTS, read_in_store
from gambrel.sell.rules import COUNTRIES, RuleBook, Switch, claims, rule_book, shipped_rules
from gambrel.sell.weights import DIVISIONS, PrintedWeight, total_cents

NAMES = ("Ribeye steak", "Bison ribeye", "Beef brisket", "Prime rib roast", "Choice sirloin", "Grass-fed chuck roast",
         "Fresh ground beef", "Lean stew", "Organic shank", "IMPS 1112 ribeye", "Dry-aged strip", "")  # fmt: skip
LINES = ("Product of USA", "Ground today", "Wagyu", "no antibiotics", "From our own herd", "all natural")

grounds = st.builds(
    Ground, st.sampled_from(sorted(GROUND_NAMES)), st.sampled_from([70.0, 80.0, 85.0, 90.0, 97.0, 99.0]),
    st.floats(1, 35), st.sampled_from([("cattle",), ("bison",), ("cattle", "bison"), ("bison", "cattle")]),
    st.sampled_from([TODAY, TODAY - timedelta(days=1)]), st.booleans(),
)  # fmt: skip


BASES = (STEAK, MINCE, CUSTOM, replace(STEAK, name="Bison ribeye", species="bison"))
CHANGES: dict[str, st.SearchStrategy[object]] = {
    "name": st.sampled_from(NAMES),
    "species": st.sampled_from(["cattle", "bison"]),
    "inspected": st.sampled_from(["federal", "state", "custom"]),
    "packed_on": st.integers(-3, 1).map(lambda days: TODAY + timedelta(days=days)),
    "maker": st.sampled_from(["", "Hollow Creek Meats, Fairford"]),
    "owner": st.sampled_from(["", "R. Aldous"]),
    "gtin": st.just("99521234543216"),
    "price_cents": st.none() | st.integers(0, 4000),
    "total_cents": st.sampled_from([None, 1, 0]),
    "use_by": st.none() | st.just(TODAY + timedelta(days=3)),
    "frozen": st.booleans(),
    "was_frozen": st.booleans(),
    "tenderised": st.just(True),
    "packed_under_inspection": st.just(True),
    "out_of_state": st.just(True),
    "more_words": st.lists(st.sampled_from(LINES), max_size=2).map(tuple),
    "grade_record": st.just("side 7, 2 March"),
    "aged_days": st.just(21),
    "hung_days": st.sampled_from([21, 20]),
    "says_origin": st.just(True),
    "origin": st.sampled_from([Origin("US", "US", "US", "US"), Origin("CA", "US", "US", "US")]),
    "proofs": st.sets(st.sampled_from([claim.slug for claim in claims()])).map(
        lambda slugs: tuple(Proof(slug, "A-1") for slug in sorted(slugs))
    ),
    "ground": st.none() | grounds,
    "nutrition_exempt_why": st.just("small shop"),
    "ingredients": st.sampled_from([(), ("beef", "bison")]),
    "stock": st.sets(st.sampled_from(PREPRINTED)).map(frozenset),
}


@st.composite
def packs(draw: st.DrawFn) -> LabelFacts:
    """A right pack with a few things changed; weighed anew, and totalled anew unless the total is what changed."""
    facts = draw(st.sampled_from(BASES))
    division = DIVISIONS[draw(st.sampled_from(sorted(DIVISIONS)))]
    printed = PrintedWeight(division.down(division.step * draw(st.integers(1, 2000))), division)
    names = draw(st.lists(st.sampled_from(sorted(CHANGES)), max_size=4, unique=True))
    facts = replace(facts, printed=printed, **{name: draw(CHANGES[name]) for name in names})
    if "total_cents" in names or facts.price_cents is None:
        return facts
    return replace(facts, total_cents=total_cents(printed, price_cents=facts.price_cents))


@cache
def book(country: str) -> RuleBook:
    return rule_book(country, today=TODAY)


def made(facts: LabelFacts, of: RuleBook) -> Label | None:
    try:
        return make_label(facts, of, layout=LAYOUTS["upc-price-5-plain"], item="00417")
    except CannotDo as refused:
        assert refused.findings
        assert all(finding.where and finding.wanted and finding.do for finding in refused.findings)
        return None


@settings(max_examples=200, deadline=None)
@given(packs())
def test_what_is_printed_in_the_states_keeps_to_what_is_never_printed(facts: LabelFacts) -> None:
    label = made(facts, book("us"))
    if label is None:
        return
    said = " ".join((label.name, *label.more)).lower()
    if facts.inspected == "custom":
        assert label.not_for_sale and label.owner and not label.safe_handling
        assert not label.price and not label.total and not label.in_store and label.panel is None
    else:
        assert not label.not_for_sale and label.price and label.total
        assert facts.maker or "maker" in facts.stock
    assert not {"prime", "choice"} & set(said.replace("prime rib", "").split()) or facts.grade_record
    assert "imps" not in said and not ("fresh" in said and (facts.frozen or facts.was_frozen))
    if "beef" in said.split() and facts.ground is None:
        assert facts.species == "cattle"
    if facts.packed_under_inspection and facts.inspected != "custom":
        assert "legend" in facts.stock
    if "Product of USA" in label.more:
        assert set(facts.origin.steps) == {"US"}
    if facts.ground is not None:
        assert facts.ground.fat_pct <= 30.0 and facts.ground.species == facts.ground.name.species
        assert facts.ground.lean_pct + facts.ground.fat_pct <= 100.05


@settings(max_examples=200, deadline=None)
@given(packs(), st.sampled_from(COUNTRIES))
def test_a_label_says_in_its_codes_what_it_says_in_words(facts: LabelFacts, country: str) -> None:
    label = made(facts, book(country))
    if label is None:
        return
    scanned = read_scanned(element_string(label.elements), today=TODAY)
    assert scanned.serial == label.serial
    if facts.gtin:
        assert f"{scanned.net} {scanned.unit}" == label.weight
        assert scanned.total_cents == facts.total_cents
        assert scanned.packed_on == facts.packed_on and scanned.use_by == facts.use_by
    if label.in_store:
        assert read_in_store(label.in_store, LAYOUTS["upc-price-5-plain"]).value == facts.total_cents
        assert Decimal(label.total.strip("$").replace(",", "")) * 100 == facts.total_cents


@settings(max_examples=80, deadline=None)
@given(packs(), st.sets(st.sampled_from(sorted(shipped_rules()))))
def test_switching_a_rule_off_only_ever_lets_more_through(facts: LabelFacts, off: set[str]) -> None:
    words = [Switch(slug, on=False, who="inspector", why="said so", since=TODAY) for slug in off]
    freer = rule_book("us", today=TODAY, switches=words)
    strict, loose = look_over(facts, book("us")), look_over(facts, freer)
    for before, after in zip(strict, loose, strict=True):
        assert set(after) <= set(before)
    named = {rule.says for slug, rule in shipped_rules().items() if slug in off}
    assert not any(says in finding.where for says in named for found in loose for finding in found)


@settings(max_examples=80, deadline=None)
@given(packs())
def test_the_same_pack_twice_gives_the_same_label(facts: LabelFacts) -> None:
    assert made(facts, book("us")) == made(facts, book("us"))


def test_of_the_packs_at_random_many_are_made_and_many_refused() -> None:
    """The properties above would say nothing if no label were made, or none refused."""
    counts: Counter[tuple[bool, str]] = Counter()

    @settings(max_examples=300, deadline=None, derandomize=True, database=None)
    @given(packs())
    def each(facts: LabelFacts) -> None:
        counts[made(facts, book("us")) is not None, facts.inspected] += 1

    each()
    labels = sum(count for (was_made, _), count in counts.items() if was_made)
    assert 60 <= labels <= 240
    assert counts[True, "custom"] >= 5 and counts[True, "federal"] >= 30
