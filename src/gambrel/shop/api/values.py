"""What travels: values in metric units that the names say. What is outside its bounds is refused."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from typing import Annotated, Any
from uuid import UUID

from ninja import Schema
from pydantic import AfterValidator, AwareDatetime, Field

from gambrel.measures import Finding
from gambrel.shop.clock import now

LARGEST_ID = 2**63 - 1
Id = Annotated[int, Field(ge=1, le=LARGEST_ID)]
Kilograms = Annotated[
    float, Field(ge=0.001, le=1000, allow_inf_nan=False, description="Weight [kg], to the gram.")
]
Tare = Annotated[float, Field(ge=0, le=100, allow_inf_nan=False, description="Tare taken off already [kg].")]
Celsius = Annotated[float, Field(ge=-60, le=60, allow_inf_nan=False)]
Slug = Annotated[
    str, Field(max_length=60, pattern="^[a-z0-9]+(-[a-z0-9]+)*$", description="A piece of the catalogue.")
]
Line = Annotated[str, Field(max_length=200, pattern=r"^[^\x00-\x1f\x7f]*$")]
Said = Annotated[
    str,
    Field(min_length=1, max_length=200, pattern=r"^[^\x00-\x1f\x7f]*[^\x00-\x20\x7f][^\x00-\x1f\x7f]*$"),
]
"""One line with more than blanks in it."""
Typed = Annotated[
    str, Field(max_length=30, pattern=r"^[^\x00-\x1f\x7f]*$", description="What the scale showed.")
]
Key = Annotated[
    UUID, Field(description="Made by the sender, new for each line. Sent again, nothing is stored twice.")
]


def _usual(at: datetime) -> datetime:
    if not datetime(2000, 1, 1, tzinfo=UTC) <= at <= now() + timedelta(hours=1):
        raise ValueError("a time between the year 2000 and now")
    return at.astimezone(UTC)


At = Annotated[AwareDatetime, AfterValidator(_usual)]
"""When it happened, with its offset; not to come."""


def decimal_kg(weight_kg: float) -> Decimal:
    """To the gram, as the records keep it."""
    return Decimal(f"{weight_kg:.3f}")


class FindingOut(Schema):
    where: str
    given: str
    wanted: str
    do: str


class Refusal(Schema):
    """Why something was not done: all that is wrong, at once."""

    findings: list[FindingOut]

    @classmethod
    def of(cls, *findings: Finding) -> dict[str, Any]:
        return {"findings": [finding.as_json() for finding in findings]}


class SideOut(Schema):
    id: int
    name: str
    animal: str
    kind: str
    half: str
    hot_kg: float
    hung_at: datetime
    room: str | None
    rail: str | None
    position_mm: int | None


class WeightIn(Schema):
    key: Key
    weight_kg: Kilograms
    typed: Typed = ""
    at: At | None = None


class WeighingOut(Schema):
    id: int
    key: UUID
    side_id: int
    weight_kg: float
    typed: str
    at: datetime


class RoomOut(Schema):
    id: int
    name: str


class CoolerIn(Schema):
    key: Key
    at: At | None = None
    air_c: Celsius | None = None
    carcass_c: Celsius | None = None
    deep_c: Celsius | None = None
    humidity_pct: Annotated[float, Field(ge=0, le=100, allow_inf_nan=False)] | None = None
    note: Line = ""


class CoolerOut(Schema):
    id: int
    key: UUID
    room_id: int
    at: datetime
    air_c: float | None
    carcass_c: float | None
    deep_c: float | None
    humidity_pct: float | None
    note: str


class CuttingOut(Schema):
    id: int
    side_id: int
    side: str
    begun_at: datetime
    begun_kg: float
    ended_at: datetime | None


class PieceIn(Schema):
    key: Key
    slug: Slug
    weight_kg: Kilograms
    tare_kg: Tare = 0.0
    typed: Typed = ""


class CorrectionIn(Schema):
    """Instead of a line that was wrong; with `taken_out` the line should not be there at all."""

    key: Key
    why: Said
    taken_out: bool = False
    slug: Slug | None = None
    weight_kg: Kilograms | None = None
    tare_kg: Tare = 0.0
    typed: Typed = ""


class PieceOut(Schema):
    id: int
    key: UUID
    cutting_id: int
    slug: str
    weight_kg: float
    tare_kg: float
    typed: str
    at: datetime
    device: str
    corrects_id: int | None
    taken_out: bool
    why: str


class PriceOut(Schema):
    slug: str
    group: str
    price_cents_per_kg: float
    cost_cents_per_kg: float | None
    by_hand: bool


class PricesOut(Schema):
    """The price list that holds; none was set yet where `at` is null."""

    at: datetime | None
    prices: list[PriceOut]


class PlannedOut(Schema):
    side_id: int
    side: str
    weight_kg: float
    ways: dict[str, str]


class DayOut(Schema):
    """What the accepted plan says of a day; no plan was accepted where `plan_id` is null."""

    day: date
    plan_id: int | None
    sides: list[PlannedOut]


class OrderIn(Schema):
    """An order taken elsewhere; `kinds` are the slugs of the kinds it may be cut from."""

    key: Key
    customer: Annotated[Said, Field(max_length=80)]
    slug: Slug
    kinds: Annotated[list[Slug], Field(min_length=1, max_length=20)]
    weight_kg: Kilograms
    by_day: date
    price_cents_per_kg: Annotated[float, Field(ge=0, le=1_000_000, allow_inf_nan=False)]
    must: bool = True
    shelf_days: Annotated[int, Field(ge=0, le=365)] = 5
    out_of_state: bool = False


class OrderOut(Schema):
    id: int
    code: str
    customer: str | None
    slug: str
    group: str
    weight_kg: float
    by_day: date
    price_cents_per_kg: float
    must: bool
    state: str
