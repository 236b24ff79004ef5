"""The cooler's log as a service and as what it says: kept once, put right once, judged by published limits."""

from __future__ import annotations

import uuid
from datetime import timedelta
from typing import Any

import pytest

from gambrel.hang.cooler import HOLDING_C
from gambrel.measures import CannotDo
from gambrel.measures.units import f_from_c
from gambrel.shop.clock import now
from gambrel.shop.records.models import AuditLine, CoolerReading, CoolerRoom, Person, Side, SideState
from gambrel.shop.records.selectors.cooler import RoomLog, cooler_page, room_log, rooms_now
from gambrel.shop.records.services.cooler import read_room

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demo_shop")]


def room(hours: float | None = 12.0, name: str = "Test room") -> CoolerRoom:
    return CoolerRoom.objects.create(name=name, log_every_hours=hours)


def readings(one: CoolerRoom, *air: tuple[float, float]) -> list[CoolerReading]:
    """Lines of (hours ago, air)."""
    return [read_room(one, at=now() - timedelta(hours=ago), by=None, air_c=air_c) for ago, air_c in air]


def log(one: CoolerRoom) -> RoomLog:
    rows = CoolerReading.objects.filter(room=one, corrected_by=None).order_by("at", "pk")
    return room_log(one, list(rows), at=now())


def said(one: CoolerRoom) -> str:
    return " ".join(finding.sentence() for finding in log(one).findings)


def test_a_line_sent_twice_is_kept_once_with_its_first_figures() -> None:
    one, key = room(), uuid.uuid4()
    first = read_room(one, at=now(), by=None, air_c=2.0, key=key)
    again = read_room(one, at=now(), by=None, air_c=9.0, key=key)
    assert first == again and CoolerReading.objects.get(key=key).air_c == 2.0


@pytest.mark.parametrize("probe", ["air_c", "carcass_c", "deep_c", "humidity_pct"])
def test_any_one_probe_makes_a_line(probe: str) -> None:
    line = read_room(room(), at=now(), by=None, **{probe: 3.0})
    assert getattr(line, probe) == 3.0
    others = {"air_c", "carcass_c", "deep_c", "humidity_pct"} - {probe}
    assert all(getattr(line, other) is None for other in others)


def test_nothing_read_is_no_line() -> None:
    one = room()
    with pytest.raises(CannotDo, match="at least one figure"):
        read_room(one, at=now(), by=None, note="looked in")
    assert not CoolerReading.objects.filter(room=one).exists()


def test_a_line_is_put_right_once_and_the_newest_again() -> None:
    one = room()
    wrong = read_room(one, at=now(), by=None, air_c=20.0)
    right = read_room(one, at=now(), by=None, air_c=12.0, corrects=wrong, note="misread")
    with pytest.raises(CannotDo, match="the newest line"):
        read_room(one, at=now(), by=None, air_c=3.0, corrects=wrong, note="again")
    last = read_room(one, at=now(), by=None, air_c=2.0, corrects=right, note="misread still")
    assert [row.pk for row in log(one).readings] == [last.pk]


def test_a_line_taken_out_says_nothing_any_more() -> None:
    one = room()
    (wrong,) = readings(one, (1, 25.0))
    assert log(one).out_of_line
    read_room(one, at=now(), by=None, corrects=wrong, note="of the other room")
    assert log(one).last is None and not log(one).out_of_line and log(one).findings == ()


def test_who_put_a_line_right_and_why_is_in_the_trail() -> None:
    one, cutter = room(), Person.objects.get(role="cutter")
    (wrong,) = readings(one, (1, 25.0))
    read_room(one, at=now(), by=cutter, air_c=2.5, corrects=wrong, note="misread")
    line = AuditLine.objects.get(what="put a reading right", record_id=str(one.pk))
    assert (line.before["air_c"], line.after["air_c"], line.why, line.by_name) == (
        25.0,
        2.5,
        "misread",
        cutter.name,
    )


@pytest.mark.parametrize(
    ("air_c", "out"),
    [(1.0, True), (1.2, False), (2.0, False), (3.3, False), (3.4, True), (4.4, True), (-2.0, True)],
)
def test_holding_is_from_34_to_38_fahrenheit(air_c: float, out: bool) -> None:
    """34 to 38 F [University of Nebraska, beef.unl.edu, coolers]; 34 F = 1.11 C, 38 F = 3.33 C."""
    one = room()
    readings(one, (1, air_c))
    assert [round(f_from_c(end)) for end in HOLDING_C] == [34, 38]
    assert log(one).out_of_line is out


@pytest.mark.parametrize(
    ("every_hours", "ago_hours", "due_hours"),
    [(12.0, 13.0, 1.0), (12.0, 12.0, 0.0), (12.0, 11.5, -0.5), (4.0, 30.0, 26.0)],
)
def test_a_reading_is_due_by_the_shops_own_plan(
    every_hours: float, ago_hours: float, due_hours: float
) -> None:
    one = room(every_hours)
    readings(one, (ago_hours, 2.0))
    assert log(one).due_hours == pytest.approx(due_hours)
    assert log(one).is_due is (due_hours >= 0)


@pytest.mark.parametrize("every_hours", [None])
def test_a_room_without_a_log_is_never_due(every_hours: float | None) -> None:
    one = room(every_hours)
    assert log(one).due_hours is None and not log(one).is_due


@pytest.mark.parametrize(
    ("every_hours", "air", "gap"),
    [
        (6.0, ((20, 2.0), (5, 2.0)), "15.0 h without a reading"),
        (6.0, ((10, 2.0), (5, 2.0)), ""),
        (24.0, ((20, 2.0), (5, 2.0)), ""),
        (2.0, ((9, 2.0), (6, 2.0), (5, 2.0)), "3.0 h without a reading"),
    ],
    ids=["a long gap", "no gap", "allowed", "one of two"],
)
def test_a_gap_is_longer_than_the_plan_allows(
    every_hours: float, air: tuple[tuple[float, float], ...], gap: str
) -> None:
    one = room(every_hours)
    readings(one, *air)
    assert (gap in said(one)) if gap else "without a reading" not in said(one)


def test_fahrenheit_filed_as_celsius_is_called_so_and_not_taken_for_heat() -> None:
    one = room(48.0)
    readings(one, (30, 2.0), (20, 36.0), (10, 2.0))
    assert "36" in said(one) and ("Fahrenheit" in said(one) or "F" in said(one))


def test_two_readings_make_a_picture_and_one_does_not() -> None:
    one = room()
    readings(one, (10, 2.0))
    assert log(one).picture == ""
    readings(one, (5, 2.5))
    assert log(one).picture.startswith("<svg")


def test_readings_of_one_moment_do_not_break_the_picture() -> None:
    one = room()
    readings(one, (10, 2.0), (10, 2.2), (5, 2.5))
    assert log(one).picture.startswith("<svg")
    assert log(one).findings, "two of one time are said"


def test_a_room_without_readings_is_shown_with_nothing() -> None:
    one = room()
    found = next(each for each in cooler_page(at=now()) if each.room == one)
    assert (found.readings, found.findings, found.picture, found.last) == ((), (), "", None)


def test_old_readings_are_not_on_the_page() -> None:
    one = room()
    readings(one, (24 * 8, 2.0), (5, 2.0))
    found = next(each for each in cooler_page(at=now(), days=7) if each.room == one)
    assert len(found.readings) == 1


def test_the_newest_reading_stands_first_in_the_table() -> None:
    one = room()
    readings(one, (10, 2.0), (5, 3.0), (1, 2.5))
    assert [row.air_c for row in log(one).readings] == [2.5, 3.0, 2.0]


def test_the_carcass_is_judged_only_while_a_side_chills() -> None:
    """Carcass at 40 F within 24 hours of the kill: a warm probe a week later is no slow chill."""
    one = room(48.0)
    read_room(one, at=now() - timedelta(hours=30), by=None, air_c=2.0, carcass_c=30.0)
    read_room(one, at=now() - timedelta(hours=2), by=None, air_c=2.0, carcass_c=30.0)
    rows = list(CoolerReading.objects.filter(room=one).order_by("at"))
    holding = room_log(one, rows, at=now())
    chilling = room_log(one, rows, at=now(), hung_at=now() - timedelta(hours=29))
    assert not any("carcass" in finding.where for finding in holding.findings), [
        one.sentence() for one in holding.findings
    ]
    assert len(chilling.findings) > len(holding.findings)


def test_rooms_come_in_the_order_they_were_made() -> None:
    first, second = room(name="Zebra"), room(name="Alder")
    names = [each.room for each in cooler_page(at=now())]
    assert names.index(first) < names.index(second)


def test_a_side_that_left_starts_no_chill() -> None:
    Side.objects.update(state=SideState.GONE)
    assert len(cooler_page(at=now())) == CoolerRoom.objects.count()


def test_a_room_in_one_line_says_what_its_log_says() -> None:
    """What today's page asks in one question, against the log of the cooler's page, reading by reading."""
    at = now()
    one = CoolerRoom.objects.order_by("pk")[0]
    for hours, air_c in ((9, 1.0), (5, 9.5), (1, 0.5)):
        read_room(one, at=at - timedelta(hours=hours), by=None, air_c=air_c)
    for _ in range(3):
        logs = {log.room.pk: log for log in cooler_page(at=at, days=2)}
        for short in rooms_now(at=at, days=2):
            log = logs.pop(short.room.pk)
            assert short.air_c == (log.last.air_c if log.last else None)
            assert (short.due_hours, short.is_due, short.out_of_line) == (
                log.due_hours,
                log.is_due,
                log.out_of_line,
            )
        assert logs == {}
        newest = CoolerReading.objects.filter(room=one, corrected_by=None, air_c__isnull=False).latest(
            "at", "pk"
        )
        read_room(one, at=newest.at, by=None, corrects=newest, note="should not be there")


def test_a_room_that_nobody_read_is_due_for_as_long_as_is_looked_back(
    django_assert_num_queries: Any,
) -> None:
    CoolerRoom.objects.create(name="New room", log_every_hours=12.0)
    quiet = CoolerRoom.objects.create(name="Store", log_every_hours=None)
    with django_assert_num_queries(1):
        found = {one.room.name: one for one in rooms_now(at=now(), days=2)}
    assert found["New room"].is_due and found["New room"].air_c is None and not found["New room"].out_of_line
    assert found[quiet.name].due_hours is None and not found[quiet.name].is_due
