"""What was weighed, sold, read or said cannot be changed: not by the models, not by the database."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from django.apps import apps
from django.db import DatabaseError, connection, transaction

from gambrel.shop.clock import now
from gambrel.shop.records.models import AppendOnly, AuditLine, Side, Weighing, WrittenOnce
from gambrel.shop.records.services.rail import weigh

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demo_shop")]

LINES = [model for model in apps.get_app_config("records").get_models() if issubclass(model, AppendOnly)]


def test_every_kind_of_line_that_is_written_once_is_guarded() -> None:
    asked = "SELECT tbl_name, name FROM sqlite_master WHERE type = 'trigger'"
    if connection.vendor == "postgresql":
        asked = "SELECT tgrelid::regclass::text, tgname FROM pg_trigger WHERE NOT tgisinternal"
    with connection.cursor() as cursor:
        cursor.execute(asked)
        there = set(cursor.fetchall())
    wanted = {(model._meta.db_table, f"{model._meta.db_table}_no_{change}")
              for model in LINES for change in ("update", "delete")}  # fmt: skip
    assert there == wanted


@pytest.mark.parametrize("model", LINES, ids=lambda model: model.__name__)
def test_a_query_may_not_change_or_take_away_lines(model: Any) -> None:
    with pytest.raises(WrittenOnce):
        model.objects.all().delete()
    with pytest.raises(WrittenOnce):
        model.objects.update(pk=1)


@pytest.mark.parametrize(
    "order", ["UPDATE records_{} SET id = id", "DELETE FROM records_{}"], ids=["update", "delete"]
)
@pytest.mark.parametrize("table", ["weighing", "auditline", "coolerreading", "sidemove"])
def test_the_database_refuses_whoever_asks(table: str, order: str) -> None:
    with (
        pytest.raises(DatabaseError, match="written once"),
        transaction.atomic(),
        connection.cursor() as cursor,
    ):
        cursor.execute(order.format(table))


def test_a_line_may_not_be_saved_again_or_deleted() -> None:
    line = Weighing.objects.first()
    assert line is not None
    line.weight_kg = Decimal("1.0")
    with pytest.raises(WrittenOnce):
        line.save()
    with pytest.raises(WrittenOnce):
        line.delete()


def test_a_mistake_is_put_right_by_a_line_of_its_own() -> None:
    side = Side.objects.exclude(weighings=None).first()
    assert side is not None
    wrong = weigh(side, weight_kg=Decimal("99.9"), typed="99.9 kg", at=now(), by=None)
    right = weigh(
        side, weight_kg=Decimal("149.9"), typed="149.9 kg", at=now(), by=None, corrects=wrong, why="misread"
    )
    assert Weighing.objects.get(pk=wrong.pk).weight_kg == Decimal("99.900")
    assert wrong.corrected_by == right
    said = AuditLine.objects.filter(record="side", record_id=str(side.pk)).latest("pk")
    assert (said.what, said.before, said.why) == (
        "weighed again", {"weight_kg": "99.9", "typed": "99.9 kg"}, "misread",
    )  # fmt: skip


@pytest.mark.parametrize(
    "fields",
    [
        {"weight_kg": Decimal("0")},
        {"weight_kg": Decimal("-3")},
        {"weight_kg": Decimal("5"), "taken_out": True},
    ],
    ids=["nothing", "below nothing", "taken out of nowhere"],
)
def test_the_database_takes_no_line_that_cannot_be(fields: dict[str, Any]) -> None:
    side = Side.objects.first()
    with pytest.raises(DatabaseError), transaction.atomic():
        Weighing.objects.create(side=side, at=now(), typed="?", **fields)
