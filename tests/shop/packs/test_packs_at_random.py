"""What becomes of packs, many steps at random, against a shelf kept by hand: where each lies, what is refused, what
was taken."""

from __future__ import annotations

import random
from decimal import Decimal
from uuid import UUID, uuid4

import pytest
from django.db import IntegrityError, transaction
from packing import a_lot, a_pack

from gambrel.measures import CannotDo
from gambrel.shop.clock import now, today
from gambrel.shop.records.models import AuditLine, LotHold, OnHand, Pack, PackEvent
from gambrel.shop.records.selectors.counter import day_page
from gambrel.shop.records.selectors.stock import stock_page
from gambrel.shop.records.services.packs import happened, is_held, pack

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demo_shop")]

PLACES = ("case", "freezer", "ageing")
GOES = ("sold", "spoiled", "eaten", "missing")
COMES = ("returned", "found")
STAYS = ("moved", "counted")
KG = ("0.250", "0.500", "1.125")


class Shelf:
    """The rules in the plainest words: a pack is somewhere or nowhere; nowhere it can only come back."""

    def __init__(self) -> None:
        self.where: dict[int, str | None] = {}
        self.first: dict[int, str] = {}
        self.till_cents = 0
        self.lines = 0

    def laid(self, made: Pack) -> None:
        self.where[made.pk] = self.first[made.pk] = made.place

    def may(self, number: int, what: str) -> bool:
        if what == "labelled":
            return True
        return (self.where[number] is None) == (what in COMES)

    def do(self, number: int, what: str, place: str, cents: int) -> None:
        if what in GOES:
            self.where[number] = None
        elif what in COMES:
            self.where[number] = place or self.first[number]
        elif place and self.where[number] is not None:
            self.where[number] = place
        self.till_cents += {"sold": cents, "returned": -cents}.get(what, 0)
        self.lines += 1


def there() -> dict[int, str]:
    return dict(OnHand.objects.values_list("pack_id", "place"))


@pytest.mark.parametrize("seed", range(3))
def test_many_steps_leave_every_pack_where_a_shelf_kept_by_hand_has_it(seed: int) -> None:
    chance, shelf = random.Random(seed), Shelf()
    packs = [a_pack(chance.choice(KG), place=chance.choice(PLACES)) for _ in range(6)]
    for made in packs:
        shelf.laid(made)
    for _ in range(50):
        made, what = chance.choice(packs), chance.choice((*GOES, *COMES, *STAYS, "labelled"))
        place = "" if what in GOES else chance.choice(("", *PLACES))
        cents = chance.randint(1, 9000) if what in ("sold", "returned") else 0
        key = uuid4()
        if not shelf.may(made.pk, what):
            with pytest.raises(CannotDo):
                happened(made, what, key=key, at=now(), by=None, cents=cents, place=place)
            continue
        for _ in range(chance.choice((1, 2))):  # a second time under the same key is the same line
            happened(made, what, key=key, at=now(), by=None, cents=cents, place=place)
        shelf.do(made.pk, what, place, cents)
    assert there() == {number: place for number, place in shelf.where.items() if place is not None}
    assert PackEvent.objects.count() == shelf.lines
    assert day_page(today()).taken_cents == shelf.till_cents
    by_hand: dict[str, Decimal] = {}
    for made in packs:
        place = shelf.where[made.pk]
        if place is not None:
            by_hand[place] = by_hand.get(place, Decimal(0)) + made.net_kg
    page = stock_page(at=now(), today=today())
    assert {one.place: round(one.weight_kg, 3) for one in page.products} == {
        place: float(kg) for place, kg in by_hand.items()
    }


@pytest.mark.parametrize("what", GOES)
def test_gone_once_it_does_not_go_again_whatever_it_is_called(what: str) -> None:
    made = a_pack()
    happened(made, what, key=uuid4(), at=now(), by=None)
    for again in (*GOES, *STAYS):
        with pytest.raises(CannotDo, match=f"pack {made.pk}"):
            happened(made, again, key=uuid4(), at=now(), by=None)
    assert PackEvent.objects.count() == 1


@pytest.mark.parametrize("what", ["stolen", "", "SOLD", "sold ", "x" * 400])
def test_what_never_becomes_of_a_pack_is_refused_and_it_stays(what: str) -> None:
    made = a_pack()
    with pytest.raises(CannotDo):
        happened(made, what, key=uuid4(), at=now(), by=None)
    assert there() == {made.pk: "case"}


def test_a_key_belongs_to_its_first_line_also_where_another_pack_comes_with_it() -> None:
    one, other, key = a_pack(), a_pack(), uuid4()
    first = happened(one, "sold", key=key, at=now(), by=None, cents=500)
    second = happened(other, "spoiled", key=key, at=now(), by=None, why="x")
    assert second == first and there() == {other.pk: "case"}


@pytest.mark.parametrize("holds", [(), (True,), (True, False), (False, True), (True, False, True)])
def test_the_newest_word_about_a_lot_holds_it(holds: tuple[bool, ...]) -> None:
    made = a_pack()
    for held in holds:
        LotHold.objects.create(lot=made.lot, held=held, why="asked", at=now())
    held = bool(holds) and holds[-1]
    assert is_held(made.lot_id) == held
    if held:
        with pytest.raises(CannotDo, match="is held"):
            happened(made, "sold", key=uuid4(), at=now(), by=None)
        happened(made, "spoiled", key=uuid4(), at=now(), by=None, why="held meat may still be thrown away")
    else:
        happened(made, "sold", key=uuid4(), at=now(), by=None)
    assert there() == {}


def weighed(**changed: object) -> Pack:
    sent: dict[str, object] = {"net_kg": Decimal("0.5"), "key": uuid4(), "at": now(), "by": None, **changed}
    slug = str(sent.pop("slug", "ribeye-steak"))
    return pack(a_lot(), slug, **sent)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    "changed", [{"net_kg": Decimal(0)}, {"net_kg": Decimal("-0.001")}, {"slug": "antlers"}, {"piece": "antlers"},
                {"slug": ""}, {"slug": "x" * 300}], ids=str,
)  # fmt: skip
def test_what_is_no_pack_is_told_and_leaves_nothing(changed: dict[str, object]) -> None:
    with pytest.raises(CannotDo, match="26068-1"):
        weighed(**changed)
    assert not Pack.objects.exists() and not OnHand.objects.exists()
    assert not AuditLine.objects.filter(what="packed").exists()


@pytest.mark.parametrize("changed", [{"packing": "sack"}, {"place": "attic"}], ids=str)
def test_a_mistake_of_ours_is_no_pack_that_came_twice(changed: dict[str, object]) -> None:
    """The database refuses it: what is raised says so, not that some pack does not exist."""
    with pytest.raises(IntegrityError), transaction.atomic():
        weighed(**changed)
    assert not Pack.objects.exists()


def test_a_pack_sent_twice_is_the_first_one_with_one_line_of_the_trail() -> None:
    key = UUID(int=7)
    first, second = (weighed(key=key, net_kg=Decimal(kg)) for kg in ("0.5", "0.7"))
    assert (second, second.net_kg) == (first, Decimal("0.500"))
    assert AuditLine.objects.filter(what="packed").count() == OnHand.objects.count() == 1


def test_an_owners_own_meat_carries_no_price_and_is_never_sold() -> None:
    """Killed for its owner, it is for the owner's household, guests and employees alone [9 CFR 303.1(a)(2)]."""
    lot = a_lot("26068-9", inspected="custom", owner_name="Otis Fennimore")
    with pytest.raises(CannotDo, match=r"303\.1"):
        a_pack(lot=lot, price_cents_per_kg=0.0)
    made = a_pack(lot=lot)
    with pytest.raises(CannotDo, match=r"303\.1"):
        happened(made, "sold", key=uuid4(), at=now(), by=None)
    assert there() == {made.pk: "case"}
