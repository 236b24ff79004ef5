"""The counter: a scan is a sale, another sum needs its reason, what comes back, the day, the till; by hand."""

from __future__ import annotations

import csv
import io
import re
from datetime import timedelta
from typing import Any
from uuid import uuid4

import pytest
from django.test import Client
from django.urls import reverse
from packing import a_lot, a_pack, became

from gambrel.sell.price_code import LAYOUTS, in_store_code
from gambrel.shop.clock import now, today
from gambrel.shop.records.models import (
    Customer,
    Demand,
    LotHold,
    OnHand,
    Pack,
    PackEvent,
    Person,
    ShopProfile,
)  # fmt: skip
from gambrel.shop.records.pack_money import asked_cents
from gambrel.shop.records.selectors.counter import day_page, sold_at_steps, ticket_page
from gambrel.shop.records.services import labels

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demo_shop")]

LB = 0.45359237
TICKET = str(uuid4())


def priced(kg: str = "1.452", **more: Any) -> Pack:
    """3.20 lb at $12.49 a pound: 39.968, so $39.97."""
    return a_pack(kg, price_cents_per_kg=1249 / LB, **more)


def scan(client: Client, code: Any, **more: str) -> Any:
    return client.post(
        reverse("counter_sell"), {"code": f"{code}", "ticket": TICKET, "key": str(uuid4()), **more}
    )


def back(client: Client, code: Any, **more: str) -> Any:
    sent = {
        "code": f"{code}",
        "why": "wrong cut",
        "becomes": "thrown",
        "ticket": TICKET,
        "key": str(uuid4()),
        **more,
    }
    return client.post(reverse("counter_back"), sent)


def sold() -> list[tuple[int, int]]:
    return list(PackEvent.objects.filter(what="sold").order_by("pk").values_list("pack_id", "cents"))


def here() -> set[int]:
    return set(OnHand.objects.values_list("pack_id", flat=True))


def test_a_scan_is_a_sale_at_what_the_label_asks(counter_client: Client) -> None:
    made = priced()
    assert asked_cents(made, ShopProfile.objects.get()) == 3997
    answer = scan(counter_client, made.pk)
    assert answer.status_code == 302 and TICKET in answer["Location"]
    assert sold() == [(made.pk, 3997)] and here() == set()
    text = counter_client.get(answer["Location"]).content.decode()
    assert text.count("$39.97") >= 3, "the message, the line and the total"


@pytest.mark.parametrize("before", ["", "]d2", "]C1"])
def test_the_shops_own_square_code_is_understood(counter_client: Client, before: str) -> None:
    made = priced()
    assert scan(counter_client, f"{before}91P{made.pk}").status_code == 302
    assert sold() == [(made.pk, 3997)]


def test_a_code_without_the_mark_is_a_number_and_nothing_else(counter_client: Client) -> None:
    """911 is pack 911 and not pack 1 under identifier 91."""
    made = priced()
    assert scan(counter_client, f"91{made.pk}").status_code == 409 and sold() == []


def test_the_code_of_a_shop_with_a_prefix_is_understood(counter_client: Client) -> None:
    """GTIN of 12 digits 952123412345 with 9 before: 9x3+9+5x3+2+1x3+2+3x3+4+1x3+2+3x3+4+5x3 = 104, check digit 6."""
    made = priced()
    code = f"]d20199521234123456320200032013260309{'17260314'}10{made.lot.code}\x1d21P{made.pk}\x1d39223997"
    assert scan(counter_client, code).status_code == 302, "as the scanner sends it"
    assert sold() == [(made.pk, 3997)]


def test_the_tills_code_names_the_pack_where_one_alone_asks_that_price(counter_client: Client) -> None:
    one, other = priced(), priced("0.907")  # 2.00 lb: $24.98
    labels.number_items([one])
    code = in_store_code(LAYOUTS["upc-price-5"], item="0001", value=3997)
    assert scan(counter_client, code).status_code == 302
    assert sold() == [(one.pk, 3997)] and here() == {other.pk}


def test_where_several_ask_the_same_it_asks_which(counter_client: Client) -> None:
    first, second = priced(), priced()
    labels.number_items([first])
    answer = scan(counter_client, in_store_code(LAYOUTS["upc-price-5"], item="0001", value=3997))
    assert answer.status_code == 409 and [one.pk for one, _ in answer.context["several"]] == [
        first.pk,
        second.pk,
    ]
    assert sold() == []
    scan(counter_client, second.pk)
    assert here() == {first.pk}


def test_the_same_scan_sent_twice_is_one_sale_and_the_next_pack_is_another(counter_client: Client) -> None:
    """A scanner faster than the page sends two packs with the key of one page."""
    first, second, key = priced(), priced(), str(uuid4())
    for code in (first.pk, first.pk, second.pk):
        assert scan(counter_client, code, key=key).status_code == 302
    assert sold() == [(first.pk, 3997), (second.pk, 3997)]


def test_another_sum_needs_its_reason_and_keeps_what_was_asked(counter_client: Client) -> None:
    made = priced()
    assert scan(counter_client, made.pk, price="30").status_code == 409 and sold() == []
    assert scan(counter_client, made.pk, price="30", why="torn film").status_code == 302
    line = PackEvent.objects.get(pack=made, what="sold")
    assert (line.cents, line.asked_cents, line.why) == (3000, 3997, "torn film")


def test_the_same_sum_typed_is_no_other_sum(counter_client: Client) -> None:
    made = priced()
    scan(counter_client, made.pk, price="39.97")
    assert PackEvent.objects.get(pack=made).asked_cents is None


def test_a_pack_without_a_price_is_sold_for_what_is_said_with_a_reason(counter_client: Client) -> None:
    made = a_pack()
    answer = scan(counter_client, made.pk)
    assert answer.status_code == 409 and "no price on it" in answer.content.decode()
    assert scan(counter_client, made.pk, price="5", why="no label").status_code == 302
    assert PackEvent.objects.get(pack=made).cents == 500


@pytest.mark.parametrize("code", ["", "nonsense", "999999", "26068-9/1", "9" * 200, "\x1d", "210001003997"])
def test_what_means_nothing_is_told_and_nothing_sold(counter_client: Client, code: str) -> None:
    priced()
    assert scan(counter_client, code).status_code in (400, 409)
    assert sold() == []


def test_what_is_past_its_date_is_not_sold_unless_it_was_frozen(counter_client: Client) -> None:
    past, frozen = priced(keeps_days=-1), priced(keeps_days=-1, place="freezer")
    assert "within its date" in scan(counter_client, past.pk).content.decode()
    assert scan(counter_client, frozen.pk).status_code == 302
    assert sold() == [(frozen.pk, 3997)]


def test_what_is_held_or_an_owners_or_gone_is_not_sold(counter_client: Client) -> None:
    held, gone = priced(lot=a_lot("26068-2")), priced()
    LotHold.objects.create(lot=held.lot, held=True, why="recall", at=now())
    own = a_pack(lot=a_lot("26068-3", inspected="custom", owner_name="Otis Fennimore"))
    became(gone, "spoiled", why="x")
    for pack, said, more in ((held, "is held", {}), (gone, "on hand", {}),
                             (own, "Otis", {"price": "5", "why": "asked"})):  # fmt: skip
        answer = scan(counter_client, pack.pk, **more)
        assert answer.status_code == 409 and said in answer.content.decode(), said
    assert sold() == []


def test_who_takes_it_is_kept_and_stays_for_the_next_scan(counter_client: Client) -> None:
    made, table = priced(), Customer.objects.get(name="The Juniper Table")
    answer = scan(counter_client, made.pk, customer=str(table.pk))
    assert PackEvent.objects.get(pack=made).customer == table
    form = counter_client.get(answer["Location"]).context["form"]
    assert str(form["customer"].value()) == str(table.pk)


def test_what_comes_back_gives_its_money_back_and_is_thrown_away(counter_client: Client) -> None:
    made = priced()
    scan(counter_client, made.pk, price="30", why="torn film")
    assert back(counter_client, made.pk, why="").status_code == 400
    assert back(counter_client, made.pk).status_code == 302
    events = list(PackEvent.objects.filter(pack=made).order_by("pk").values_list("what", "cents"))
    assert events == [("sold", 3000), ("returned", 3000), ("spoiled", 0)]
    assert here() == set() and day_page(today()).taken_cents == 0


def test_what_may_be_sold_again_lies_in_the_case(counter_client: Client) -> None:
    made, key = priced(), str(uuid4())
    scan(counter_client, made.pk)
    for _ in range(2):
        assert back(counter_client, made.pk, becomes="again", key=key).status_code == 302
    assert here() == {made.pk} and PackEvent.objects.filter(what="returned").count() == 1
    scan(counter_client, made.pk)
    assert [cents for _, cents in sold()] == [3997, 3997]
    assert day_page(today()).taken_cents == 3997


def test_what_was_not_sold_does_not_come_back(counter_client: Client) -> None:
    made = priced()
    assert back(counter_client, made.pk).status_code == 400
    became(made, "eaten", why="lunch")
    assert back(counter_client, made.pk).status_code == 400
    assert not PackEvent.objects.filter(what="returned").exists()


def test_a_ticket_adds_up(counter_client: Client) -> None:
    packs = [priced() for _ in range(3)]
    for one in packs:
        scan(counter_client, one.pk)
    back(counter_client, packs[0].pk)
    page = ticket_page(PackEvent.objects.filter(what="sold")[0].ticket)  # type: ignore[arg-type]
    assert (page.total_cents, page.count, len(page.lines)) == (2 * 3997, 2, 4)


def test_the_day_by_hand(counter_client: Client) -> None:
    """Two customers: $39.97 and $24.98; $30.00 for $39.97; one brought back; one eaten; yesterday's do not count."""
    yesterday = priced(days_ago=2)
    became(yesterday, "sold", days_ago=1, cents=3997)
    a, b, c, d = priced(), priced("0.907"), priced(), priced()
    scan(counter_client, a.pk)
    scan(counter_client, b.pk)
    scan(counter_client, c.pk, price="30", why="regular", ticket=str(uuid4()))
    back(counter_client, a.pk, becomes="again")
    became(d, "eaten", why="lunch")
    page = day_page(today())
    assert (page.sold_cents, page.returned_cents, page.taken_cents) == (3997 + 2498 + 3000, 3997, 5498)
    assert (page.tickets_count, page.given_less_cents) == (2, 997)
    (product,) = page.products
    assert (product.count, round(product.weight_kg, 3), product.cents) == (2, 0.907 + 1.452, 5498)
    assert page.people == (("Wren", 3, 5498),)
    assert page.lost == (("eaten", 1, 1.452),)
    text = counter_client.get(reverse("counter_day")).content.decode()
    assert "$54.98" in text and "regular" in text
    assert day_page(today() - timedelta(days=1)).taken_cents == 3997


def test_the_till_gets_every_line_of_money(counter_client: Client) -> None:
    made = priced()
    labels.number_items([made])
    scan(counter_client, made.pk, price="30", why="=torn")
    back(counter_client, made.pk)
    answer = counter_client.get(reverse("counter_till"))
    rows = list(csv.DictReader(io.StringIO(answer.content.decode("utf-8-sig"))))
    assert [(row["what"], row["paid [$]"], row["label asked [$]"]) for row in rows] == [
        ("sold", "30.00", "39.97"), ("returned", "-30.00", "30.00")]  # fmt: skip
    assert rows[0]["why"] == "'=torn" and rows[0]["item"] == "1" and rows[0]["pack"] == f"{made.pk}"
    assert (rows[0]["day"], rows[0]["time"], rows[0]["net [lb]"]) == ("2026-03-09", "09:30:00", "3.20")


@pytest.mark.parametrize("asked", [{"first": "2026-03-09"}, {"first": "x", "last": "y"},
                                   {"first": "2026-03-09", "last": "2026-03-01"},
                                   {"first": "2020-01-01", "last": "2026-03-01"}])  # fmt: skip
def test_a_period_that_is_none_is_told(counter_client: Client, asked: dict[str, str]) -> None:
    assert counter_client.get(reverse("counter_till"), asked).status_code == 400


def test_what_sold_at_which_step() -> None:
    """Steps of 10 kg at 2,000 c/kg and 15 kg (5 more) at 1,500. Sold: 2 kg at 2,000, 1 kg at 1,600, 3 kg at 1,200,
    of which the 2 kg came back and 1 kg at 1,995 (a cent's rounding) was sold; eight days ago does not count."""
    demand = Demand.objects.create(slug="flank-steak", group="x", kinds=["grain-finished"], shelf_days=5, steps=[
        {"upto_kg": 10, "price_cents_per_kg": 2000}, {"upto_kg": 15, "price_cents_per_kg": 1500}])  # fmt: skip

    def flank(kg: str, cents: int, *, days_ago: float = 1) -> Pack:
        pack = a_pack(kg, "flank-steak", days_ago=20)
        became(pack, "sold", cents=cents, days_ago=days_ago)
        return pack

    brought = flank("2", 4000)
    flank("1", 1600)
    flank("3", 3600)
    flank("1", 1995)
    flank("7", 14000, days_ago=8)
    became(brought, "returned", cents=4000)
    (found,) = sold_at_steps(now(), [demand])
    assert [(step.expected_kg, step.sold_kg) for step in found.steps] == [(10.0, 1.0), (5.0, 1.0)]
    assert (found.below_kg, found.sold_kg) == (3.0, 5.0)


def test_what_lay_in_the_freezer_is_told_apart_from_the_fresh_steps() -> None:
    """Sold out of the freezer: 2 kg frozen at once, 3 kg laid there later, 1 kg of which the buyer brought it back.
    Out of the case: 0.5 kg fresh, and 0.25 kg that had been in the freezer and was laid in the case again."""
    demand = Demand.objects.create(slug="flank-steak", group="x", kinds=["grain-finished"], shelf_days=5, steps=[
        {"upto_kg": 10, "price_cents_per_kg": 2000}])  # fmt: skip

    def sell_flank(kg: str, first: str, *moved_to: str) -> Pack:
        pack = a_pack(kg, "flank-steak", place=first, days_ago=20)
        for days, place in zip((12, 10), moved_to, strict=False):
            became(pack, "moved", place=place, days_ago=days)
        became(pack, "sold", cents=round(float(kg) * 2000), days_ago=1)
        return pack

    sell_flank("2", "freezer")
    sell_flank("3", "case", "freezer")
    brought = sell_flank("1", "freezer")
    sell_flank("0.5", "case")
    sell_flank("0.25", "case", "freezer", "case")
    became(brought, "returned", cents=2000, place="case")
    (found,) = sold_at_steps(now(), [demand])
    assert [step.sold_kg for step in found.steps] == [0.75]
    assert (found.frozen_kg, found.fresh_kg, found.below_kg, found.sold_kg) == (5.0, 0.75, 0.0, 5.75)
    became(brought, "sold", cents=2000)
    (found,) = sold_at_steps(now(), [demand])
    assert (found.frozen_kg, found.fresh_kg) == (5.0, 1.75), "sold again, this time out of the case"


def test_the_pages_show_frozen_sales_on_their_own_line(owner_client: Client) -> None:
    """4 lb sold out of the freezer of 10 lb a week, and none of it beside the step."""
    demand = Demand.objects.create(
        slug="flank-steak", group="x", kinds=["grain-finished"], shelf_days=5, frozen_upto_kg=10 * LB,
        frozen_price_cents_per_kg=1500, steps=[{"upto_kg": 10 * LB, "price_cents_per_kg": 2000}],
    )  # fmt: skip
    became(a_pack("1.814", "flank-steak", place="freezer"), "sold", cents=3000)
    for language, said in (("en", "out of the freezer"), ("es", "del congelador")):
        Person.objects.update(language=language)
        answer = owner_client.get(reverse("price_steps"), {"group": "x"})
        (row,) = [one for one in answer.context["rows"] if one[0] == demand]
        assert (row[2].steps[0].sold_kg, row[2].frozen_kg) == (0.0, 1.814)
        assert re.search(rf"<li>{said}: <span[^>]*>4\.0 lb", answer.content.decode())
        day = owner_client.get(reverse("counter_day")).content.decode()
        assert re.search(rf"<li>{said}: <span[^>]*>4\.0 lb.*?</span> / <span[^>]*>10\.0 lb", day)


def test_money_is_the_owners_and_the_counters_and_the_cutter_may_not_sell(cutter_client: Client) -> None:
    made = priced()
    assert scan(cutter_client, made.pk).status_code == 403 and sold() == []
    assert Person.objects.filter(role="cutter").exists()


def test_a_ticket_of_many_takes_no_more_queries(
    counter_client: Client, queries: list[dict[str, str]]
) -> None:
    counts = []
    for _ in range(2):
        for _ in range(5):
            scan(counter_client, priced().pk)
        queries.clear()
        counter_client.get(reverse("counter"), {"ticket": TICKET})
        counts.append(len(queries))
    assert counts[0] == counts[1] <= 15
    queries.clear()
    counter_client.get(reverse("counter_day"))
    assert len(queries) <= 15


def test_any_ticket_and_customer_in_the_address_opens_the_counter(counter_client: Client) -> None:
    for asked in ({"ticket": "x"}, {"ticket": TICKET, "customer": "99999999999999999999"}, {"customer": "x"}):
        assert counter_client.get(reverse("counter"), asked).status_code == 200


def test_what_sold_stands_beside_the_steps_of_the_prices(owner_client: Client) -> None:
    """1.452 kg, 3.2 lb, sold of a product that was to sell at $12.49 a pound."""
    demand = Demand.objects.create(slug="flank-steak", group="a test", kinds=["grain-finished"], shelf_days=5,
                                   steps=[{"upto_kg": 10, "price_cents_per_kg": 1249 / LB}])  # fmt: skip
    became(a_pack("1.452", "flank-steak", price_cents_per_kg=1249 / LB), "sold", cents=3997)
    answer = owner_client.get(reverse("price_steps"), {"group": demand.group})
    (row,) = [row for row in answer.context["rows"] if row[0] == demand]
    assert row[2].steps[0].sold_kg == 1.452 and "3.2 lb" in answer.content.decode()


@pytest.mark.parametrize("on", ["", "x", "9999-12-31", "0001-01-01", "2026-02-31"])
def test_a_day_that_is_none_is_told(counter_client: Client, on: str) -> None:
    assert counter_client.get(reverse("counter_day"), {"on": on}).status_code == 400
    assert counter_client.get(reverse("counter_till"), {"first": on, "last": on}).status_code == 400
