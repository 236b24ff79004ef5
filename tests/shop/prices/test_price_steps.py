"""What the counter takes at which price: shown, changed, added, taken out, and what is refused."""

from __future__ import annotations

import pytest
from django.test import Client
from django.urls import reverse

from gambrel.measures import CannotDo
from gambrel.measures.units import KG_PER_LB
from gambrel.shop.records.models import AuditLine, Demand, Person
from gambrel.shop.records.services.prices import save_demand, whole_cents

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demo_shop")]

NEW = {"slug": "outside-skirt", "kinds": ["wagyu"], "lean_pct": "", "shelf_days": "6", "salvage": "5/lb",
       "upto-1": "10 lb", "price-1": "24.99", "upto-2": "20 lb", "price-2": "$19.99/lb"}  # fmt: skip


def test_a_product_is_added_and_planned_with(owner_client: Client) -> None:
    Demand.objects.filter(slug="outside-skirt", group="wagyu").delete()
    assert owner_client.post(reverse("new_price_step"), NEW).status_code == 302
    made = Demand.objects.get(slug="outside-skirt", group="wagyu")
    assert made.kinds == ["wagyu"]
    assert [step["upto_kg"] for step in made.steps] == pytest.approx(
        [10 * KG_PER_LB, 20 * KG_PER_LB], abs=0.0006
    )
    prices = [step["price_cents_per_kg"] * KG_PER_LB for step in made.steps]
    assert prices == pytest.approx([2499, 1999])
    assert made.salvage_cents_per_kg * KG_PER_LB == pytest.approx(500)
    assert AuditLine.objects.latest("pk").what == "added what sells"


@pytest.mark.parametrize(
    "wrong",
    [
        {"price-2": "29.99"},
        {"upto-2": "9 lb"},
        {"salvage": "22/lb"},
        {"upto-2": ""},
        {"price-1": ""},
        {"kinds": []},
        {"slug": "antlers"},
        {"shelf_days": "-1"},
        {"upto-1": "ten"},
        {"lean_pct": "50"},
    ],
    ids=lambda wrong: next(iter(wrong.items())).__str__(),
)
def test_what_cannot_be_planned_with_is_refused_and_stays_typed(
    owner_client: Client, wrong: dict[str, object]
) -> None:
    """Prices fall, amounts rise, and what is ground has at most 30 % fat."""
    Demand.objects.filter(slug="outside-skirt", group="wagyu").delete()
    before = Demand.objects.count()
    answer = owner_client.post(reverse("new_price_step"), {**NEW, **wrong})
    assert answer.status_code == 400
    assert answer.context["findings"] or answer.context["form"].errors
    assert Demand.objects.count() == before
    if "price-1" not in wrong:
        assert 'value="24.99"' in answer.content.decode()


def test_the_page_shows_the_steps_as_they_would_be_typed(owner_client: Client) -> None:
    demand = Demand.objects.filter(lean_pct=None).first()
    assert demand is not None
    form = owner_client.get(reverse("price_step", args=[demand.pk])).context["form"]
    first = demand.steps[0]
    assert form.initial["price-1"] == f"${first['price_cents_per_kg'] * KG_PER_LB / 100:.2f}/lb"
    assert form.initial["upto-1"].endswith(" lb")


def test_a_change_keeps_the_product_and_its_group(owner_client: Client) -> None:
    demand = (
        Demand.objects.filter(lean_pct=None, group="cattle").first()
        or Demand.objects.filter(lean_pct=None).first()
    )
    assert demand is not None
    url = reverse("price_step", args=[demand.pk])
    form = owner_client.get(url).context["form"]
    data = {name: value for name, value in form.initial.items() if value is not None}
    assert owner_client.post(url, {**data, "shelf_days": "9"}).status_code == 302
    after = Demand.objects.get(pk=demand.pk)
    assert (after.slug, after.group, after.shelf_days) == (demand.slug, demand.group, 9)
    assert after.steps[0]["price_cents_per_kg"] == pytest.approx(
        demand.steps[0]["price_cents_per_kg"], rel=1e-3
    )


def test_a_product_is_listed_once(owner_client: Client) -> None:
    demand = Demand.objects.filter(lean_pct=None).first()
    assert demand is not None
    answer = owner_client.post(reverse("new_price_step"), {**NEW, "slug": demand.slug, "kinds": demand.kinds})
    assert answer.status_code == 400
    assert "there already" in answer.content.decode()


def test_a_ground_product_is_of_one_species() -> None:
    figures = {"slug": "ground-beef-80", "steps": [(10.0, 1500.0)], "shelf_days": 3, "salvage_cents_per_kg": 0.0,
               "lean_pct": 80.0}  # fmt: skip
    with pytest.raises(CannotDo, match="species"):
        save_demand(figures, kinds=["bison", "wagyu"], by=None)


def test_taken_out_the_trail_keeps_what_it_was(owner_client: Client) -> None:
    demand = Demand.objects.first()
    assert demand is not None
    owner_client.post(reverse("remove_price_step", args=[demand.pk]))
    assert not Demand.objects.filter(pk=demand.pk).exists()
    audit = AuditLine.objects.latest("pk")
    assert audit.by == Person.objects.get(role="owner")
    assert audit.before is not None and audit.before["steps"] == demand.steps


def test_the_counter_changes_no_steps(counter_client: Client) -> None:
    assert counter_client.get(reverse("price_steps")).status_code == 403
    assert counter_client.post(reverse("new_price_step"), NEW).status_code == 403


@pytest.mark.parametrize(("cents_per_kg", "sold_by", "label"), [(2755.6, "lb", 1250), (2755.6, "kg", 2756),
                                                                (2754.0, "lb", 1249)])  # fmt: skip
def test_a_sign_says_whole_cents(cents_per_kg: float, sold_by: str, label: int) -> None:
    """27.556/kg is 12.4992/lb (a pound is 0.45359237 kg)."""
    kg = KG_PER_LB if sold_by == "lb" else 1.0
    assert whole_cents(cents_per_kg, sold_by=sold_by) * kg == pytest.approx(label)
