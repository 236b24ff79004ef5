"""The packing table: what is left of each lot, a pack weighed with its tare, what is refused; figures by hand."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Any
from uuid import uuid4

import pytest
from django.test import Client
from django.urls import reverse
from django.utils.html import strip_tags

from gambrel.catalog.cuts import shipped_cuts
from gambrel.catalog.ways import shipped_tree
from gambrel.shop.clock import today
from gambrel.shop.records.models import Demand, Lot, OnHand, Pack, Packing, Side
from gambrel.shop.records.selectors.packs import keeps_until, lots_to_pack, pack_lot_page
from gambrel.shop.records.services import block
from gambrel.shop.records.services import packs as service

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demo_shop")]

PIECES = (("ribeye-roll", "6.400"), ("tri-tip", "5.100"), ("trim-80", "9.000"))
LB = 0.45359237


def a_lot(tag: str = "C1", **changed: str) -> Lot:
    """A side begun and three pieces weighed off it: 6.4 + 5.1 + 9.0 = 20.5 kg."""
    side = Side.objects.select_related("animal").get(animal__tag=tag, half="left")
    ways = shipped_tree().style("boneless", "cattle")
    cutting = block.begin(side, weight_kg=Decimal(150), typed="150 kg", ways=ways, by=None, key=uuid4())
    for slug, kg in PIECES:
        block.weigh_piece(cutting, slug, weight_kg=Decimal(kg), typed=f"{kg} kg", key=uuid4(), by=None)
    lot = Lot.objects.get(cutting=cutting)
    for name, value in changed.items():
        setattr(lot, name, value)
    lot.save()
    return lot


def packed(lot: Lot, slug: str, kg: str, **more: Any) -> Pack:
    return service.pack(lot, slug, net_kg=Decimal(kg), key=uuid4(), at=lot.cutting.begun_at, by=None, **more)


def send(client: Client, lot: Lot, piece: str = "ribeye-roll", **changed: str) -> Any:
    data = {"slug": piece, "typed": "1.54 kg", "tare": "0.04 kg", "packing": "vacuum", "place": "case",
            "use_by": "2026-03-20", "price": "25.00", "key": str(uuid4()), **changed}  # fmt: skip
    return client.post(f"{reverse('pack_lot', args=[lot.pk])}?piece={piece}", data)


def test_what_is_left_is_what_was_weighed_less_what_is_packed() -> None:
    lot = a_lot()
    packed(lot, "ribeye-roll", "1.500")
    packed(lot, "ribeye-steak", "0.900", piece="ribeye-roll")
    page = pack_lot_page(lot)
    found = {one.slug: (one.weighed_kg, round(one.packed_kg, 3), one.packs_count) for one in page.pieces}
    assert found == {
        "ribeye-roll": (6.4, 2.4, 2),
        "tri-tip": (5.1, 0.0, 0),
        "trim-80": (9.0, 0.0, 0),
    }
    piece = page.piece("ribeye-roll")
    assert piece is not None and round(piece.left_kg, 3) == 4.0 and not piece.is_done and not piece.is_over
    (line,) = [one for one in lots_to_pack(today()) if one.lot == lot]
    assert (line.weighed_kg, round(line.packed_kg, 3), line.packs_count, round(line.left_kg, 3)) == (
        20.5,
        2.4,
        2,
        18.1,
    )


def test_a_weight_that_was_put_right_counts_once() -> None:
    lot = a_lot()
    wrong = block.weigh_piece(
        lot.cutting, "flank-steak", weight_kg=Decimal(8), typed="8 kg", key=uuid4(), by=None
    )
    block.correct_weight(wrong, slug="flank-steak", weight_kg=Decimal("0.8"), typed="0.8 kg", key=uuid4(), by=None,
                         why="point")  # fmt: skip
    piece = pack_lot_page(lot).piece("flank-steak")
    assert piece is not None and piece.weighed_kg == 0.8


def test_more_packed_than_weighed_is_said(cutter_client: Client) -> None:
    lot = a_lot()
    packed(lot, "tri-tip", "5.300")
    piece = pack_lot_page(lot).piece("tri-tip")
    assert piece is not None and piece.is_over and piece.is_done
    assert "tag bad" in cutter_client.get(reverse("pack_lot", args=[lot.pk])).content.decode()


def test_a_pack_is_the_weight_less_its_tare_and_lies_where_it_was_laid(counter_client: Client) -> None:
    lot = a_lot()
    answer = send(counter_client, lot)
    assert answer.status_code == 302 and answer["Location"].endswith("?piece=ribeye-roll#weigh")
    made = Pack.objects.get(lot=lot)
    assert (made.net_kg, made.tare_kg, made.use_by) == (Decimal("1.500"), Decimal("0.040"), date(2026, 3, 20))
    assert made.price_cents_per_kg == pytest.approx(2500 / LB)  # $25.00 a pound
    assert OnHand.objects.get(pack=made).place == "case"
    assert made.by is not None and made.by.role == "counter"


@pytest.mark.parametrize(("typed", "tare"), [("3.30", "0.10"), ("3.25", "0.05"), ("3.20", "")])
def test_pounds_are_pounds_for_who_reads_pounds_and_stay_to_the_hundredth(
    counter_client: Client, typed: str, tare: str
) -> None:
    """3.20 lb x 0.45359237 = 1.451496 kg: kept as 1.452, of which hundredths of a pound are 3.20 again, not 3.19."""
    lot = a_lot()
    send(counter_client, lot, typed=typed, tare=tare, tared="" if tare else "on")
    assert Pack.objects.get(lot=lot).net_kg == Decimal("1.452")


def test_the_same_pack_sent_twice_is_one(counter_client: Client) -> None:
    lot, key = a_lot(), str(uuid4())
    for _ in range(2):
        assert send(counter_client, lot, key=key).status_code == 302
    assert Pack.objects.filter(lot=lot).count() == OnHand.objects.count() == 1


@pytest.mark.parametrize(
    ("changed", "field"),
    [({"tare": ""}, "tare"), ({"tare": "1.54 kg"}, "tare"), ({"typed": "heavy"}, "typed"), ({"use_by": ""}, "use_by"),
     ({"slug": "antlers"}, "slug"), ({"place": "attic"}, "place"), ({"packing": "sack"}, "packing"),
     ({"price": "cheap"}, "price"), ({"key": "x"}, "key")],
    ids=str,
)  # fmt: skip
def test_what_cannot_be_is_told_at_its_field_and_not_kept(
    counter_client: Client, changed: dict[str, str], field: str
) -> None:
    answer = send(counter_client, a_lot(), **changed)
    assert answer.status_code == 400 and field in answer.context["form"].errors
    assert not Pack.objects.exists()


@pytest.mark.parametrize(
    ("changed", "net_kg"),
    [({"packing": "bulk", "tare": ""}, "1.540"), ({"tare": "", "tared": "on"}, "1.540"),
     ({"tare": "0.04 kg", "tared": "on"}, "1.540")],
    ids=["open in the case", "scale took it off", "taken off once only"],
)  # fmt: skip
def test_where_no_tare_is_to_be_taken_off(
    counter_client: Client, changed: dict[str, str], net_kg: str
) -> None:
    lot = a_lot()
    assert send(counter_client, lot, **changed).status_code == 302
    assert Pack.objects.get(lot=lot).net_kg == Decimal(net_kg)


def test_what_the_owner_brought_has_no_price_and_says_whose_it_is(counter_client: Client) -> None:
    lot = a_lot(inspected="custom", owner_name="Otis Fennimore")
    text = counter_client.get(reverse("pack_lot", args=[lot.pk])).content.decode()
    assert "Not for sale" in text and "Otis Fennimore" in text and 'name="price"' not in text
    send(counter_client, lot)
    assert Pack.objects.get(lot=lot).price_cents_per_kg is None


def test_the_list_price_and_the_days_it_keeps_stand_in_the_form(counter_client: Client) -> None:
    lot = a_lot()
    demand = Demand.objects.create(slug="ribeye-roll", group="x", kinds=[lot.kind], shelf_days=6,
                                   steps=[{"upto_kg": 10, "price_cents_per_kg": 5511.5566}])  # fmt: skip
    form = counter_client.get(f"{reverse('pack_lot', args=[lot.pk])}?piece=ribeye-roll").context["form"]
    assert form["price"].value() == "25.00"  # 5511.5566 c/kg x 0.45359237 kg/lb = 2500.0 c/lb
    assert form["use_by"].value() == date(2026, 3, 15)  # the ninth and six days
    assert demand.pk


def test_the_next_pack_is_as_the_last(counter_client: Client) -> None:
    lot = a_lot()
    packed(lot, "ribeye-roll", "1", packing="tray", place="freezer", tare_kg=Decimal("0.0227"))
    form = counter_client.get(reverse("pack_lot", args=[lot.pk])).context["form"]
    assert (form["packing"].value(), form["place"].value(), form["tare"].value()) == (
        "tray",
        "freezer",
        "0.05 lb",
    )


def test_the_first_page_lists_lots_and_finds_an_old_one(owner_client: Client) -> None:
    lot = a_lot()
    text = strip_tags(owner_client.get(reverse("packs")).content.decode())
    assert lot.code in text
    assert owner_client.get(reverse("packs"), {"lot": lot.code.lower()})["Location"] == reverse(
        "pack_lot", args=[lot.pk]
    )
    assert "no lot 99999-1" in owner_client.get(reverse("packs"), {"lot": "99999-1"}).content.decode()


def test_a_lot_without_weights_says_so(owner_client: Client) -> None:
    lot = Lot.objects.create(
        code="26068-900", made_on=today(), kind="bison", species="bison", inspected="federal"
    )
    assert "Nothing of this lot" in owner_client.get(reverse("pack_lot", args=[lot.pk])).content.decode()


def test_many_packs_take_no_more_queries(counter_client: Client, queries: list[dict[str, str]]) -> None:
    lot = a_lot()
    counts = []
    for _ in range(2):
        for _ in range(10):
            packed(lot, "tri-tip", "0.1")
        queries.clear()
        counter_client.get(reverse("pack_lot", args=[lot.pk]))
        counts.append(len(queries))
    assert counts[0] == counts[1] <= 15


@pytest.mark.parametrize(("slug", "place", "days"), [("flank-steak", "freezer", 180), ("ribeye-roll", "freezer", 120),
                                                     ("flank-steak", "ageing", 3)])  # fmt: skip
def test_where_the_shop_says_nothing_the_published_chart_does(slug: str, place: str, days: int) -> None:
    """Steaks 6 to 12 months frozen and 3 to 5 days cold, roasts 4 to 12 months: the shorter, in paper.

    [Cold storage chart, FoodSafety.gov, U.S. Department of Health and Human Services, 2013]
    """
    until = keeps_until(a_lot(), slug, packing="paper", place=place, packed_on=today())
    assert (until - today()).days == days


def test_every_piece_of_the_catalogue_keeps_some_time_however_it_is_packed() -> None:
    lot = a_lot()
    for slug in shipped_cuts():
        for packing in Packing.values:
            assert keeps_until(lot, slug, packing=packing, place="freezer", packed_on=today()) > today(), slug
