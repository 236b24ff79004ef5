"""Each rule of the law and of the shop, one small case each."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from gambrel.grind import GROUND_NAMES, GrindPlan, GroundProduct, Trim
from gambrel.grind.names import label_words
from gambrel.grind.rules import why_not
from gambrel.measures import CannotDo

MakeTrim = Callable[..., Trim]
MakeProduct = Callable[..., GroundProduct]
MakePlan = Callable[..., GrindPlan]


def used(plan: GrindPlan) -> dict[str, float]:
    """Kilograms of each trim over all batches."""
    kg: dict[str, float] = {}
    for batch in plan.batches:
        for line in batch.lines:
            kg[line.trim.id] = kg.get(line.trim.id, 0.0) + line.kg
    return kg


def why_left(plan: GrindPlan) -> dict[str, str]:
    return {left.trim.id: left.why for left in plan.leftovers}


def test_suet_goes_into_hamburger_but_not_into_ground_beef(
    trim: MakeTrim, product: MakeProduct, plan: MakePlan
) -> None:
    # 9 CFR 319.15(a) and (b).
    trims = [trim("lean", 90, 90), trim("suet", 30, 0, fat_class=True)]
    beef = plan(trims, [product("ground-beef", 75, tolerance_pct=15)])
    assert used(beef) == {"lean": pytest.approx(90)}
    assert why_left(beef) == {"suet": "no product here may hold it"}
    burger = plan(trims, [product("hamburger", 75, tolerance_pct=0)])
    # by hand: 90 kg at 90 % lean holds 81 kg of lean, 81 / 0.75 = 108 kg, so 18 kg of suet
    assert used(burger) == {"lean": pytest.approx(90), "suet": pytest.approx(18, abs=1e-3)}


def test_no_batch_is_over_thirty_percent_fat(trim: MakeTrim, product: MakeProduct, plan: MakePlan) -> None:
    batches = plan([trim("50s", 100, 50), trim("90s", 10, 90)], [product("ground-beef", 70)]).batches
    # by hand: x kg of 50s with 10 kg of 90s is 70 % lean at x = 10
    assert [batch.kg for batch in batches] == [pytest.approx(20, abs=1e-3)]
    assert batches[0].fat_pct == pytest.approx(30)
    assert any("test it" in warning for warning in batches[0].warnings())


def test_a_fat_test_settles_the_warning(trim: MakeTrim, product: MakeProduct, plan: MakePlan) -> None:
    (batch,) = plan([trim("70s", 10, 71)], [product("ground-beef", 70, fat_tested=True)]).batches
    assert batch.warnings() == ()


def test_cheek_meat_is_at_most_a_quarter(trim: MakeTrim, product: MakeProduct, plan: MakePlan) -> None:
    # 25 % in 9 CFR 319.15, as given in Meat Calculations (slides): 30 kg of other meat takes 10 kg.
    trims = [trim("85s", 30, 85), trim("cheek", 30, 85, cheek=True)]
    made = plan(trims, [product("ground-beef", 85)])
    (batch,) = made.batches
    assert used(made)["cheek"] == pytest.approx(10, abs=1e-3)
    assert any("cheek" in warning for warning in batch.warnings())


@pytest.mark.parametrize(("lean", "shank_kg"), [(75.0, 6.0), (80.0, 50.0)])
def test_shank_in_ground_chuck(
    lean: float, shank_kg: float, trim: MakeTrim, product: MakeProduct, plan: MakePlan
) -> None:
    # IMPS 100 (2014): the natural 6 % unless fat is at or under 20 %; 94 kg of chuck takes 6 kg at 6 %.
    trims = [trim("chuck", 94, lean, primal="chuck"), trim("shank", 50, lean, primal="foreshank")]
    assert used(plan(trims, [product("ground-chuck", lean)]))["shank"] == pytest.approx(shank_kg, abs=1e-3)


@pytest.mark.parametrize(("lean", "shank_kg"), [(84.0, 6.0), (85.0, 50.0)])
def test_shank_in_ground_round(
    lean: float, shank_kg: float, trim: MakeTrim, product: MakeProduct, plan: MakePlan
) -> None:
    # IMPS 100 (2014): unless fat is at or under 15 %.
    trims = [trim("round", 94, lean, primal="round"), trim("shank", 50, lean, primal="hindshank")]
    assert used(plan(trims, [product("ground-round", lean)]))["shank"] == pytest.approx(shank_kg, abs=1e-3)


@pytest.mark.parametrize("name", ["ground-chuck", "ground-round", "ground-sirloin"])
def test_a_named_primal_takes_nothing_else(
    name: str, trim: MakeTrim, product: MakeProduct, plan: MakePlan
) -> None:
    trims = [
        trim(primal or "unknown", 10, 85, primal=primal)
        for primal in ("chuck", "round", "sirloin", "plate", "")
    ]
    assert set(used(plan(trims, [product(name, 85)]))) == {name.removeprefix("ground-")}


def test_species_stay_apart(trim: MakeTrim, product: MakeProduct, plan: MakePlan) -> None:
    trims = [trim("beef", 10, 85), trim("bull", 10, 85, species="bison")]
    made = plan(trims, [product("ground-bison", 85), product("ground-beef", 85)])
    assert [[line.trim.id for line in batch.lines] for batch in made.batches] == [["bull"], ["beef"]]


def test_two_species_are_named_with_the_larger_first(
    trim: MakeTrim, product: MakeProduct, plan: MakePlan
) -> None:
    trims = [trim("beef", 100, 85), trim("bull", 60, 85, species="bison")]
    made = plan(trims, [product("ground-bison-and-beef", 85, first_species_pct=60)])
    assert used(made) == {"bull": pytest.approx(60), "beef": pytest.approx(40, abs=1e-3)}
    assert made.batches[0].label[0] == "GROUND BISON AND BEEF"
    assert any("amenable" in warning for warning in made.batches[0].warnings())


BOTH = (("bison", 0.7), ("cattle", 0.3))


@pytest.mark.parametrize(
    ("name", "why"),
    [
        ("ground-bison", "cattle does not go into ground bison"),
        ("ground-beef", "bison does not go into ground beef"),
        ("hamburger", "bison does not go into hamburger"),
        ("ground-bison-and-beef", ""),
        ("ground-beef-and-bison", ""),
    ],
)
def test_meat_of_two_species_goes_only_where_both_are_named(
    name: str, why: str, trim: MakeTrim, product: MakeProduct
) -> None:
    assert why_not(trim("left", 0.5, 85, species="bison", mixed=BOTH), product(name, 85)) == why


def test_meat_of_two_species_counts_by_its_shares_where_they_are_named(
    trim: MakeTrim, product: MakeProduct, plan: MakePlan
) -> None:
    """10 kg of 70 % bison and x kg of cattle make 50 % bison: 7 = 0.5 (10 + x), so 4 kg of cattle and 14 in all."""
    trims = [trim("left", 10, 85, species="bison", mixed=BOTH), trim("beef", 100, 85)]
    made = plan(trims, [product("ground-bison-and-beef", 85, first_species_pct=50)])
    assert used(made) == {"left": pytest.approx(10, abs=1e-3), "beef": pytest.approx(4, abs=1e-3)}


def test_state_and_federal_stay_apart(trim: MakeTrim, product: MakeProduct, plan: MakePlan) -> None:
    trims = [trim("federal", 10, 85), trim("state", 10, 85, inspected="state")]
    made = plan(trims, [product("ground-beef", 85, inspected="state")])
    assert used(made) == {"state": pytest.approx(10)}
    assert any("inside the state" in warning for warning in made.batches[0].warnings())


def test_custom_meat_goes_to_its_owner_and_is_never_sold(
    trim: MakeTrim, product: MakeProduct, plan: MakePlan
) -> None:
    custom = {"inspected": "custom"}
    trims = [trim("north", 10, 85, owner="North", **custom), trim("south", 10, 85, owner="South", **custom),
             trim("shop", 10, 85)]  # fmt: skip
    made = plan(trims, [product("ground-beef", 85, owner="North", **custom)], objective="most-earned")
    assert used(made) == {"north": pytest.approx(10)}
    (batch,) = made.batches
    assert batch.label == ("NOT FOR SALE", "GROUND BEEF")
    assert batch.value_cents is None
    assert any("North only" in warning for warning in batch.warnings())


def test_old_trim_and_trim_of_unknown_age_are_left_out(
    trim: MakeTrim, product: MakeProduct, plan: MakePlan
) -> None:
    trims = [trim("new", 10, 85, age_days=1), trim("old", 10, 85, age_days=6), trim("undated", 10, 85)]
    made = plan(trims, [product("ground-beef", 85)], age_limit_days=5)
    assert used(made) == {"new": pytest.approx(10)}
    assert why_left(made) == {"old": "6 days old, over the limit of 5",
                              "undated": "its age is not known and the limit is 5 days"}  # fmt: skip


def test_the_oldest_trim_goes_first_when_nothing_else_decides(
    trim: MakeTrim, product: MakeProduct, plan: MakePlan
) -> None:
    trims = [trim("a", 10, 85, age_days=1), trim("b", 10, 85, age_days=3), trim("c", 10, 85, age_days=2)]
    assert used(plan(trims, [product("ground-beef", 85, most_kg=15)])) == {
        "b": pytest.approx(10, abs=1e-3), "c": pytest.approx(5, abs=1e-3)}  # fmt: skip


def test_least_lean_is_given_away_when_nothing_else_decides(
    trim: MakeTrim, product: MakeProduct, plan: MakePlan
) -> None:
    trims = [trim("80s", 10, 80, age_days=0), trim("82s", 10, 82, age_days=5)]
    (batch,) = plan(trims, [product("ground-beef", 80, most_kg=10)]).batches
    assert batch.giveaway_kg == pytest.approx(0, abs=1e-4)


def test_giveaway_is_the_lean_above_the_target(trim: MakeTrim, product: MakeProduct, plan: MakePlan) -> None:
    (batch,) = plan([trim("82s", 50, 82)], [product("ground-beef", 80)]).batches
    assert batch.giveaway_kg == pytest.approx(1.0)  # 2 points of 50 kg


def test_fat_entered_as_trim_is_asked_about(trim: MakeTrim, product: MakeProduct, plan: MakePlan) -> None:
    (batch,) = plan(
        [trim("90s", 50, 90), trim("white", 5, 10)], [product("ground-beef", 80, tolerance_pct=10)]
    ).batches
    assert any("white is 10 % lean" in warning for warning in batch.warnings())


@pytest.mark.parametrize("slug", GROUND_NAMES)
def test_a_label_never_says_lean_without_fat_beside_it(slug: str) -> None:
    # 9 CFR 317.362(f): lean percent only with fat percent beside it.
    words = label_words(GROUND_NAMES[slug], lean_pct=85, custom=False)
    assert words[-1] == "85% LEAN / 15% FAT"
    assert "LEAN" not in " ".join(words[:-1])
    assert "LEAN" not in " ".join(label_words(GROUND_NAMES[slug], lean_pct=85, custom=True))


@pytest.mark.parametrize("slug", GROUND_NAMES)
def test_every_name_says_its_species_and_its_source(slug: str) -> None:
    name = GROUND_NAMES[slug]
    assert name.slug == slug
    assert name.fat_ceiling_pct <= 30
    assert name.cite and name.mark in ("read", "memory", "practice")
    if "bison" in name.species and not name.is_mixed:
        assert "BEEF" not in name.words and "BURGER" not in name.words


def test_an_order_short_of_lean_says_so(trim: MakeTrim, product: MakeProduct, plan: MakePlan) -> None:
    # by hand: 10 kg of 90s with x kg of 70s is 85 % lean at x = 10 / 3, so 13.3 kg of 40
    with pytest.raises(CannotDo) as refusal:
        plan([trim("90s", 10, 90), trim("70s", 50, 70)], [product("ground-beef", 85, least_kg=40)])
    (finding,) = refusal.value.findings
    assert "13.3 kg" in finding.given and "40.0 kg" in finding.wanted
    assert "Short by 58.8 lb (26.7 kg)" in finding.do and "leaner than 85 % lacks" in finding.do


@pytest.mark.parametrize(
    ("trims", "word"),
    [
        ([("70s", 50, 70)], "leaner trim lacks"),
        ([("95s", 50, 95)], "fatter trim lacks"),
        ([("85s", 20, 85)], "All the trim that may go in is 44.1 lb"),
        ([("95s", 90, 95), ("70s", 10, 70)], "fatter than 87 % lean lacks"),
    ],
)
def test_why_an_order_cannot_be_met(
    trims: list[tuple[str, float, float]], word: str, trim: MakeTrim, product: MakeProduct, plan: MakePlan
) -> None:
    with pytest.raises(CannotDo) as refusal:
        plan([trim(*fields) for fields in trims], [product("ground-beef", 85, least_kg=40)])
    assert word in refusal.value.findings[0].do


def test_an_order_that_no_trim_may_go_into_says_why(
    trim: MakeTrim, product: MakeProduct, plan: MakePlan
) -> None:
    with pytest.raises(CannotDo) as refusal:
        plan([trim("beef", 50, 85)], [product("ground-bison", 85, least_kg=5)])
    assert "cattle does not go into ground bison" in refusal.value.findings[0].do


def test_two_orders_for_the_same_trim(trim: MakeTrim, product: MakeProduct, plan: MakePlan) -> None:
    orders = [product("ground-beef", 85, least_kg=15), product("hamburger", 85, least_kg=15)]
    with pytest.raises(CannotDo) as refusal:
        plan([trim("85s", 20, 85)], orders)
    assert "Other orders want the same trim" in refusal.value.findings[0].do


def test_products_that_are_not_made_say_why(trim: MakeTrim, product: MakeProduct, plan: MakePlan) -> None:
    trims = [trim("85s", 20, 85, cost_cents_per_kg=900)]
    cheap = product("ground-beef", 85, price_cents_per_kg=500)
    bison = product("ground-bison", 85, price_cents_per_kg=2000)
    made = plan(trims, [cheap, bison], objective="most-earned")
    assert made.batches == ()
    reasons = {product.id: why for product, why in made.not_made}
    assert "less than its trim costs" in reasons["ground-beef 85"]
    assert "cattle does not go into ground bison" in reasons["ground-bison 85"]


def test_most_earned_puts_lean_where_it_brings_most(
    trim: MakeTrim, product: MakeProduct, plan: MakePlan
) -> None:
    trims = [trim("90s", 20, 90), trim("60s", 10, 60)]
    products = [product("ground-beef", 90, price_cents_per_kg=1000, id="90"),
                product("ground-beef", 80, price_cents_per_kg=800, id="80")]  # fmt: skip
    made = plan(trims, products, objective="most-earned")
    # by hand: 20 kg x 10.00 = 200 as 90s, against 30 kg x 8.00 = 240 with the fat trim in
    assert [(batch.product.id, batch.value_cents) for batch in made.batches] == [
        ("80", pytest.approx(24000, abs=1))
    ]


def test_a_batch_records_what_it_was_held_to(trim: MakeTrim, product: MakeProduct, plan: MakePlan) -> None:
    (chuck,) = plan([trim("chuck", 10, 78, primal="chuck")], [product("ground-chuck", 77)]).batches
    said = {rule.sentence for rule in chuck.rules}
    assert said >= {"only cattle, federal inspection", "only chuck and its foreshank", "no fat added as such",
                    "lean at least the 77 % stated", "fat at most 30 %"}  # fmt: skip
    assert any("shank at most 6 %" in sentence for sentence in said)
    (burger,) = plan([trim("80s", 10, 80)], [product("hamburger", 80)]).batches
    assert not any("no fat added" in rule.sentence for rule in burger.rules)
