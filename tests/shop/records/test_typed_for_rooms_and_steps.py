"""Forms of rooms, rails and price steps: what is typed at their edges, in both units."""

from __future__ import annotations

from typing import Any

import pytest

from gambrel.shop.pages.prices.forms import SetForm, StepsForm
from gambrel.shop.pages.setup.forms import RailForm, RoomForm
from gambrel.shop.records.models import CoolerRoom

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demo_shop")]

KG_A_LB = 0.45359237
"""Exact: International yard and pound agreement, 1959."""


def steps(*, unit: str = "kg", **said: Any) -> StepsForm:
    whole = {"slug": "ribeye-roll", "kinds": ["bison"], "shelf_days": "5", "upto-1": "10", "price-1": "50"}
    return StepsForm(whole | said, unit=unit, kinds=[("bison", "Bison")])


@pytest.mark.parametrize(
    ("unit", "said", "kept"),
    [
        ("kg", {}, [(10.0, 5000.0)]),
        ("lb", {}, [(10 * KG_A_LB, 5000 / KG_A_LB)]),
        ("lb", {"upto-1": "10 kg", "price-1": "$50/kg"}, [(10.0, 5000.0)]),
        ("kg", {"upto-2": "25", "price-2": "40"}, [(10.0, 5000.0), (25.0, 4000.0)]),
        ("kg", {"upto-3": "25", "price-3": "40"}, [(10.0, 5000.0), (25.0, 4000.0)]),
        ("kg", {"upto-1": "10,5"}, [(10.5, 5000.0)]),
    ],
)
def test_steps_are_kept_in_kilograms(
    unit: str, said: dict[str, str], kept: list[tuple[float, float]]
) -> None:
    form = steps(unit=unit, **said)
    assert form.is_valid(), form.errors
    assert [upto for upto, _ in form.figures()["steps"]] == pytest.approx(
        [upto for upto, _ in kept], abs=0.0006
    )
    assert [price for _, price in form.figures()["steps"]] == pytest.approx([price for _, price in kept])


@pytest.mark.parametrize(
    ("field", "said"),
    [
        ("price-2", {"upto-2": "25"}),
        ("price-2", {"price-2": "40"}),
        ("upto-1", {"upto-1": "0"}),
        ("upto-1", {"upto-1": ""}),
        ("price-1", {"price-1": "-1"}),
        ("price-1", {"price-1": "100001"}),
        ("shelf_days", {"shelf_days": "366"}),
        ("shelf_days", {"shelf_days": "1.5"}),
        ("lean_pct", {"lean_pct": "101"}),
        ("lean_pct", {"lean_pct": "nan"}),
        ("slug", {"slug": "no-such-cut"}),
        ("kinds", {"kinds": []}),
        ("kinds", {"kinds": ["goat"]}),
        ("salvage", {"salvage": "some"}),
    ],
)
def test_a_step_that_cannot_be_is_told_by_its_box(field: str, said: dict[str, Any]) -> None:
    form = steps(**said)
    assert not form.is_valid() and list(form.errors) == [field]


@pytest.mark.parametrize(
    ("note", "holds"), [("", True), ("x" * 200, True), ("x" * 201, False), ("\x00", False)]
)
def test_a_note_is_of_two_hundred_letters(note: str, holds: bool) -> None:
    assert SetForm({"note": note}).is_valid() == holds


@pytest.mark.parametrize(
    ("hours", "holds"),
    [
        ("", True),
        ("0.5", True),
        ("168", True),
        ("0.4", False),
        ("168.1", False),
        ("-1", False),
        ("nan", False),
    ],
)
def test_a_room_is_read_within_a_week(hours: str, holds: bool) -> None:
    assert RoomForm({"name": "Far room", "log_every_hours": hours}).is_valid() == holds


def test_a_room_keeps_its_own_name_and_takes_no_other_s() -> None:
    room = CoolerRoom.objects.all()[0]
    assert RoomForm({"name": f" {room.name} "}, room=room).is_valid()
    assert not RoomForm({"name": room.name.upper()}).is_valid()


@pytest.mark.parametrize(
    ("unit", "typed", "mm"),
    [("ft", "20", 6096), ("m", "4.2", 4200), ("m", "4,2", 4200), ("ft", "4.2 m", 4200), ("m", "300 mm", 300),
     ("m", "100", 100_000), ("m", "0.29", None), ("m", "100.1", None), ("m", "long", None), ("m", "5 kg", None)],
)  # fmt: skip
def test_a_rail_is_kept_in_millimetres(unit: str, typed: str, mm: int | None) -> None:
    """A foot is 304.8 mm; a rail is 0.3 m to 100 m."""
    form = RailForm({"name": "Rail Z", "length": typed}, unit=unit, room=CoolerRoom.objects.all()[0])
    assert form.is_valid() == (mm is not None)
    if mm is not None:
        assert form.changes() == {"name": "Rail Z", "warmer_c": 0.0, "length_mm": mm}
