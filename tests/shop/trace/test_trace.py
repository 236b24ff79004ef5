"""Back to the animals and forward to every pack: a small shop whose every pack is known by hand.

Two animals, C1 and C2, one side of each cut: lots one and two. Trim of both goes into batch G1; trim of C2 alone into
G2, ground after the same clean-up; G3 after another clean-up takes what was carried over from G2 and bought trim.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta
from decimal import Decimal
from typing import Any
from uuid import uuid4

import pytest
from django.test import Client
from django.urls import reverse
from packing import a_pack, became

from gambrel.measures import CannotDo
from gambrel.shop.clock import now, today
from gambrel.shop.records.models import (
    Animal,
    AuditLine,
    Batch,
    BatchInput,
    BoughtTrim,
    CleanUp,
    Customer,
    Drill,
    Lot,
    LotHold,
    Pack,
    ScaleWeight,
    Share,
    ShopProfile,
    Side,
)  # fmt: skip
from gambrel.shop.records.selectors.trace import RecallPage, drill_page, grouped, recall_page
from gambrel.shop.records.services import block
from gambrel.shop.records.services import trace as service

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demo_shop")]


@dataclass
class Meat:
    lots: dict[str, Lot]
    packs: dict[str, Pack]


def cut(tag: str, name: str, meat: Meat) -> ScaleWeight:
    """A side cut, with one tub of trim; its lot is kept under `name`."""
    side = Side.objects.select_related("animal").get(animal__tag=tag, half="left")
    cutting = block.begin(side, weight_kg=Decimal(150), typed="150 kg", ways={}, by=None, key=uuid4())
    meat.lots[name] = Lot.objects.get(cutting=cutting)
    return block.weigh_piece(cutting, "trim-80", weight_kg=Decimal(9), typed="9 kg", key=uuid4(), by=None)


def ground(name: str, clean_up: CleanUp, meat: Meat, **inputs: Any) -> Batch:
    batch = Batch.objects.create(code=name, name="ground-beef", lean_pct=80.0, inspected="federal", clean_up=clean_up,
                                 begun_at=now())  # fmt: skip
    for sort, ones in inputs.items():
        for one in ones:
            BatchInput.objects.create(batch=batch, weight_kg=Decimal(3), typed="3 kg", lean_pct=80.0, at=now(),
                                      **{sort: one})  # fmt: skip
    meat.lots[name] = Lot.objects.create(code=name, batch=batch, made_on=today(), kind="grain-finished",
                                         species="cattle", inspected="federal")  # fmt: skip
    return batch


@pytest.fixture
def meat(demo_shop: Any) -> Meat:
    meat = Meat({}, {})
    one, two = cut("C1", "one", meat), cut("C2", "two", meat)
    first, second = (CleanUp.objects.create(at=now() - timedelta(hours=hours)) for hours in (8, 2))
    box = BoughtTrim.objects.create(slug="trim-80", species="cattle", inspected="federal", weight_kg=Decimal(20),
                                    lean_pct=80, establishment="M123", supplier_lot="B77", made_on=today(),
                                    at=now())  # fmt: skip
    ground("G1", first, meat, weight=[one, two])
    g2 = ground("G2", first, meat, weight=[two])
    ground("G3", second, meat, carried=[g2], bought=[box])
    for name, lot in meat.lots.items():
        for number in (1, 2):
            slug = "ground-beef-80" if name.startswith("G") else "ribeye-steak"
            meat.packs[f"{name}{number}"] = a_pack("0.5", slug, lot=lot)
    return meat


def traced(asked: Any, *, wide: bool = False) -> RecallPage:
    return recall_page(f"{asked}", ShopProfile.objects.get(), wide=wide)


def names(page: RecallPage, meat: Meat) -> set[str]:
    """Which of the packs known by hand it reaches."""
    numbers = {one.pack.pk for one in (*page.here, *page.named_packs, *page.unnamed, *page.lost)}
    return {name for name, pack in meat.packs.items() if pack.pk in numbers}


def of(*lots: str) -> set[str]:
    return {f"{lot}{number}" for lot in lots for number in (1, 2)}


def test_a_pack_of_a_side_goes_back_to_its_animal_and_forward_through_the_grinder(meat: Meat) -> None:
    """Lot one is in G1; G1 and G2 lie between the same clean-ups; what was left of G2 is in G3."""
    page = traced(meat.packs["one1"].pk)
    assert names(page, meat) == of("one", "G1", "G2", "G3")
    assert [side.animal.tag for side in page.sides] == ["C1"]
    assert page.pack == meat.packs["one1"]


def test_of_the_other_side_the_whole_cuts_too(meat: Meat) -> None:
    assert names(traced(meat.packs["two1"].pk), meat) == of("two", "G1", "G2", "G3")


def test_a_pack_of_a_batch_goes_back_to_both_animals_and_forward_to_its_tied_batches_alone(
    meat: Meat,
) -> None:
    """What is suspected of the grinder is not suspected of the steaks."""
    page = traced(f"G1/{meat.packs['G11'].pk}")
    assert names(page, meat) == of("G1", "G2", "G3")
    assert {side.animal.tag for side in page.sides} == {"C1", "C2"}
    assert {batch.code for batch in page.batches} == {"G1", "G2", "G3"}


def test_carried_over_goes_forward_and_not_back(meat: Meat) -> None:
    """G3 came after a clean-up: it does not reach G2, of which it holds some; that stands behind it."""
    page = traced("G3")
    assert names(page, meat) == of("G3")
    assert page.boxes == ("M123 B77",) and {side.animal.tag for side in page.sides} == {"C2"}


def test_wide_takes_everything_of_the_animals(meat: Meat) -> None:
    assert names(traced(meat.packs["G21"].pk, wide=True), meat) == of("two", "G1", "G2", "G3")
    assert names(traced(meat.packs["G11"].pk, wide=True), meat) == of("one", "two", "G1", "G2", "G3")


def test_from_an_animals_tag(meat: Meat) -> None:
    assert names(traced("c1"), meat) == of("one", "G1", "G2", "G3")


def test_a_line_that_was_taken_out_leads_nowhere(meat: Meat) -> None:
    """Trim of lot one was weighed into G1 by mistake and taken out again."""
    line = BatchInput.objects.get(batch__code="G1", weight__cutting=meat.lots["one"].cutting)
    BatchInput.objects.create(batch=line.batch, weight=line.weight, weight_kg=line.weight_kg, typed="3 kg",
                              lean_pct=80.0, at=now(), corrects=line, taken_out=True)  # fmt: skip
    assert names(traced(meat.packs["one1"].pk), meat) == of("one")


def test_packs_are_told_by_where_they_are_and_who_has_them(meat: Meat) -> None:
    table = Customer.objects.get(name="The Juniper Table")
    became(meat.packs["one1"], "sold", cents=500, customer=table)
    became(meat.packs["one2"], "sold", cents=500)
    became(meat.packs["G11"], "spoiled", why="x")
    became(meat.packs["G21"], "sold", cents=500, customer=table)
    became(meat.packs["G21"], "returned", cents=500)
    page = traced(meat.lots["one"].code)
    assert [(customer.name, [one.pack for one in packs]) for customer, packs in page.named] == [
        ("The Juniper Table", [meat.packs["one1"]])]  # fmt: skip
    assert [one.pack for one in page.unnamed] == [meat.packs["one2"]]
    assert [one.pack for one in page.lost] == [meat.packs["G11"]]
    assert {one.pack for one in page.here} == {
        meat.packs[name] for name in ("G12", "G21", "G22", "G31", "G32")
    }
    assert (page.count, page.weight_kg, page.sold_count, page.named_share) == (8, 4.0, 2, 0.5)


def test_who_took_one_pack_took_what_lay_beside_it_on_the_ticket(meat: Meat) -> None:
    """The customer was chosen for one of two packs of a ticket; what was sold on another ticket is nobody's."""
    table, ticket = Customer.objects.get(name="The Juniper Table"), uuid4()
    became(meat.packs["one1"], "sold", cents=500, ticket=ticket)
    became(meat.packs["two1"], "sold", cents=500, ticket=ticket, customer=table)
    became(meat.packs["one2"], "sold", cents=500, ticket=uuid4())
    page = traced(meat.lots["one"].code)
    assert [(who.name, [one.pack for one in packs]) for who, packs in page.named] == [
        ("The Juniper Table", [meat.packs["one1"]])]  # fmt: skip
    assert [one.pack for one in page.unnamed] == [meat.packs["one2"]]


def test_whoever_has_a_share_of_the_animal_is_told_too(owner_client: Client, meat: Meat) -> None:
    """Open or handed over, but not one that was cancelled, nor a share of an animal that only stands behind."""
    pdfium = pytest.importorskip("pypdfium2")
    animal = Side.objects.get(pk=meat.lots["one"].cutting.side_id).animal
    for name, tag, state in (("Ada Quill", animal.tag, "open"), ("Bo Marsh", animal.tag, "filled"),
                             ("Cy Dale", animal.tag, "cancelled"), ("Di Rook", "C2", "open")):  # fmt: skip
        handed = {"taken_kg": 60, "handed_on": today()} if state == "filled" else {}
        Share.objects.create(code=name, customer=Customer.objects.create(name=name, contact="555"), portion="quarter",
                             animal=Animal.objects.get(tag=tag), bought_on=today(), wishes={}, terms={}, state=state,
                             **handed)  # fmt: skip
    page = traced(meat.packs["one1"].pk)
    assert [one.customer.name for one in page.shares] == ["Ada Quill", "Bo Marsh"]
    text = owner_client.get(reverse("trace"), {"code": meat.packs["one1"].pk}).content.decode()
    assert "Ada Quill" in text and "not handed over yet" in text and "taken home 2026-03-09" in text
    sheet = pdfium.PdfDocument(
        owner_client.get(reverse("recall_sheet"), {"code": meat.packs["one1"].pk}).content
    )
    said = "".join(one.get_textpage().get_text_range() for one in sheet)
    assert "Ada Quill 555" in said and "Bo Marsh" in said and "Cy Dale" not in said and "Di Rook" not in said


def test_an_owner_whose_own_animal_it_is_is_named(owner_client: Client, meat: Meat) -> None:
    Lot.objects.filter(pk=meat.lots["one"].pk).update(inspected="custom", owner_name="Otis Fennimore")
    assert traced(meat.lots["one"].code).owners == ("Otis Fennimore",)
    page = owner_client.get(reverse("trace"), {"code": meat.lots["one"].code}).content.decode()
    assert "Otis Fennimore: the animal is his own" in page


@pytest.mark.parametrize("asked", ["", "nothing", "99999", "\x00", "x" * 300])
def test_what_is_none_of_these_is_told(owner_client: Client, meat: Meat, asked: str) -> None:
    assert owner_client.get(reverse("trace"), {"code": asked}).status_code == 404
    assert owner_client.get(reverse("recall_sheet"), {"code": asked}).status_code == 404


def test_the_page_names_people_rooms_and_days(owner_client: Client, meat: Meat) -> None:
    text = owner_client.get(reverse("trace"), {"code": meat.packs["one1"].pk}).content.decode()
    for said in ("C1-left", "Hanging cooler", "G1", meat.lots["one"].code, "2026-03-09"):
        assert said in text, said


def test_the_sheet_holds_every_pack_its_buyer_and_its_animal(owner_client: Client, meat: Meat) -> None:
    pdfium = pytest.importorskip("pypdfium2")
    table = Customer.objects.get(name="The Juniper Table")
    became(meat.packs["one1"], "sold", cents=500, customer=table)
    answer = owner_client.get(reverse("recall_sheet"), {"code": "C1", "paper": "a4"})
    document = pdfium.PdfDocument(answer.content)
    text = "".join(page.get_textpage().get_text_range() for page in document)
    document.close()
    for said in ("The Juniper Table", "C1", "G3", "not an official notice", "Hanging cooler"):
        assert said in text, said
    flat = text.replace("\r\n", " ")
    assert f"{meat.packs['one1'].pk}" in flat and f"{meat.packs['G11'].pk}-{meat.packs['G12'].pk}" in flat


def test_lots_are_held_and_let_go_with_a_reason_by_the_owner(
    owner_client: Client, counter_client: Client, meat: Meat
) -> None:
    sent = {"code": meat.lots["one"].code, "wide": "", "held": "1", "key": str(uuid4())}
    owner_client.post(reverse("hold_lots"), sent)
    assert not LotHold.objects.exists(), "without a reason"
    for _ in range(2):
        owner_client.post(reverse("hold_lots"), {**sent, "why": "positive test"})
    assert LotHold.objects.count() == 4 == AuditLine.objects.filter(what="held a lot").count()
    with pytest.raises(CannotDo, match="held"):
        became(meat.packs["G31"], "sold")
    became(meat.packs["two1"], "sold")
    assert traced("G1").is_all_held and not traced(meat.lots["two"].code).is_all_held
    assert counter_client.post(reverse("hold_lots"), sent).status_code == 403
    owner_client.post(
        reverse("hold_lots"), {**sent, "held": "0", "why": "test negative", "key": str(uuid4())}
    )
    became(meat.packs["G31"], "sold")


def test_a_drill_keeps_its_time_and_what_was_found(
    counter_client: Client, meat: Meat, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Eight packs, one sold to a known buyer, one to nobody known: six to find. Five are found in 250 seconds."""
    became(meat.packs["one1"], "sold", customer=Customer.objects.get(name="The Juniper Table"))
    became(meat.packs["one2"], "sold")
    sent = {"code": meat.lots["one"].code, "wide": "", "key": str(uuid4())}
    for _ in range(2):
        address = counter_client.post(reverse("begin_drill"), sent)["Location"]
    drill = Drill.objects.get()
    assert (drill.here_count, drill.gone_count, drill.named_count) == (6, 2, 1)
    hand = "\n".join(f"{meat.packs[name].pk}" for name in ("G11", "G12", "G21", "G22", "G31", "G11"))
    assert counter_client.post(address, {"codes": hand}).status_code == 302
    strange = counter_client.post(address, {"codes": f"{meat.packs['two1'].pk}"})
    assert strange.status_code == 400 and "Lay it back" in strange.content.decode()
    page = drill_page(drill)
    assert [one.pack_id for one in page.missing] == [meat.packs["G32"].pk]
    monkeypatch.setenv("GAMBREL_NOW", "2026-03-09T15:34:10+00:00")
    for _ in range(2):
        counter_client.post(reverse("end_drill", args=[drill.pk]), {"note": "freezer in no order"})
    page = drill_page(Drill.objects.get())
    assert (page.found_count, page.found_share, page.named_share, page.took_s) == (5, 5 / 6, 0.5, 250.0)
    with pytest.raises(CannotDo, match="runs"):
        service.found_in_drill(drill, [meat.packs["G32"]], by=None)
    assert "freezer in no order" in counter_client.get(address).content.decode()


def test_a_drill_of_nothing_is_not_begun(owner_client: Client, demo_shop: Any) -> None:
    Lot.objects.create(code="26068-900", made_on=today(), kind="bison", species="bison", inspected="federal")
    owner_client.post(reverse("begin_drill"), {"code": "26068-900", "key": str(uuid4())})
    assert not Drill.objects.exists()


def test_queries_do_not_grow_with_the_packs(
    owner_client: Client, meat: Meat, queries: list[dict[str, str]]
) -> None:
    counts = []
    for _ in range(2):
        for _ in range(6):
            became(a_pack("0.5", lot=meat.lots["one"]), "sold")
        queries.clear()
        owner_client.get(reverse("trace"), {"code": "C1"})
        counts.append(len(queries))
    assert counts[0] == counts[1] <= 20, "three rounds through the grinder"


def test_packs_in_a_row_are_one_line_with_every_number(meat: Meat) -> None:
    lot = meat.lots["one"]
    more = [a_pack("0.5", lot=lot) for _ in range(4)]
    became(more[1], "spoiled", why="x")
    page = traced(lot.code)
    here = next(group for group in grouped(page.here) if group.lot == lot)
    first, second = meat.packs["one1"].pk, more[0].pk
    assert second == max(pack.pk for pack in meat.packs.values()) + 1
    assert here.numbers == f"{first}-{first + 1}, {second}, {second + 2}-{second + 3}"
    assert (len(here.packs), here.weight_kg, here.times) == (5, 2.5, None)
    (lost,) = grouped(page.lost)
    assert (lost.where, lost.numbers) == ("spoiled", f"{more[1].pk}")
    assert lost.times is not None and lost.times[0] == lost.times[1] == now()
