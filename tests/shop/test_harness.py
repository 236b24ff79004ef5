"""What the other tests of the shop stand on: the invented shop is there, each test is rolled back, guards hold."""

from __future__ import annotations

from typing import Any

import pytest
from django.db import DatabaseError, connection, transaction
from django.test import Client

from gambrel.shop.clock import now, today
from gambrel.shop.records.models import AuditLine, Person, ShopProfile, Side, Supplier, Weighing, WrittenOnce

pytestmark = pytest.mark.django_db


@pytest.mark.parametrize("round_number", [1, 2])
def test_what_a_test_writes_is_gone_in_the_next(demo_shop: Any, round_number: int) -> None:
    assert not Supplier.objects.filter(name="Written by a test").exists()
    Supplier.objects.create(name="Written by a test")


def test_the_invented_shop_hangs_eighteen_sides_of_four_kinds(demo_shop: Any) -> None:
    assert Side.objects.count() == 18
    kinds = set(Side.objects.values_list("animal__kind", flat=True))
    assert kinds == {"bison", "grass-finished", "grain-finished", "wagyu"}
    assert {person.role for person in Person.objects.all()} == {"owner", "cutter", "counter"}


def test_the_clock_stands_and_counts_the_day_in_the_shops_zone(demo_shop: Any) -> None:
    assert now().isoformat() == "2026-03-09T15:30:00+00:00"
    assert today() == demo_shop.today


@pytest.mark.parametrize("round_number", [1, 2])
def test_an_empty_shop_is_empty_and_its_guards_hold(empty_shop: None, round_number: int) -> None:
    assert not ShopProfile.objects.exists() and not Side.objects.exists() and not AuditLine.objects.exists()
    line = AuditLine.objects.create(at=now(), by_name="test", what="tried", record="none", record_id="0")
    with pytest.raises(DatabaseError), transaction.atomic(), connection.cursor() as cursor:
        cursor.execute("UPDATE records_auditline SET what = 'changed' WHERE id = %s", [line.pk])


def test_the_shop_is_whole_again_after_it_was_emptied(demo_shop: Any) -> None:
    assert Weighing.objects.exists()
    with pytest.raises(WrittenOnce):
        Weighing.objects.all().delete()
    with pytest.raises(DatabaseError), transaction.atomic(), connection.cursor() as cursor:
        cursor.execute("DELETE FROM records_weighing")


def test_each_client_is_signed_in_as_its_role(
    owner_client: Client, cutter_client: Client, counter_client: Client, visitor_client: Client
) -> None:
    ids = [client.session.get("_auth_user_id") for client in (owner_client, cutter_client, counter_client)]
    assert [Person.objects.get(pk=one).role for one in ids] == ["owner", "cutter", "counter"]
    assert "_auth_user_id" not in visitor_client.session
