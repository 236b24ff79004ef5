"""Labels from the records: what they say, by hand; refused with the rule named; words on rules; numbers of products."""

from __future__ import annotations

from decimal import Decimal
from typing import Any
from uuid import uuid4

import pytest
from django.test import Client
from django.urls import reverse
from packing import a_lot, a_pack

from gambrel.measures import CannotDo
from gambrel.shop.clock import now, today
from gambrel.shop.records.labels import labels_of
from gambrel.shop.records.models import (
    Animal,
    AuditLine,
    Batch,
    BatchInput,
    BoughtTrim,
    CleanUp,
    Cutting,
    Item,
    Lot,
    Pack,
    PackEvent,
    RuleWord,
    ShopProfile,
)  # fmt: skip
from gambrel.shop.records.services import block
from gambrel.shop.records.services import labels as service
from gambrel.shop.records.week import sides_on_rail

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demo_shop")]

LB = 0.45359237


@pytest.fixture(autouse=True)
def with_address(demo_shop: Any) -> None:
    ShopProfile.objects.update(address="4 Mill Lane, Juniper Flat", label_size="roll-large")


def cut_lot(age_months: int = 24) -> Lot:
    side = next(iter(sides_on_rail().filter(animal__kind="grain-finished")))
    Animal.objects.filter(pk=side.animal_id).update(age_months=age_months, born_on=None)
    cutting = block.begin(side, weight_kg=Decimal(150), typed="150 kg", ways={}, by=None, key=uuid4())
    return Lot.objects.get(cutting=Cutting.objects.get(pk=cutting.pk))


def priced(kg: str = "1.452", slug: str = "ribeye-steak", **more: Any) -> Pack:
    """3.20 lb at $12.49 a pound: 39.968, so $39.97."""
    return a_pack(kg, slug, price_cents_per_kg=1249 / LB, packing="vacuum", tare_kg=Decimal("0.02"), **more)


def label_of(pack: Pack) -> Any:
    service.number_items([pack])
    (label,) = labels_of([pack], ShopProfile.objects.get(), today=today())
    return label


def refused(pack: Pack) -> str:
    with pytest.raises(CannotDo) as told:
        label_of(pack)
    return " | ".join(finding.sentence() for finding in told.value.findings)


def text_of(pdf: bytes) -> str:
    pdfium = pytest.importorskip("pypdfium2")
    document = pdfium.PdfDocument(pdf)
    text = "".join(page.get_textpage().get_text_range() for page in document)
    document.close()
    return text


def test_weight_price_and_total_are_those_of_the_counter() -> None:
    label = label_of(priced())
    assert (label.weight, label.price, label.total) == ("3.20 lb", "$12.49/lb", "$39.97")
    assert (label.name, label.packed, label.until) == (
        "Ribeye steak",
        "09 MAR 2026",
        "Use or freeze by 14 MAR 2026",
    )
    assert label.keep == "Keep refrigerated" and label.safe_handling and not label.not_for_sale
    assert label.maker == "Cottonwood Bend, 4 Mill Lane, Juniper Flat"


def test_the_printed_label_holds_it_all_and_the_line_is_kept(counter_client: Client) -> None:
    made = priced()
    address = reverse("label", args=[made.pk])
    looked = counter_client.get(address)
    assert looked["Content-Type"] == "application/pdf" and not PackEvent.objects.exists()
    text = text_of(counter_client.post(address).content)
    for said in ("Ribeye steak", "3.20 lb", "$12.49", "$39.97", "26068-1", f"No. P{made.pk}", "Mill Lane"):
        assert said in text, said
    assert PackEvent.objects.get(pack=made).what == "labelled"


def test_what_lies_in_the_freezer_is_kept_frozen() -> None:
    assert label_of(priced(place="freezer")).keep == "Keep frozen"


def test_a_shop_that_is_nowhere_prints_no_label_and_the_rule_is_named(counter_client: Client) -> None:
    ShopProfile.objects.update(address="")
    answer = counter_client.get(reverse("label", args=[priced().pk]))
    text = answer.content.decode()
    assert answer.status_code == 409 and "317.2(c)(3)" in text and "name and place" in text
    assert not PackEvent.objects.exists()


def test_no_price_no_label() -> None:
    assert "Price it first" in refused(a_pack())


def test_backbone_of_an_old_animal_gets_no_label_and_the_same_of_a_young_one_does() -> None:
    """From 30 months on the vertebral column of cattle is no food [9 CFR 310.22]."""
    lot = cut_lot(age_months=40)
    pack = priced(slug="t-bone-steak", lot=lot)
    assert "310.22" in refused(pack)
    Animal.objects.filter(sides__cutting=lot.cutting_id).update(age_months=24)
    assert label_of(Pack.objects.get(pk=pack.pk)).name == "T-bone steak"


def test_custom_work_says_not_for_sale_and_whose_it_is() -> None:
    """[9 CFR 316.16 and 317.16]"""
    label = label_of(a_pack(lot=a_lot("26068-7", inspected="custom", owner_name="Otis Fennimore")))
    assert (label.not_for_sale, label.owner, label.price, label.total) == (True, "Otis Fennimore", "", "")
    assert not label.safe_handling


def test_the_inspectors_word_goes_before_the_list(owner_client: Client) -> None:
    """Ground by nobody's record: a rule is switched off with a name and a reason, and on again."""
    ShopProfile.objects.update(address="")
    pack = priced()
    assert "317.2(c)(3)" in refused(pack)
    sent = {
        "slug": "maker",
        "on": "0",
        "who": "Inspector in charge",
        "why": "letter of 2 March",
        "since": "2026-03-09",
    }
    assert owner_client.post(reverse("label_rules"), {**sent, "who": ""}).status_code == 400
    assert owner_client.post(reverse("label_rules"), sent).status_code == 302
    assert label_of(pack).maker == ""
    owner_client.post(reverse("label_rules"), {**sent, "on": "1", "why": "withdrawn"})
    assert "317.2(c)(3)" in refused(pack)
    assert RuleWord.objects.count() == AuditLine.objects.filter(record="ruleword").count() == 2
    text = owner_client.get(reverse("label_rules")).content.decode()
    assert "letter of 2 March" in text and "310.22" in text


def test_a_product_has_one_number_and_no_other_has_it() -> None:
    first = service.item_of("ribeye-steak", "cattle")
    assert service.item_of("ribeye-steak", "cattle") == first
    assert service.item_of("ribeye-steak", "bison").number == first.number + 1
    assert Item.objects.count() == 2


def test_the_tills_code_holds_the_item_and_the_total() -> None:
    """2, item of four digits, a digit that guards the price, 03997 for $39.97, the check digit."""
    label = label_of(priced())
    number = Item.objects.get().number
    assert len(label.in_store) == 12
    assert label.in_store[:5] == f"2{number:04d}" and label.in_store[6:11] == "03997"


def test_a_shop_with_a_prefix_has_the_weight_price_lot_and_serial_in_its_code() -> None:
    ShopProfile.objects.update(gs1_prefix="9521234")
    made = priced()
    elements = dict(label_of(made).elements)
    assert elements["3202"] == "000320" and elements["3922"] == "3997"
    assert (elements["10"], elements["21"], elements["17"]) == ("26068-1", f"P{made.pk}", "260314")
    assert elements["01"].startswith("99521234") and len(elements["01"]) == 14


def test_the_labels_of_a_lot_are_printed_once_each(counter_client: Client) -> None:
    lot = a_lot()
    made = [priced() for _ in range(3)]
    address = reverse("lot_labels", args=[lot.pk])
    text = text_of(counter_client.post(address).content)
    assert all(f"No. P{one.pk}" in text for one in made)
    assert PackEvent.objects.filter(what="labelled").count() == 3
    assert counter_client.post(address).status_code == 302, "nothing is left to print"
    assert counter_client.get(f"{address}?all=1")["Content-Type"] == "application/pdf"


def test_one_pack_that_may_have_no_label_names_its_rule_once(counter_client: Client) -> None:
    for _ in range(3):
        a_pack()
    answer = counter_client.get(reverse("lot_labels", args=[a_lot().pk]))
    assert answer.status_code == 409
    assert [finding.do for finding in answer.context["findings"]] == ["Price it first."]


@pytest.mark.parametrize("place", ["", "x", "0", "999", "3"])
def test_a_begun_sheet_goes_on_at_any_place(counter_client: Client, place: str) -> None:
    ShopProfile.objects.update(label_size="a4-4")
    answer = counter_client.get(reverse("label", args=[priced().pk]), {"place": place})
    assert answer.status_code == 200


def test_what_stands_on_all_labels_is_kept_with_who_changed_it(owner_client: Client) -> None:
    sent = {
        "address": "9 Ford Road",
        "country": "us",
        "label_size": "roll-small",
        "code_layout": "",
        "gs1_prefix": "12",
    }
    assert "gs1_prefix" in owner_client.post(reverse("label_shop"), sent).context["form"].errors
    assert owner_client.post(reverse("label_shop"), {**sent, "gs1_prefix": ""}).status_code == 302
    assert ShopProfile.objects.get().address == "9 Ford Road"
    audit = AuditLine.objects.filter(what="changed what labels say").get()
    assert audit.before is not None and audit.before["address"] == "4 Mill Lane, Juniper Flat"


def test_of_trim_the_lean_is_said_with_the_fat_beside_it() -> None:
    """Lean in percent only together with the fat, in one string [9 CFR 317.362(f)]."""
    label = label_of(priced(slug="trim-85"))
    assert label.name == "Trimmings" and "85% LEAN / 15% FAT" in label.more


def test_a_shop_that_chose_no_roll_has_one_with_room_and_one_that_chose_too_small_is_told(
    counter_client: Client,
) -> None:
    made = priced()
    for size, status in (("", 200), ("roll-small", 409)):
        ShopProfile.objects.update(label_size=size)
        assert counter_client.get(reverse("label", args=[made.pk])).status_code == status, size


def test_what_the_roll_bears_already_is_left_out_of_print(owner_client: Client) -> None:
    """The owner says what is on the roll; the label is printed without it, and a small one has room again."""
    made = priced()
    sent = {"address": "4 Mill Lane, Juniper Flat", "country": "us", "label_size": "roll-small", "code_layout": "",
            "gs1_prefix": "", "label_stock": ["safe-handling", "maker"]}  # fmt: skip
    assert owner_client.post(reverse("label_shop"), sent).status_code == 302
    assert ShopProfile.objects.get().label_stock == ["safe-handling", "maker"]
    label = label_of(made)
    assert not label.safe_handling and label.maker == ""
    assert owner_client.get(reverse("label", args=[made.pk])).status_code == 200
    text = owner_client.get(reverse("label_shop")).content.decode()
    assert text.count(" checked") == 2
    assert owner_client.post(reverse("label_shop"), {**sent, "label_stock": ["gold"]}).status_code == 400


@pytest.mark.parametrize(
    ("establishment", "stock", "why"),
    [("M-0000", [], "approved legend"), ("", ["legend"], "plain roll"), ("M-0000", ["legend"], ""), ("", [], "")],
)  # fmt: skip
def test_the_legend_goes_with_inspection_and_with_nothing_else(
    establishment: str, stock: list[str], why: str
) -> None:
    """What is packed under inspection bears the legend, and only that [9 CFR 317.2(c)(5), 316.9]."""
    ShopProfile.objects.update(establishment=establishment, label_stock=stock)
    made = priced()
    if why:
        assert why in refused(made) and "317.2(c)(5)" in refused(made)
    else:
        assert label_of(made).weight == "3.20 lb"


def test_custom_work_goes_on_a_plain_roll_alone() -> None:
    """Safe handling begins "was prepared from inspected and passed meat": of this nobody can say so."""
    made = a_pack(lot=a_lot("26068-7", inspected="custom", owner_name="Otis Fennimore"))
    ShopProfile.objects.update(establishment="M-0000", label_stock=["legend", "safe-handling"])
    told = refused(made)
    assert "plain roll for custom work" in told and "a roll without it" in told


def test_the_rules_are_those_of_the_country_that_the_shop_says_it_is_in() -> None:
    """Canada wants kilograms, two languages and a durable life date; the United States want none of them."""
    made = priced()
    assert label_of(made).weight == "3.20 lb"
    ShopProfile.objects.update(country="ca")
    told = refused(made)
    assert "kilograms" in told and "name in both" in told and "durable life date" in told


def test_a_mix_is_labelled_by_what_was_weighed_into_it() -> None:
    """Named bison first and holding more beef it may not go out under that name; the other way round it may."""
    batch = Batch.objects.create(code="G9", name="ground-bison-and-beef", lean_pct=85.0, inspected="federal",
                                 begun_at=now(), clean_up=CleanUp.objects.create(at=now()))  # fmt: skip
    lot = Lot.objects.create(
        code="G9", batch=batch, made_on=today(), kind="bison", species="bison", inspected="federal"
    )
    for species, kg in (("bison", 4), ("cattle", 6)):
        box = BoughtTrim.objects.create(slug="trim-85", species=species, inspected="federal", weight_kg=20,
                                        lean_pct=85, establishment="M1", supplier_lot=species, made_on=today(),
                                        at=now())  # fmt: skip
        BatchInput.objects.create(batch=batch, bought=box, weight_kg=kg, typed="", lean_pct=85.0, at=now())
    ShopProfile.objects.update(nutrition_exempt_why="small shop")
    made = priced(slug="ground-bison", lot=lot)
    assert "the larger first" in refused(made)
    BatchInput.objects.create(batch=batch, bought=BoughtTrim.objects.get(species="bison"), weight_kg=3, typed="",
                              lean_pct=85.0, at=now())  # fmt: skip
    assert label_of(Pack.objects.get(pk=made.pk)).name == "GROUND BISON AND BEEF"
