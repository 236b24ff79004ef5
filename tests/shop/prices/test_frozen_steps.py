"""What is sold of a product out of the freezer: typed on its page, kept, shown, refused, and left alone by the list."""

from __future__ import annotations

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from gambrel.measures.units import KG_PER_LB
from gambrel.shop.records.models import AuditLine, Demand, Person
from gambrel.shop.records.services.prices import save_demand

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demo_shop")]

FROZEN = {"frozen_upto": "10 lb", "frozen_price": "8.49", "frozen_kept": "5/lb"}


def demand() -> Demand:
    return Demand.objects.get(slug="ribeye-steak", group="grain-finished")


def send(client: Client, **changes: str) -> Any:
    """What the product's page holds, with some boxes changed, as a browser sends it."""
    address = reverse("price_step", args=[demand().pk])
    held = {field.html_name: field.value() for field in client.get(address).context["form"]}
    return client.post(address, {key: value for key, value in held.items() if value is not None} | changes)


def test_it_is_kept_beside_the_steps_of_the_counter(owner_client: Client) -> None:
    steps = demand().steps
    assert send(owner_client, **FROZEN).status_code == 302
    row = demand()
    assert row.frozen_upto_kg == pytest.approx(10 * KG_PER_LB, abs=0.0006)
    assert row.frozen_price_cents_per_kg * KG_PER_LB == pytest.approx(849)
    assert row.frozen_kept_cents_per_kg * KG_PER_LB == pytest.approx(500)
    assert [step["upto_kg"] for step in row.steps] == pytest.approx(
        [step["upto_kg"] for step in steps], rel=1e-3
    )
    line = AuditLine.objects.latest("pk")
    assert "frozen_upto_kg" not in line.before and line.after["frozen_upto_kg"] == row.frozen_upto_kg


def test_it_is_shown_and_taken_back(owner_client: Client) -> None:
    address = reverse("price_steps") + "?group=grain-finished"
    assert "out of the freezer" not in owner_client.get(address).content.decode()
    send(owner_client, **FROZEN)
    assert "out of the freezer" in owner_client.get(address).content.decode()
    Person.objects.filter(role="owner").update(language="es", weight_unit="kg")
    assert "del congelador" in owner_client.get(address).content.decode()
    assert "4.536 kg" in owner_client.get(reverse("price_step", args=[demand().pk])).content.decode()
    assert send(owner_client, frozen_upto="", frozen_price="", frozen_kept="").status_code == 302
    assert (demand().frozen_upto_kg, demand().frozen_kept_cents_per_kg) == (None, 0.0)


@pytest.mark.parametrize(
    ("changed", "told"),
    [
        ({"frozen_price": ""}, "frozen_price"),
        ({"frozen_upto": ""}, "frozen_upto"),
        ({"frozen_upto": "", "frozen_price": ""}, "frozen_upto"),
        ({"frozen_upto": "0 lb"}, "frozen_upto"),
        ({"frozen_price": "-1"}, "frozen_price"),
        ({"frozen_kept": "five"}, "frozen_kept"),
    ],
)
def test_half_of_it_is_refused_by_its_box(owner_client: Client, changed: dict[str, str], told: str) -> None:
    answer = send(owner_client, **{**FROZEN, **changed})
    assert answer.status_code == 400 and list(answer.context["form"].errors) == [told]
    assert demand().frozen_upto_kg is None


def test_who_does_not_speak_of_it_leaves_it(owner_client: Client) -> None:
    """A list of prices, or a table without these columns, changes the counter's steps alone."""
    send(owner_client, **FROZEN)
    row, before = demand(), demand().frozen_upto_kg
    fields = {"slug": row.slug, "steps": [(5.0, 4000.0)], "shelf_days": 4, "salvage_cents_per_kg": 0.0,
              "lean_pct": None}  # fmt: skip
    save_demand(fields, kinds=row.kinds, by=None, demand=row)
    assert demand().frozen_upto_kg == before and demand().shelf_days == 4
