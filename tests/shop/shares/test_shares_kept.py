"""Shares kept: sold, wished, handed over and billed by hand; what is refused, and what a stranger may try."""

from __future__ import annotations

from datetime import date, timedelta
from decimal import Decimal
from typing import Any
from uuid import uuid4

import pytest
from django.db import IntegrityError, transaction
from django.test import Client
from django.urls import reverse
from hypothesis import given, settings
from hypothesis import strategies as st

from gambrel.catalog.portions import PORTIONS
from gambrel.measures import CannotDo
from gambrel.sell.share_bill import Extra, Terms
from gambrel.sell.take_home import OwnerWishes
from gambrel.shop.pages.shares.forms import HandOverForm, ShareForm, WishesForm, typed_wishes
from gambrel.shop.pages.shares.templatetags.share_words import more_money, more_weight
from gambrel.shop.pages.shares.words import PORTION_NAMES, choice_said
from gambrel.shop.records.models import Animal, AuditLine, Customer, Share, Side, SideState
from gambrel.shop.records.selectors.shares import figures_of, sold_of
from gambrel.shop.records.services import block
from gambrel.shop.records.services import shares as service
from gambrel.shop.records.stored import plain, restored

ON = date(2026, 3, 9)


@pytest.fixture
def steer(demo_shop: Any) -> Animal:
    rows = Side.objects.filter(state=SideState.HANGING, animal__kind="grain-finished").select_related(
        "animal"
    )
    return rows.order_by("pk")[0].animal


def a_share(animal: Animal, portion: str = "quarter", **changed: Any) -> Share:
    fields = {"customer": "A. Neighbour", "contact": "", "bought_on": ON, "wishes": OwnerWishes(), "key": uuid4(),
              "terms": Terms(hanging_cents_per_kg=1000.0), "by": None, **changed}  # fmt: skip
    return service.agree(animal=animal, portion=portion, **fields)


def hand(share: Share, taken: str, ground: str = "0") -> Share:
    return service.hand_over(share, taken_kg=Decimal(taken), ground_kg=Decimal(ground), on=ON, foretold_kg=None,
                             by=None)  # fmt: skip


def why(act: Any) -> str:
    with pytest.raises(CannotDo) as refusal:
        act()
    return " | ".join(finding.sentence() for finding in refusal.value.findings)


def side_kg(animal: Animal) -> float:
    return sum(float(side.hot_kg) for side in animal.sides.all()) / 2


EXTRAS = (Extra("smoke", cents_per_kg=150.0, on="ground"), Extra("vacuum", fixed_cents=900),
          Extra("box", cents_per_kg=10.0, on="taken"))  # fmt: skip
BILLS = [
    # portion, terms; by hand: sides x hot of a side at each price, half the head fee a side, extras, less the deposit
    ("eighth", Terms(hanging_cents_per_kg=880.0), lambda kg: [("meat, hanging weight", 0.25 * kg * 880)]),
    ("half", Terms(hanging_cents_per_kg=None, cut_wrap_cents_per_kg=240.0, head_fee_cents=12_001),
     lambda kg: [("cut and wrap, hanging weight", 1.0 * kg * 240), ("kill and fees", 6000.5)]),
    ("quarter", Terms(hanging_cents_per_kg=900.0, deposit_cents=500_000),
     lambda kg: [("meat, hanging weight", 0.5 * kg * 900), ("deposit", -500_000)]),
    ("whole", Terms(hanging_cents_per_kg=700.0, extras=EXTRAS, head_fee_cents=9000),
     lambda kg: [("meat, hanging weight", 2 * kg * 700), ("kill and fees", 9000), ("smoke", 12.5 * 150),
                 ("vacuum", 900), ("box", 30.0 * 10)]),
]  # fmt: skip


@pytest.mark.django_db
@pytest.mark.parametrize(("portion", "terms", "by_hand"), BILLS, ids=[one[0] for one in BILLS])
def test_bills_by_hand(demo_shop: Any, steer: Animal, portion: str, terms: Terms, by_hand: Any) -> None:
    """Thirty kilograms taken home, twelve and a half of them ground. A deposit above the bill is paid back."""
    share = hand(a_share(steer, portion, terms=terms), "30", "12.5")
    bill = figures_of(share, demo_shop.profile).bill
    assert bill is not None
    wanted = by_hand(side_kg(steer))
    assert [line.what for line in bill.lines] == [what for what, _ in wanted]
    for line, (_, cents) in zip(bill.lines, wanted, strict=True):
        assert line.amount_cents == pytest.approx(cents, abs=0.51)
    assert bill.due_cents == sum(line.amount_cents for line in bill.lines)
    assert (bill.due_cents < 0) is (portion == "quarter")
    assert bill.cents_per_taken_kg == pytest.approx(
        sum(cents for _, cents in wanted if cents > 0) / 30, abs=0.1
    )


@pytest.mark.django_db
def test_charged_on_what_hung_on_the_cutting_day_once_both_sides_are_cut(
    demo_shop: Any, steer: Animal
) -> None:
    """150 kg and 160 kg off the rail: a quarter is 0.25 x 310 = 77.5 kg at 10.00 = 775.00. Before that it is the
    foretold weight, below the hot one."""
    share = hand(a_share(steer, terms=Terms(hanging_cents_per_kg=1000.0, charged_on="hung")), "30")
    sides = list(Side.objects.filter(animal=steer).order_by("pk"))
    block.begin(sides[0], weight_kg=Decimal(150), typed="150 kg", ways={}, by=None, key=uuid4())
    foretold = figures_of(share, demo_shop.profile).bill
    assert foretold is not None and foretold.due_cents < side_kg(steer) / 2 * 1000
    block.begin(sides[1], weight_kg=Decimal(160), typed="160 kg", ways={}, by=None, key=uuid4())
    bill = figures_of(share, demo_shop.profile).bill
    assert bill is not None and bill.due_cents == 77_500


@pytest.mark.django_db
@pytest.mark.parametrize(("taken", "ground", "said"), [
    ("0", "0", "above 0"), ("-1", "0", "above 0"), ("10", "10.001", "no more than the 10 kg taken"),
    ("10", "-0.001", "no more than the 10 kg taken"), ("100000", "0", "at most its hot weight")])  # fmt: skip
def test_weights_that_cannot_be_taken_home(steer: Animal, taken: str, ground: str, said: str) -> None:
    share = a_share(steer)
    assert said in why(lambda: hand(share, taken, ground))
    share.refresh_from_db()
    assert (share.state, share.taken_kg) == ("open", None)
    assert not AuditLine.objects.filter(what="handed a share over").exists()


@pytest.mark.django_db
def test_the_whole_hot_weight_may_go_home_and_no_gram_more(steer: Animal) -> None:
    share, most_kg = a_share(steer, "half"), Decimal(f"{side_kg(steer):.3f}")
    assert "hot weight" in why(lambda: hand(share, str(most_kg + Decimal("0.002"))))
    assert hand(share, str(most_kg), str(most_kg)).state == "filled"


@pytest.mark.django_db
@pytest.mark.parametrize("act", ["hand", "cancel", "wish"])
@pytest.mark.parametrize("closed_by", ["hand", "cancel"])
def test_a_closed_share_is_changed_no_more(steer: Animal, act: str, closed_by: str) -> None:
    share = a_share(steer)
    acts = {"hand": lambda: hand(share, "20"), "cancel": lambda: service.cancel(share, why="moved", by=None),
            "wish": lambda: service.wish(share, wishes=OwnerWishes(takes_fat=True), by=None)}  # fmt: skip
    acts[closed_by]()
    before = list(Share.objects.filter(pk=share.pk).values())
    assert "an open share" in why(acts[act])
    assert list(Share.objects.filter(pk=share.pk).values()) == before


@pytest.mark.django_db
def test_a_share_handed_over_still_takes_its_part_of_the_animal(steer: Animal) -> None:
    hand(a_share(steer, "half"), "20")
    a_share(steer, "half")
    assert service.sides_left(steer) == 0
    assert "at most 0%" in why(lambda: a_share(steer, "eighth"))


@pytest.mark.django_db
def test_one_person_is_one_customer_however_it_is_written(steer: Animal) -> None:
    first = a_share(steer, customer="Ida Quarter", contact="ida@farm.example")
    again = a_share(steer, customer="IDA QUARTER", contact="other")
    assert first.customer == again.customer and first.customer.contact == "ida@farm.example"
    assert Customer.objects.filter(name__iexact="ida quarter").count() == 1
    assert (first.code, again.code) == (f"Q26-{first.pk}", f"Q26-{again.pk}")


@pytest.mark.django_db
def test_a_new_link_shuts_the_old_and_no_two_shares_have_one(steer: Animal) -> None:
    share = service.open_link(a_share(steer), by=None)
    old = share.token
    assert service.open_link(share, by=None).token != old
    other = a_share(steer)
    with pytest.raises(IntegrityError), transaction.atomic():
        Share.objects.filter(pk=other.pk).update(token=Share.objects.get(pk=share.pk).token)
    assert service.withdraw_link(share, by=None).token == ""
    Share.objects.filter(pk=other.pk).update(token="")  # many may have none
    said = AuditLine.objects.filter(what__in=("made a link", "withdrew a link")).values_list(
        "before", "after"
    )
    assert len(said) == 3 and old not in str(list(said)), "a trail that many read does not hold the link"


@pytest.mark.django_db
@pytest.mark.parametrize("killed_after_days", [-1, 0, 1])
def test_custom_meat_is_bought_before_the_kill(steer: Animal, killed_after_days: int) -> None:
    """9 CFR 303.1(a)(2): bought on the day of the kill still counts; the day after it does not."""
    killed_on = ON + timedelta(days=killed_after_days)
    Animal.objects.filter(pk=steer.pk).update(
        inspected="custom", owner_name="A. Neighbour", killed_on=killed_on
    )
    steer.refresh_from_db()
    if killed_after_days < 0:
        assert "bought before it is killed" in why(lambda: a_share(steer))
    else:
        assert sold_of(a_share(steer)).killed_on == killed_on


TERMS = st.builds(
    Terms, hanging_cents_per_kg=st.none() | st.floats(0, 5000), charged_on=st.sampled_from(["hot", "hung"]),
    cut_wrap_cents_per_kg=st.floats(0, 900), head_fee_cents=st.integers(0, 10**6),
    deposit_cents=st.integers(0, 10**7),
    extras=st.lists(st.builds(Extra, st.text(max_size=60), st.floats(0, 900), st.integers(0, 9000),
                              st.sampled_from(["hot", "hung", "taken", "ground"])), max_size=3).map(tuple),
)  # fmt: skip
WISHES = st.builds(OwnerWishes, style=st.sampled_from(["boneless", "roasts"]), cover_mm=st.floats(0, 25),
                   ways=st.dictionaries(st.text(max_size=20), st.text(max_size=20), max_size=3),
                   grind_lean_pct=st.none() | st.floats(70, 97), takes_bones=st.booleans(),
                   takes_fat=st.booleans())  # fmt: skip


@given(TERMS, WISHES)
@settings(deadline=None, max_examples=60)
def test_terms_and_wishes_come_back_as_they_were_kept(terms: Terms, wishes: OwnerWishes) -> None:
    assert restored(Terms, plain(terms)) == terms
    assert restored(OwnerWishes, plain(wishes)) == wishes


@pytest.mark.parametrize(
    ("typed", "wrong"),
    [({}, set()), ({"style": ""}, {"style"}), ({"style": "unicorn"}, {"style"}), ({"cover": "25 mm"}, set()),
     ({"cover": "1 in"}, {"cover"}), ({"cover": "-1 mm"}, {"cover"}), ({"cover": "0"}, set()),
     ({"grind_lean_pct": "69.9"}, {"grind_lean_pct"}), ({"grind_lean_pct": "97"}, set()),
     ({"grind_lean_pct": "nan"}, {"grind_lean_pct"}), ({"cover": "6", "takes_fat": "on"}, set())],
)  # fmt: skip
def test_wishes_at_their_ends(typed: dict[str, str], wrong: set[str]) -> None:
    """An inch is 25.4 mm: more than is left on anything."""
    form = WishesForm({"style": "boneless", **typed})
    form.is_valid()
    assert set(form.errors) == wrong
    if not wrong:
        shown = {
            name: value for name, value in typed_wishes(form.wishes()).items() if value not in (None, False)
        }
        again = WishesForm(shown)
        assert again.is_valid() and again.wishes() == form.wishes()


def typed_share(**changed: str) -> ShareForm:
    said = {"customer": "  Ida \t Quarter ", "animal": "7", "portion": "half", "bought_on": "2026-03-09",
            "charged_on": "hot", "style": "boneless", "key": str(uuid4()), **changed}  # fmt: skip
    return ShareForm(said, unit="lb", animals=[Animal(pk=7, tag="C7", kind="bison")])


@pytest.mark.parametrize(
    ("changed", "wrong"),
    [({"animal": "8"}, {"animal"}), ({"customer": "x" * 81}, {"customer"}), ({"customer": "\x00"}, {"customer"}),
     ({"hanging_price": "-1"}, {"hanging_price"}), ({"deposit": "1e400"}, {"deposit"}),
     ({"head_fee": "nan"}, {"head_fee"}),
     ({"cut_wrap": "inf"}, {"cut_wrap"}), ({"charged_on": "guess"}, {"charged_on"}), ({"key": "7"}, {"key"}),
     ({"bought_on": "9999-12-31"}, {"bought_on"}), ({"extra_name": "smoke", "extra_price": "0"}, set())],
)  # fmt: skip
@pytest.mark.django_db
def test_what_is_typed_of_a_share(changed: dict[str, str], wrong: set[str]) -> None:
    form = typed_share(**changed)
    form.is_valid()
    assert set(form.errors) == wrong


@pytest.mark.django_db
def test_terms_as_typed_by_the_pound() -> None:
    """4.00 a pound is 881.85 a kilogram, 1.10 is 242.51, 0.75 is 165.35 [the pound of 1959, 0.45359237 kg]."""
    form = typed_share(hanging_price="4.00", cut_wrap="1.10", extra_name="smoke", extra_price="$0.75/lb",
                       head_fee="150", deposit="$1,300.50")  # fmt: skip
    assert form.is_valid(), form.errors
    terms = form.terms()
    assert terms.hanging_cents_per_kg == pytest.approx(881.849, abs=0.001)
    assert terms.cut_wrap_cents_per_kg == pytest.approx(242.508, abs=0.001)
    assert terms.extras[0].cents_per_kg == pytest.approx(165.347, abs=0.001) and terms.extras[0].on == "taken"
    assert (terms.head_fee_cents, terms.deposit_cents) == (15_000, 130_050)
    assert form.cleaned_data["customer"] == "Ida Quarter"
    free = typed_share()
    assert free.is_valid() and free.terms() == Terms(hanging_cents_per_kg=None)


def test_nothing_ground_is_nought() -> None:
    form = HandOverForm({"taken_kg": "100"}, unit="lb")
    assert form.is_valid() and form.cleaned_data == {"taken_kg": Decimal("45.359"), "ground_kg": Decimal(0)}


@pytest.mark.parametrize(
    ("kg", "unit", "said"),
    [(1.0, "lb", "+2.2 lb"), (-1.0, "lb", "−2.2 lb"), (0.04, "kg", "+0.0 kg"), (-0.04, "kg", "+0.0 kg"),
     (-0.05, "lb", "−0.1 lb"), (0.0, "kg", "+0.0 kg")],
)  # fmt: skip
def test_more_or_less_weight_never_says_minus_nought(kg: float, unit: str, said: str) -> None:
    assert more_weight({"weight_unit": unit}, kg) == said


def test_more_or_less_money_and_the_names_of_choices() -> None:
    assert (
        more_money(-0.4)[0] == "+"
        and more_money(-250.0)[0] == "−"
        and more_money(250.0)[1:] == more_money(-250.0)[1:]
    )
    assert (
        choice_said("style roasts") == "roasts"
        and choice_said("6 mm of fat left on") == "6 mm of fat left on"
    )
    assert (
        choice_said("ground at 85 % lean") == "ground at 85 % lean"
        and choice_said("something new") == "something new"
    )
    assert set(PORTION_NAMES) == set(PORTIONS)


@pytest.mark.django_db
@pytest.mark.parametrize("what", ["x" * 31, "' OR 1=1 --" + "x" * 40, "%00" * 20, "a" * 5000])
def test_no_token_of_a_stranger_opens_a_share_without_a_link(
    visitor_client: Client, steer: Animal, what: str
) -> None:
    a_share(steer)
    answer = visitor_client.get(reverse("share_for_customer", args=[what]))
    assert answer.status_code == 404
