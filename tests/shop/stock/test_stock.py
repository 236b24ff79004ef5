"""Stock: by place and product, what to sell first, what runs low, one pack's life, and the count; by hand."""

from __future__ import annotations

from typing import Any
from uuid import uuid4

import pytest
from django.test import Client
from django.urls import reverse
from packing import a_lot, a_pack, became

from gambrel.measures import CannotDo
from gambrel.shop.clock import now, today
from gambrel.shop.records.models import OnHand, PackEvent
from gambrel.shop.records.selectors.stock import stock_page
from gambrel.shop.records.services import stock as service

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demo_shop")]


def page() -> Any:
    return stock_page(at=now(), today=today())


def where() -> dict[int, str]:
    return dict(OnHand.objects.values_list("pack_id", "place"))


def test_products_are_summed_by_place_and_species() -> None:
    for kg, place in (("0.5", "case"), ("0.7", "case"), ("2", "freezer")):
        a_pack(kg, place=place)
    a_pack("1.1", lot=a_lot("26068-2", kind="bison", species="bison"), keeps_days=2)
    became(a_pack("9"), "sold")
    found = {(one.place, one.species): (one.count, round(one.weight_kg, 3)) for one in page().products}
    assert found == {
        ("case", "cattle"): (2, 1.2),
        ("case", "bison"): (1, 1.1),
        ("freezer", "cattle"): (1, 2.0),
    }
    assert [place for place, _ in page().places] == ["case", "freezer"]


def test_the_nearest_date_is_sold_first_and_what_is_past_stands_apart() -> None:
    later, past, soon, undated = (
        a_pack(keeps_days=9),
        a_pack(keeps_days=-1),
        a_pack(keeps_days=0),
        a_pack(keeps_days=None),
    )
    assert [one.pack_id for one in page().past] == [past.pk]
    assert [one.pack_id for one in page().soon] == [soon.pk, later.pk]
    assert undated.pk in where()


def test_a_week_is_a_quarter_of_what_sold_in_four_less_what_came_back() -> None:
    """Sold 2.0 + 4.0 + 1.0 kg, of which 1.0 came back; 8 kg five weeks ago do not count: 6.0 / 4 = 1.5 kg a week."""
    for kg in ("2", "4"):
        became(a_pack(kg, days_ago=20), "sold", days_ago=10)
    back = a_pack("1", days_ago=20)
    became(back, "sold", days_ago=9)
    became(back, "returned", days_ago=8)
    became(a_pack("8", days_ago=40), "sold", days_ago=35)
    (line,) = page().products
    assert (line.weight_kg, line.week_kg) == (1.0, 1.5)
    assert line.weeks_left == pytest.approx(1 / 1.5)
    (low,) = page().low
    assert (low.slug, low.weight_kg, low.week_kg) == ("ribeye-steak", 1.0, 1.5)


def test_what_lies_for_a_week_or_never_sells_is_not_low() -> None:
    became(a_pack("4", days_ago=9), "sold", days_ago=5)
    a_pack("1.0")
    a_pack("3", "flank-steak")
    assert page().low == ()


def test_all_sold_out_is_low_and_what_ages_does_not_help() -> None:
    became(a_pack("4", days_ago=9), "sold", days_ago=5)
    a_pack("6", place="ageing")
    assert [(one.slug, one.weight_kg) for one in page().low] == [("ribeye-steak", 0.0)]


def test_a_pack_is_found_by_number_lot_and_number_or_not_at_all(counter_client: Client) -> None:
    made = a_pack()
    for code in (f"{made.pk}", f"26068-1/{made.pk}", f" #{made.pk} ", f"]d291P{made.pk}", f"p{made.pk}"):
        answer = counter_client.get(reverse("stock"), {"code": code})
        assert answer.status_code == 302 and answer["Location"] == reverse("pack", args=[made.pk]), code
    for code in ("999999", f"26068-2/{made.pk}", "nonsense", "9" * 30, "\x00"):
        answer = counter_client.get(reverse("stock"), {"code": code})
        assert answer.status_code == 200 and "messages" in answer.content.decode(), code


def test_the_life_of_a_pack_is_told(owner_client: Client) -> None:
    made = a_pack("0.5", price_cents_per_kg=4409.245)
    became(made, "sold", cents=2204)
    became(made, "returned", cents=-2204)
    text = owner_client.get(reverse("pack", args=[made.pk])).content.decode()
    assert text.count("$22.04") >= 2 and "came back" in text and "26068-1" in text


def test_moved_thrown_away_and_found(counter_client: Client) -> None:
    made = a_pack()
    address = reverse("pack_became", args=[made.pk])

    def send(**data: str) -> int:
        return counter_client.post(address, {"key": str(uuid4()), **data}).status_code

    assert send(what="moved") == 400, "where to?"
    assert send(what="moved", place="freezer") == 302 and where() == {made.pk: "freezer"}
    assert send(what="spoiled") == 400, "why?"
    assert send(what="found", place="case") == 400, "it is here"
    assert send(what="spoiled", why="torn film") == 302 and where() == {}
    assert send(what="spoiled", why="again") == 400
    assert send(what="found", place="case") == 302 and where() == {made.pk: "case"}
    assert PackEvent.objects.get(what="spoiled").why == "torn film"


def test_a_count_says_what_it_would_change_before_it_is_kept(counter_client: Client) -> None:
    """In the case by the records: a, b. In the hand: a, c (of the freezer), d (thought sold). b is not found."""
    a, b, c, d = a_pack(), a_pack("0.9"), a_pack(place="freezer"), a_pack()
    became(d, "sold")
    sent = {
        "place": "case",
        "slug": "",
        "codes": f"{a.pk}\n26068-1/{c.pk}\r\n\n{d.pk}\n{a.pk}",
        "key": str(uuid4()),
    }
    looked = counter_client.post(reverse("stock_count"), sent)
    count = looked.context["count"]
    assert looked.status_code == 200 and where() == {a.pk: "case", b.pk: "case", c.pk: "freezer"}
    assert (count.there, count.missing, count.moved, count.found) == ((a,), (b,), (c,), (d,))
    assert count.missing_kg == 0.9
    for _ in range(2):
        assert counter_client.post(reverse("stock_count"), {**sent, "sure": "1"}).status_code == 302
        assert where() == {a.pk: "case", c.pk: "case", d.pk: "case"}
    lines = PackEvent.objects.filter(why="count").order_by("pack_id").values_list("pack_id", "what")
    assert list(lines) == [(a.pk, "counted"), (b.pk, "missing"), (c.pk, "moved"), (d.pk, "found")]


def test_a_count_of_one_product_leaves_the_others_alone() -> None:
    steak, flank = a_pack(), a_pack(slug="flank-steak")
    service.count("case", "flank-steak", [], key=uuid4(), at=now(), by=None)
    assert where() == {steak.pk: "case"} and flank.pk not in where()


def test_codes_that_mean_nothing_are_all_named_and_nothing_is_counted(counter_client: Client) -> None:
    made = a_pack()
    answer = counter_client.post(reverse("stock_count"), {
        "place": "case", "codes": f"{made.pk}\nnonsense\n777777", "key": str(uuid4()), "sure": "1"})  # fmt: skip
    assert answer.status_code == 400 and len(answer.context["findings"]) == 2
    assert not PackEvent.objects.exists()


def test_too_much_to_name_is_counted_by_product(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(service, "MOST_COUNTED", 2)
    for _ in range(3):
        a_pack()
    a_pack(slug="flank-steak")
    with pytest.raises(CannotDo, match="one product"):
        service.look("case", "", [])
    assert len(service.look("case", "flank-steak", []).missing) == 1
    with pytest.raises(CannotDo, match="a place of the shop"):
        service.look("attic", "", [])


def test_queries_do_not_grow_with_the_stock(counter_client: Client, queries: list[dict[str, str]]) -> None:
    counts = []
    for _ in range(2):
        for _ in range(8):
            became(a_pack(days_ago=2), "sold", days_ago=1)
            a_pack()
        queries.clear()
        counter_client.get(reverse("stock"))
        counts.append(len(queries))
    assert counts[0] == counts[1] <= 15


def test_an_empty_shop_says_so(owner_client: Client) -> None:
    assert "Nothing is on hand" in owner_client.get(reverse("stock")).content.decode()
