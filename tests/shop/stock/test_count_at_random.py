"""Counts at random against a shelf in the hand: afterwards the records say what was there, and once only."""

from __future__ import annotations

import random
from uuid import uuid4

import pytest
from django.test import Client
from django.urls import reverse
from packing import a_lot, a_pack, became

from gambrel.measures import CannotDo
from gambrel.shop.clock import now, today
from gambrel.shop.records.models import OnHand, Pack, PackEvent
from gambrel.shop.records.selectors import stock as selector
from gambrel.shop.records.selectors.stock import sell_first, stock_page
from gambrel.shop.records.services import stock as service

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demo_shop")]

PLACES = ("case", "freezer", "ageing")
SLUGS = ("ribeye-steak", "flank-steak")


def there() -> dict[int, str]:
    return dict(OnHand.objects.values_list("pack_id", "place"))


def shelf(chance: random.Random) -> list[Pack]:
    """A dozen packs of two products in three places, some of them sold or not found."""
    packs = [
        a_pack(f"{chance.randint(100, 2000) / 1000:.3f}", chance.choice(SLUGS), place=chance.choice(PLACES))
        for _ in range(12)
    ]
    for made in packs:
        if chance.random() < 0.3:
            became(made, chance.choice(("sold", "missing")))
    return packs


@pytest.mark.parametrize("seed", range(4))
def test_after_a_count_the_place_holds_what_was_in_the_hand(seed: int) -> None:
    """Of the place and product that were counted: exactly what was scanned. Everything else stays as it was."""
    chance = random.Random(seed)
    packs = shelf(chance)
    before, slug_of = there(), {one.pk: one.slug for one in packs}
    for place in PLACES:
        slug = chance.choice(("", *SLUGS))
        hand = [one for one in packs if chance.random() < 0.5 and slug in ("", one.slug)]
        seen = {one.pk for one in hand}
        wanted = {
            number: place if number in seen else where
            for number, where in {**before, **dict.fromkeys(seen, place)}.items()
            if number in seen or not (where == place and slug in ("", slug_of[number]))
        }
        done = service.count(place, slug, hand, key=uuid4(), at=now(), by=None)
        assert there() == wanted
        assert done.missing_kg == pytest.approx(
            sum(float(one.net_kg) for one in packs if one.pk in before and one.pk not in wanted)
        )
        assert len(done.there) + len(done.moved) + len(done.found) == len(seen)
        before = wanted


@pytest.mark.parametrize("seed", range(2))
def test_a_count_kept_twice_under_one_key_is_one_and_a_look_keeps_nothing(seed: int) -> None:
    chance, key = random.Random(100 + seed), uuid4()
    packs = shelf(chance)
    hand = chance.sample(packs, 5)
    lines, before = PackEvent.objects.count(), there()
    service.look("case", "", hand)
    assert (PackEvent.objects.count(), there()) == (lines, before)
    service.count("case", "", hand, key=key, at=now(), by=None)
    after, lines = there(), PackEvent.objects.count()
    service.count("case", "", hand, key=key, at=now(), by=None)
    assert (there(), PackEvent.objects.count()) == (after, lines)


def test_the_pack_scanned_twice_is_one_pack(counter_client: Client) -> None:
    made = a_pack()
    sent = {"place": "case", "codes": f"{made.pk}\n" * 3, "key": str(uuid4()), "sure": "1"}
    assert counter_client.post(reverse("stock_count"), sent).status_code == 302
    assert PackEvent.objects.get().what == "counted"


@pytest.mark.parametrize("field", ["place", "slug", "codes", "key"])
@pytest.mark.parametrize("value", ["\x00", "attic'; --", "x" * 30_000])
def test_a_count_of_nonsense_keeps_nothing(counter_client: Client, field: str, value: str) -> None:
    made = a_pack()
    sent = {
        "place": "case",
        "slug": "",
        "codes": f"{made.pk}",
        "key": str(uuid4()),
        "sure": "1",
        field: value,
    }
    assert counter_client.post(reverse("stock_count"), sent).status_code == 400
    assert not PackEvent.objects.exists() and there() == {made.pk: "case"}


def test_as_many_as_may_be_named_are_counted_and_one_more_is_not(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(service, "MOST_COUNTED", 3)
    for _ in range(3):
        a_pack()
    assert len(service.look("case", "", []).missing) == 3
    a_pack()
    with pytest.raises(CannotDo, match="more than 3"):
        service.look("case", "", [])


def test_what_is_to_be_sold_first_is_told_by_date_then_number_and_by_place() -> None:
    days = (4, 1, None, 1, 9)
    packs = [a_pack(keeps_days=one, place="freezer" if one == 9 else "case") for one in days]
    first = [one.pack_id for one in sell_first()]
    assert first == [packs[n].pk for n in (1, 3, 0, 4)]
    assert [one.pack_id for one in sell_first("freezer")] == [packs[4].pk]
    assert not list(sell_first("ageing"))


def test_only_so_many_are_named_and_they_are_the_nearest(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(selector, "FIRST_COUNT", 2)
    packs = [a_pack(keeps_days=days) for days in (5, -2, 3)]
    page = stock_page(at=now(), today=today())
    assert [one.pack_id for one in page.past] == [packs[1].pk]
    assert [one.pack_id for one in page.soon] == [packs[2].pk]


# Sold in four weeks, of one product: (kg, days ago). What lies here. Low where here < sold / 4.
@pytest.mark.parametrize(
    ("sales", "here", "low"),
    [((("4", 10),), "1.0", False),  # 4 / 4 = 1.0 a week: exactly a week lies here
     ((("4.1", 10),), "1.0", True),  # 1.025 a week
     ((("4.1", 28.5),), "1.0", False),  # longer ago than four weeks
     ((("2", 1), ("2.1", 27)), "1.0", True),  # 4.1 / 4
     ((("8", 3),), "1.999", True)],
)  # fmt: skip
def test_low_is_what_lies_for_less_than_a_week(
    sales: tuple[tuple[str, float], ...], here: str, low: bool
) -> None:
    for kg, days_ago in sales:
        became(a_pack(kg, days_ago=40), "sold", days_ago=days_ago)
    a_pack(here)
    assert bool(stock_page(at=now(), today=today()).low) == low


def test_one_species_does_not_fill_the_place_of_another() -> None:
    """Bison sells 1.5 kg a week and none is here, whatever lies here of beef."""
    bison = a_lot("26068-2", kind="bison", species="bison")
    became(a_pack("6", lot=bison, days_ago=9), "sold", days_ago=5)
    a_pack("50")
    page = stock_page(at=now(), today=today())
    assert [(one.slug, one.species, one.week_kg) for one in page.low] == [("ribeye-steak", "bison", 1.5)]
    assert [one.weeks_left for one in page.products] == [None]
