"""Packs as records: made once from a lot, sold once, back over the counter and sold again."""

from __future__ import annotations

from decimal import Decimal
from uuid import uuid4

import pytest

from gambrel.measures import CannotDo
from gambrel.shop.clock import now, today
from gambrel.shop.records.models import AuditLine, Lot, Pack, PackEvent, Person
from gambrel.shop.records.services.packs import happened, pack

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demo_shop")]


def a_lot() -> Lot:
    return Lot.objects.create(
        code="26068-1", made_on=today(), kind="bison", species="bison", inspected="federal"
    )


def a_pack() -> Pack:
    return pack(a_lot(), "ribeye-roll-steak", net_kg=Decimal("0.412"), key=uuid4(), at=now(), by=counter())


def counter() -> Person:
    return Person.objects.get(role="counter")


def test_the_same_key_makes_one_pack() -> None:
    lot, key = a_lot(), uuid4()
    first = pack(lot, "ribeye-roll", net_kg=Decimal("4.1"), key=key, at=now(), by=counter())
    again = pack(lot, "ribeye-roll", net_kg=Decimal("9.9"), key=key, at=now(), by=counter())
    assert again == first
    assert [row.net_kg for row in Pack.objects.filter(lot=lot)] == [Decimal("4.1")]


@pytest.mark.parametrize(("slug", "kg"), [("antlers", "1"), ("ribeye-roll", "0"), ("ribeye-roll", "-2")])
def test_no_such_piece_or_no_weight_is_refused(slug: str, kg: str) -> None:
    with pytest.raises(CannotDo):
        pack(a_lot(), slug, net_kg=Decimal(kg), key=uuid4(), at=now(), by=None)
    assert not Pack.objects.exists()


def test_a_pack_is_sold_once_comes_back_and_is_sold_again() -> None:
    made = a_pack()
    for what, cents in (("sold", 1499), ("returned", -1499), ("sold", 1399)):
        happened(made, what, key=uuid4(), at=now(), by=counter(), cents=cents)
    with pytest.raises(CannotDo):
        happened(made, "sold", key=uuid4(), at=now(), by=counter(), cents=1399)
    assert sum(PackEvent.objects.values_list("cents", flat=True)) == 1399
    assert AuditLine.objects.filter(record="pack", record_id=str(made.pk)).count() == 4


def test_what_is_on_hand_cannot_come_back() -> None:
    with pytest.raises(CannotDo):
        happened(a_pack(), "returned", key=uuid4(), at=now(), by=None)


def test_a_word_that_is_none_is_refused() -> None:
    with pytest.raises(CannotDo):
        happened(a_pack(), "vanished", key=uuid4(), at=now(), by=None)


def test_a_sale_sent_twice_is_one_sale() -> None:
    made, key = a_pack(), uuid4()
    first = happened(made, "sold", key=key, at=now(), by=counter(), cents=1499)
    assert happened(made, "sold", key=key, at=now(), by=counter(), cents=1499) == first
    assert PackEvent.objects.count() == 1
