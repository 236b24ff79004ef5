"""A pack weighed at the table: net, tare and price as typed in either unit, against the same in whole thousandths."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal
from typing import Any
from uuid import uuid4

import pytest
from django.test import Client
from django.urls import reverse
from hypothesis import given, settings
from hypothesis import strategies as st
from packing import a_lot, a_pack, became

from gambrel.shop.clock import today
from gambrel.shop.pages.packs.forms import PackForm
from gambrel.shop.pages.stock.forms import BecameForm
from gambrel.shop.records.models import Item, Lot, OnHand, Pack, PackEvent, ShopProfile
from gambrel.shop.records.pack_money import printed_weight
from gambrel.shop.records.selectors.packs import packs_to_label
from gambrel.shop.records.services import block, labels
from gambrel.shop.records.week import sides_on_rail

LB_KG = Decimal("0.45359237")


def form(typed: str, tare: str = "", *, unit: str = "kg", **changed: str) -> PackForm:
    sent = {"slug": "ribeye-steak", "typed": typed, "tare": tare, "packing": "vacuum", "place": "case",
            "use_by": "2026-03-20", "price": "", "key": str(uuid4()), **changed}  # fmt: skip
    return PackForm(sent, unit=unit, cuts=[("ribeye-steak", "Ribeye steak")], is_custom=False)


def net_kg(made: PackForm) -> Decimal:
    assert made.is_valid(), made.errors
    return Decimal(made.cleaned_data["net_kg"])


@given(st.integers(20, 20_000), st.integers(1, 19))
@settings(max_examples=60, deadline=None)
def test_of_grams_the_net_is_gross_less_tare_to_the_gram(gross_g: int, tare_g: int) -> None:
    made = form(f"{gross_g / 1000:.3f} kg", f"{tare_g / 1000:.3f} kg")
    assert net_kg(made) == Decimal(gross_g - tare_g) / 1000
    assert made.cleaned_data["tare_kg"] == Decimal(tare_g) / 1000


@given(st.integers(20, 4_000), st.integers(1, 19))
@settings(max_examples=60, deadline=None)
def test_of_hundredths_of_a_pound_none_is_lost_or_won(gross: int, tare: int) -> None:
    """Kept to the gram upwards and cut down to hundredths again, a pack says what the scale said."""
    kept = net_kg(form(f"{gross / 100:.2f}", f"{tare / 100:.2f}", unit="lb"))
    assert 0 <= kept - (gross - tare) * LB_KG / 100 < Decimal("0.001")
    assert int(kept / LB_KG * 100) == gross - tare


@given(st.integers(20, 4_000))
@settings(max_examples=30, deadline=None)
def test_what_the_scale_took_off_is_not_taken_off_again(gross: int) -> None:
    tared, bulk = (
        form(f"{gross / 1000:.3f}", "0.015", tared="on"),
        form(f"{gross / 1000:.3f}", packing="bulk"),
    )
    assert net_kg(tared) == net_kg(bulk) == Decimal(gross) / 1000


def test_a_light_pack_in_a_heavy_box_that_the_scale_took_off() -> None:
    """The scale shows 0.300 kg with a box of 0.450 kg taken off already: there are 0.300 kg."""
    assert net_kg(form("0.300 kg", "0.450 kg", tared="on")) == Decimal("0.300")


@pytest.mark.parametrize(
    ("typed", "tare", "field"),
    [("0.5", "0.5", "tare"), ("0.5", "0.6", "tare"), ("0.5", "", "tare"), ("0.5", "0", "tare"), ("0", "0.1", "typed"),
     ("-1", "0.1", "typed"), ("0.5", "-0.1", "tare"), ("1e3", "0.1", "typed"), ("NaN", "0.1", "typed"),
     ("", "0.1", "typed"), ("1 stone", "0.1", "typed"), ("\x00", "0.1", "typed"),
     ("200 kg", "150 kg", "tare")],
)  # fmt: skip
def test_what_leaves_nothing_or_is_no_weight_is_told_at_its_field(typed: str, tare: str, field: str) -> None:
    made = form(typed, tare)
    assert not made.is_valid() and field in made.errors


@pytest.mark.parametrize(
    ("what", "is_here", "more", "wrong"),
    [("spoiled", True, {}, "why"), ("eaten", True, {"why": " "}, "why"), ("missing", True, {}, "why"),
     ("moved", True, {}, "place"), ("moved", True, {"place": "attic"}, "place"), ("found", True, {}, "what"),
     ("moved", False, {"place": "case"}, "what"), ("sold", True, {}, "what"), ("returned", False, {}, "what"),
     ("labelled", True, {}, "what"), ("found", False, {}, ""), ("spoiled", True, {"why": "torn"}, ""),
     ("moved", True, {"place": "freezer"}, "")],
)  # fmt: skip
def test_what_may_be_said_of_a_pack(what: str, is_here: bool, more: dict[str, str], wrong: str) -> None:
    """Money goes through the counter alone: sold and returned cannot be said here."""
    made = BecameForm({"what": what, "key": str(uuid4()), **more}, is_here=is_here)
    assert made.is_valid() == (not wrong)
    assert set(made.errors) == ({wrong} if wrong else set())


def test_what_is_thrown_away_lies_nowhere() -> None:
    made = BecameForm({"what": "spoiled", "why": "x", "place": "case", "key": str(uuid4())}, is_here=True)
    assert made.is_valid() and made.cleaned_data["place"] == ""


@pytest.mark.django_db
@pytest.mark.usefixtures("demo_shop")
class TestOfALot:
    def test_labels_are_of_what_is_here_and_has_none(self) -> None:
        lot = a_lot()
        plain, labelled, sold = a_pack(), a_pack(), a_pack()
        became(labelled, "labelled")
        became(sold, "sold")
        other = a_pack(lot=a_lot("26068-2"))
        assert packs_to_label(lot, again=False) == [plain]
        assert packs_to_label(lot, again=True) == [plain, labelled]
        assert packs_to_label(other.lot, again=False) == [other]

    def test_numbers_of_products_have_no_gap_and_are_never_given_twice(self) -> None:
        bison = a_lot("26068-2", kind="bison", species="bison")
        packs = [a_pack(), a_pack(slug="flank-steak"), a_pack(lot=bison), a_pack()]
        for _ in range(2):
            labels.number_items(packs)
        assert sorted(Item.objects.values_list("number", flat=True)) == [1, 2, 3]

    @pytest.mark.parametrize(("unit", "gram_kg"), [("lb", "0.0005"), ("kg", "0")])
    def test_never_more_is_printed_than_is_there(self, unit: str, gram_kg: str) -> None:
        """Cut off, never rounded up: less than a division, 0.01 lb or 0.005 kg, is given away.

        Of pounds the record is whole grams, so that half of one may be the record's rounding and not meat.
        """
        ShopProfile.objects.update(weight_unit=unit)
        shop, half_kg = ShopProfile.objects.get(), Decimal(gram_kg)
        division_kg = LB_KG / 100 if unit == "lb" else Decimal("0.005")
        for grams in range(101, 131):
            made = a_pack(f"{grams / 1000:.3f}")
            figure, printed_in = printed_weight(made, shop).words.split()
            given_kg = made.net_kg - Decimal(figure) * (LB_KG if printed_in == "lb" else 1)
            assert -half_kg <= given_kg < division_kg, grams

    @pytest.mark.parametrize("typed", ["1000.04 kg", "99999 kg", "99999999 kg"])
    def test_a_pack_heavier_than_any_is_told_and_not_kept(self, counter_client: Client, typed: str) -> None:
        side = sides_on_rail()[0]
        cutting = block.begin(side, weight_kg=Decimal(150), typed="150 kg", ways={}, by=None, key=uuid4())
        block.weigh_piece(cutting, "tri-tip", weight_kg=Decimal(2), typed="2 kg", key=uuid4(), by=None)
        address = reverse("pack_lot", args=[Lot.objects.get(cutting=cutting).pk])
        sent = {"slug": "tri-tip", "typed": typed, "tare": "0.04 kg", "packing": "vacuum", "place": "case",
                "use_by": "2026-03-20", "price": "25.00", "key": str(uuid4())}  # fmt: skip
        assert counter_client.post(f"{address}?piece=tri-tip", sent).status_code == 400
        assert not Pack.objects.exists()

    def test_a_lot_that_is_not_there_is_not_found(
        self, counter_client: Client, visitor_client: Client
    ) -> None:
        for name in ("pack_lot", "lot_labels", "label", "pack"):
            assert counter_client.get(reverse(name, args=[987_654])).status_code == 404
            assert visitor_client.get(reverse(name, args=[987_654])).status_code == 302

    @pytest.mark.parametrize("role", ["cutter", "counter"])
    def test_what_stands_on_all_labels_is_the_owners_to_say(self, role: str, request: Any) -> None:
        client = request.getfixturevalue(f"{role}_client")
        before = ShopProfile.objects.values().get()
        for name in ("label_shop", "label_rules"):
            assert client.post(reverse(name), {"address": "x", "slug": "maker"}).status_code == 403
        assert ShopProfile.objects.values().get() == before

    @pytest.mark.parametrize("days", [-1, 0, 20, 21, 22])
    def test_lots_of_three_weeks_are_listed(self, counter_client: Client, days: int) -> None:
        lot = a_lot("26000-1", made_on=today() - timedelta(days=days))
        page = counter_client.get(reverse("packs"))
        listed = {one.lot for one in (*page.context["to_pack"], *page.context["done"])}
        assert (lot in listed) == (days <= 21)
        assert Lot.objects.filter(pk=lot.pk).exists() and not PackEvent.objects.exists()
        assert not Pack.objects.exists() and not OnHand.objects.exists()
