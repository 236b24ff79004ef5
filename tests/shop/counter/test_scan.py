"""Which pack a code means: numbers, lots, square codes, the till's code; and what means nothing."""

from __future__ import annotations

import random

import pytest
from packing import a_lot, a_pack, became

from gambrel.measures import CannotDo
from gambrel.sell.element_strings import element_string
from gambrel.sell.pack_code import elements_of
from gambrel.sell.price_code import LAYOUTS, in_store_code
from gambrel.shop.clock import today
from gambrel.shop.records.labels import facts_of
from gambrel.shop.records.models import Item, Pack, ShopProfile
from gambrel.shop.records.pack_money import asked_cents, price_cents, printed_weight, serial_of
from gambrel.shop.records.selectors.scan import packs_meant, packs_of_lines
from gambrel.shop.records.services.labels import item_of

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demo_shop")]

LB = 0.45359237


def shop() -> ShopProfile:
    return ShopProfile.objects.get()


def meant(text: str) -> list[int]:
    return [pack.pk for pack in packs_meant(text, shop(), today=today()).packs]


def priced(kg: str = "1.452", **more: object) -> Pack:
    return a_pack(kg, price_cents_per_kg=1249 / LB, **more)  # type: ignore[arg-type]


@pytest.mark.parametrize("shape", ["{n}", " {n}\r\n", "#{n}", "P{n}", "p{n}", "26068-1/{n}", "26068-1/P{n}", "91P{n}",
                                   "]d291P{n}", "]Q391P{n}"])  # fmt: skip
def test_every_way_to_say_a_number(shape: str) -> None:
    made = a_pack()
    assert meant(shape.format(n=made.pk)) == [made.pk]


NOTHING = ["", " ", "P", "#", "26068-1/", "P-1", "0", "1.5", "99999999999999999999", "²", "٣", "91", "]d2", "]d29199",
           "http://", "https://id.example/01/x", "P1; DROP TABLE", "\x00\x1d"]  # fmt: skip


@pytest.mark.parametrize("text", NOTHING)
def test_what_means_nothing_is_said_to_mean_nothing(text: str) -> None:
    a_pack()
    with pytest.raises(CannotDo):
        packs_meant(text, shop(), today=today())


def test_a_number_of_another_lot_is_nobodys() -> None:
    made, other = a_pack(), a_lot("26068-2")
    with pytest.raises(CannotDo):
        packs_meant(f"{other.code}/{made.pk}", shop(), today=today())


def test_a_lot_means_what_is_here_of_it() -> None:
    first, gone, last = a_pack(), a_pack(), a_pack()
    became(gone, "sold")
    a_pack(lot=a_lot("26068-2"))
    assert meant("26068-1") == [first.pk, last.pk]
    assert meant("G26068-1".removeprefix("G")) == [first.pk, last.pk]


def test_the_tills_code_means_packs_here_of_that_product_kind_and_price() -> None:
    wanted, other_price, gone = priced(), priced("0.907"), priced()
    bison = priced(lot=a_lot("26068-5", kind="bison", species="bison"))
    became(gone, "sold")
    code = in_store_code(
        LAYOUTS["upc-price-5"], item=f"{item_of('ribeye-steak', 'cattle').number:04d}", value=3997
    )
    assert meant(code) == [wanted.pk]
    assert meant(f"0{code}") == [wanted.pk], "a scanner may put a nought before it"
    assert {other_price.pk, bison.pk}.isdisjoint(meant(code))


def test_a_product_without_a_number_and_a_wrong_digit_are_told() -> None:
    priced()
    code = in_store_code(LAYOUTS["upc-price-5"], item="0777", value=3997)
    with pytest.raises(CannotDo, match="a product that has a number"):
        packs_meant(code, shop(), today=today())
    with pytest.raises(CannotDo, match="agrees"):
        packs_meant(code[:-1] + str((int(code[-1]) + 1) % 10), shop(), today=today())


def test_a_shop_without_a_code_of_its_own_reads_none() -> None:
    ShopProfile.objects.update(code_layout="")
    item_of("ribeye-steak", "cattle")
    with pytest.raises(CannotDo):
        packs_meant(in_store_code(LAYOUTS["upc-price-5"], item="0001", value=3997), shop(), today=today())


def test_lines_of_a_scanner_are_packs_once_each_and_what_is_wrong_by_its_line() -> None:
    first, second = a_pack(), a_pack()
    text = f"\n{first.pk}\r\nnonsense\n  P{second.pk}\n{first.pk}\n26068-1\n"
    packs, findings = packs_of_lines(text, shop(), today=today())
    assert packs == [first, second]
    assert [finding.given for finding in findings] == ["nonsense", "26068-1"]


@pytest.mark.parametrize("prefix", ["", "9521234"])
def test_what_a_label_holds_is_read_as_the_pack_that_it_was_made_for(prefix: str) -> None:
    """40 random packs: the code that goes on the label, as a scanner sends it, names the pack again."""
    ShopProfile.objects.update(gs1_prefix=prefix)
    draw = random.Random(5)
    for _ in range(40):
        made = priced(f"{draw.uniform(0.1, 9):.3f}", keeps_days=draw.choice((None, 3, 90)))
        item: Item = item_of(made.slug, "cattle")
        code = element_string(elements_of(facts_of(made, item, shop(), today=today()).code))
        assert meant(code) == meant(f"]d2{code}") == [made.pk]


@pytest.mark.parametrize(
    ("kg", "unit", "words", "asked"),
    [("1.452", "lb", "3.20 lb", 3997), ("0.906", "lb", "1.99 lb", 2486), ("0.908", "lb", "2.00 lb", 2498),
     ("1.452", "kg", "1.450 kg", 3993), ("1.449", "kg", "1.445 kg", 3980)],
)  # fmt: skip
def test_the_printed_weight_is_cut_and_the_total_is_of_what_is_printed(
    kg: str, unit: str, words: str, asked: int
) -> None:
    """0.906 kg is 1.9974 lb: never printed as more than there is. 1.99 x 12.49 = 24.855, 2.00 x 12.49 = 24.98.

    $12.49/lb is 2,753.57 cents a kg: 27.54 x 1.450 = 39.933 and 27.54 x 1.445 = 39.795.
    """
    ShopProfile.objects.update(weight_unit=unit)
    made = priced(kg)
    printed = printed_weight(made, shop())
    assert (printed.words, asked_cents(made, shop())) == (words, asked)
    assert price_cents(made, shop()) == (1249 if unit == "lb" else 2754)


def test_a_pack_without_a_price_asks_nothing_and_has_a_serial() -> None:
    made = a_pack()
    assert (price_cents(made, shop()), asked_cents(made, shop())) == (None, None)
    assert serial_of(made) == f"P{made.pk}"
