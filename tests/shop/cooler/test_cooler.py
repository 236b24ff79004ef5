"""The cooler log: read, put right, judged, printed."""

from __future__ import annotations

import uuid
from datetime import timedelta

import pytest
from django.test import Client
from django.urls import reverse

from gambrel.shop.clock import now
from gambrel.shop.records.models import AuditLine, CoolerReading, CoolerRoom
from gambrel.shop.records.selectors.cooler import cooler_page, room_log
from gambrel.shop.records.services.cooler import read_room

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demo_shop")]


def room() -> CoolerRoom:
    return CoolerRoom.objects.get(name="Hanging cooler")


def test_a_reading_is_kept_in_celsius_whatever_was_typed(cutter_client: Client) -> None:
    sent = {"air_c": "36F", "humidity_pct": "84", "at": "2026-03-09T09:00", "key": str(uuid.uuid4())}
    for _ in range(2):
        assert cutter_client.post(reverse("read_cooler", args=[room().pk]), sent).status_code == 302
    line = CoolerReading.objects.latest("pk")
    # (36 - 32) x 5/9
    assert line.air_c == pytest.approx(2.222, abs=0.001)
    assert CoolerReading.objects.filter(key=sent["key"]).count() == 1


def test_a_bare_number_is_fahrenheit_for_who_reads_pounds(cutter_client: Client) -> None:
    sent = {"air_c": "36", "at": "2026-03-09T09:00"}
    cutter_client.post(reverse("read_cooler", args=[room().pk]), sent)
    assert CoolerReading.objects.latest("pk").air_c == pytest.approx(2.222, abs=0.001)


@pytest.mark.parametrize(
    ("sent", "field"),
    [({"at": "2026-03-09T09:00"}, "__all__"), ({"air_c": "36K", "at": "2026-03-09T09:00"}, "air_c"),
     ({"air_c": "2C", "at": "2026-03-10T09:00"}, "at"), ({"air_c": "300C", "at": "2026-03-09T09:00"}, "air_c"),
     ({"air_c": "2C", "humidity_pct": "140", "at": "2026-03-09T09:00"}, "humidity_pct")],
    ids=["nothing", "no such unit", "to come", "an oven", "too wet"],
)  # fmt: skip
def test_a_reading_that_cannot_be_is_told_and_not_kept(
    cutter_client: Client, sent: dict[str, str], field: str
) -> None:
    before = CoolerReading.objects.count()
    answer = cutter_client.post(reverse("read_cooler", args=[room().pk]), sent)
    assert answer.status_code == 400 and field in answer.context["form"].errors
    assert CoolerReading.objects.count() == before


def test_a_reading_is_put_right_with_a_reason_and_once(cutter_client: Client) -> None:
    wrong = read_room(room(), at=now(), by=None, air_c=22.0)
    address = reverse("correct_reading", args=[wrong.pk])
    sent = {"air_c": "2.2C", "at": "2026-03-09T09:30"}
    assert cutter_client.post(address, sent).status_code == 400, "without a reason"
    assert cutter_client.post(address, {**sent, "note": "misread"}).status_code == 302
    assert cutter_client.post(address, {**sent, "note": "again"}).status_code == 400, (
        "the newest line is put right"
    )
    standing = [row.pk for log in cooler_page(at=now()) for row in log.readings]
    assert wrong.pk not in standing and wrong.corrected_by.pk in standing
    assert AuditLine.objects.filter(what="put a reading right", why="misread").count() == 1


def test_warm_air_and_a_gap_are_said() -> None:
    """Under 40 F for holding [University of Nebraska, beef.unl.edu, coolers], and no longer gap than the shop's own."""
    one = CoolerRoom.objects.create(name="Test room", log_every_hours=6)
    for hours_ago, air_c in ((30, 2.0), (24, 9.0), (18, 9.0), (4, 2.0)):
        read_room(one, at=now() - timedelta(hours=hours_ago), by=None, air_c=air_c)
    log = room_log(one, list(CoolerReading.objects.filter(room=one).order_by("at")), at=now())
    said = " ".join(finding.sentence() for finding in log.findings)
    assert "14.0 h without a reading" in said
    assert "9.0" in said or "48" in said, said
    assert log.due_hours == pytest.approx(4 - 6) and not log.is_due


def test_a_room_that_nobody_reads_is_due_and_one_without_a_log_is_not() -> None:
    kept = CoolerRoom.objects.create(name="Unread", log_every_hours=12)
    free = CoolerRoom.objects.create(name="Unlogged", log_every_hours=None)
    assert room_log(kept, [], at=now()).is_due
    assert not room_log(free, [], at=now()).is_due


def test_the_log_is_drawn_and_stands_in_a_table(owner_client: Client) -> None:
    text = owner_client.get(reverse("cooler")).content.decode()
    assert text.count("<svg") == CoolerRoom.objects.count()
    assert "holding range" in text and "CO2" in text, "cautions stand by the cold room"


def test_the_printed_log_holds_every_reading(owner_client: Client) -> None:
    pdfium = pytest.importorskip("pypdfium2")
    read_room(room(), at=now(), by=None, air_c=1.7, note="door stood open")
    answer = owner_client.get(reverse("cooler_log", args=[room().pk]), {"days": "7", "paper": "a4"})
    document = pdfium.PdfDocument(answer.content)
    text = "".join(page.get_textpage().get_text_range() for page in document)
    document.close()
    assert "door stood open" in text and "1.7 °C" in text and "35 °F" in text


@pytest.mark.parametrize("days", ["", "x", "-3", "0", "99999999999"])
def test_any_number_of_days_gives_a_log(owner_client: Client, days: str) -> None:
    assert owner_client.get(reverse("cooler_log", args=[room().pk]), {"days": days}).status_code == 200


def test_the_counter_may_read_the_cooler_but_not_change_the_log(counter_client: Client) -> None:
    wrong = read_room(room(), at=now(), by=None, air_c=22.0)
    assert counter_client.get(reverse("read_cooler", args=[room().pk])).status_code == 200
    assert counter_client.get(reverse("correct_reading", args=[wrong.pk])).status_code == 403
