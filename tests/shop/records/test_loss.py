"""What a side's own weighings teach about its loss on the rail, and which of them teach nothing."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from decimal import Decimal
from uuid import uuid4

import pytest

from gambrel.plan.week import Hanging
from gambrel.shop.records.loss import days_hung, learned_loss, weighings_of, whole_days
from gambrel.shop.records.models import Person, ShopProfile, Side, Weighing
from gambrel.shop.records.selectors.forecast_ways import side_on_rail
from gambrel.shop.records.services.rail import weigh

HUNG_AT = datetime(2026, 3, 2, 18, tzinfo=UTC)


@pytest.fixture
def side(demo_shop: object) -> Side:
    """A side of 200 kg, hung on 2 March; what the invented shop weighed of it is taken out."""
    found = Side.objects.select_related("animal").get(animal__tag="C1", half="left")
    for line in weighings_of([found]).get(found.pk, []):
        weigh(
            found,
            weight_kg=line.weight_kg,
            typed=line.typed,
            at=line.at,
            by=None,
            corrects=line,
            taken_out=True,
        )
    found.hung_at = HUNG_AT
    found.hot_kg = Decimal("200.000")
    found.save()
    return found


@pytest.fixture
def hanging(side: Side) -> Hanging:
    return side_on_rail(side, ShopProfile.objects.get(), []).hanging


def weighed(side: Side, days: float, weight_kg: str, corrects: Weighing | None = None) -> Weighing:
    return weigh(side, weight_kg=Decimal(weight_kg), typed=f"{weight_kg} kg", at=HUNG_AT + timedelta(days=days),
                 by=Person.objects.get(role="cutter"), key=uuid4(), corrects=corrects)  # fmt: skip


def test_lines_that_were_taken_out_do_not_stand(side: Side) -> None:
    assert weighings_of([side]) == {}


def test_lines_stand_in_the_order_they_were_weighed(side: Side) -> None:
    late, early = weighed(side, 5, "194.0"), weighed(side, 2, "196.0")
    assert weighings_of([side]) == {side.pk: [early, late]}


def test_a_line_put_right_gives_way_to_the_newest(side: Side) -> None:
    first = weighed(side, 2, "169.0")
    second = weighed(side, 2, "196.6", corrects=first)
    third = weighed(side, 2, "196.0", corrects=second)
    assert weighings_of([side]) == {side.pk: [third]}


def test_weighings_of_other_sides_are_apart(side: Side) -> None:
    fellow = Side.objects.get(animal=side.animal, half="right")
    of_fellow = weighings_of([fellow]).get(fellow.pk, [])
    mine = weighed(side, 2, "196.0")
    assert weighings_of([side, fellow]) == {side.pk: [mine], fellow.pk: of_fellow}


def test_days_are_counted_from_the_hot_scale(side: Side) -> None:
    assert days_hung(side, HUNG_AT) == 0.0
    assert days_hung(side, HUNG_AT + timedelta(hours=36)) == 1.5


def test_whole_days_never_run_backwards(hanging: Hanging) -> None:
    assert whole_days(hanging, date(2026, 3, 9)) == 7  # killed on 2 March
    assert whole_days(hanging, date(2026, 2, 1)) == 0


def test_without_weighings_the_tables_speak(side: Side, hanging: Hanging) -> None:
    assert learned_loss(side, hanging, []) == hanging.loss(200.0)


def test_a_heavier_weighing_means_less_lost(side: Side, hanging: Hanging) -> None:
    """Between belief and scale, and surer than before."""
    before = hanging.loss(200.0)
    usual = before.remaining_mean(5.0)
    heavy_kg = 200.0 * usual + 1.5
    after = learned_loss(side, hanging, [weighed(side, 5, f"{heavy_kg:.1f}")])
    assert after.weighings == 1
    assert usual < after.remaining_mean(5.0) < heavy_kg / 200.0 + 1e-4
    assert after.remaining_sd(5.0) < before.remaining_sd(5.0)


@pytest.mark.parametrize(
    ("days", "weight_kg"),
    [(3, "430.0"), (3, "88.5"), (3, "390.0"), (3, "97.0"), (3, "206.0"), (300, "150.0")],
    ids=[
        "pounds",
        "kilograms as pounds",
        "both sides",
        "a quarter",
        "heavier than hot",
        "beyond the figures",
    ],
)
def test_what_cannot_be_true_teaches_nothing(side: Side, hanging: Hanging, days: int, weight_kg: str) -> None:
    wrong = weighed(side, days, weight_kg)
    assert learned_loss(side, hanging, [wrong]) == hanging.loss(200.0)
    good = weighed(side, 4, "195.0")
    assert learned_loss(side, hanging, [wrong, good]) == learned_loss(side, hanging, [good])
