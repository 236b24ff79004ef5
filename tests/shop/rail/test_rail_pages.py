"""The rail in a browser: hang, weigh, put right, move, take down; slips are told all at once and nothing is lost."""

from __future__ import annotations

import uuid
from datetime import timedelta
from decimal import Decimal

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from gambrel.measures import CannotDo
from gambrel.shop.clock import now, today
from gambrel.shop.records.models import Animal, AuditLine, Person, Rail, ShopProfile, Side, SideMove, Weighing
from gambrel.shop.records.selectors.rail import rail_page, side_lines, side_page
from gambrel.shop.records.services.animals import free_places
from gambrel.shop.records.services.rail import weigh
from gambrel.shop.records.week import sides_on_rail

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demo_shop")]

NEW = {"tag": "B9", "kind": "bison", "sex": "bull", "killed_on": "2026-03-08", "hot_left": "352 lb",
       "hot_right": "161.2kg", "inspected": "federal", "basis": "head", "amount": "$1,900.00", "kill_fee": "125",
       "supplier": "Our own herd", "age_months": "30"}  # fmt: skip


def hanging(tag: str = "C1", half: str = "left") -> Side:
    return Side.objects.select_related("animal").get(animal__tag=tag, half=half)


def test_an_animal_is_hung_with_everything_on_one_form(cutter_client: Client) -> None:
    back_rail = Rail.objects.get(name="Short rail")
    answer = cutter_client.post(reverse("hang_animal"), {**NEW, "rail": str(back_rail.pk)})
    assert answer.status_code == 302, answer.context and answer.context["form"].errors
    animal = Animal.objects.get(tag="B9")
    left, right = animal.sides.order_by("half")
    # 352 lb x 0.45359237 = 159.664514 kg, kept to the gram
    assert (left.hot_kg, right.hot_kg) == (Decimal("159.665"), Decimal("161.200"))
    assert (animal.bill.paid_cents, animal.bill.kill_fee_cents) == (190_000, 12_500)
    assert left.rail == right.rail == back_rail
    assert abs(left.position_mm - right.position_mm) >= ShopProfile.objects.get().rail_per_side_mm
    assert AuditLine.objects.filter(what="hung").count() >= 2


def test_every_slip_of_a_new_animal_is_told_at_once_and_nothing_is_kept(cutter_client: Client) -> None:
    wrong = {**NEW, "sex": "heifer-bull", "hot_left": "352 stone", "killed_on": "2027-01-01", "inspected": "custom",
             "kill_fee": "-5", "age_months": "0"}  # fmt: skip
    answer = cutter_client.post(reverse("hang_animal"), wrong)
    assert answer.status_code == 400
    assert set(answer.context["form"].errors) >= {
        "sex",
        "hot_left",
        "killed_on",
        "owner_name",
        "kill_fee",
        "age_months",
    }
    assert not Animal.objects.filter(tag="B9").exists()
    assert 'value="352 stone"' in answer.content.decode(), "what was typed is still there"


def test_a_tag_that_is_taken_and_a_bill_that_cannot_be_are_told_together(cutter_client: Client) -> None:
    wrong = {**NEW, "tag": "b1", "basis": "live", "live_weight": "300 lb", "price": "2.05/lb"}
    answer = cutter_client.post(reverse("hang_animal"), wrong)
    assert answer.status_code == 400
    assert [one.where for one in answer.context["found"]] == ["tag", "live weight"]


def test_one_side_may_come_alone(cutter_client: Client) -> None:
    assert cutter_client.post(reverse("hang_animal"), {**NEW, "hot_right": ""}).status_code == 302
    assert [side.half for side in Animal.objects.get(tag="B9").sides.all()] == ["left"]


def test_a_bare_number_is_in_the_persons_own_unit(cutter_client: Client) -> None:
    assert cutter_client.post(reverse("hang_animal"), {**NEW, "hot_left": "352"}).status_code == 302
    assert hanging("B9").hot_kg == Decimal("159.665"), "Teodoro reads pounds"


def test_weighing_keeps_the_digits_and_sending_twice_keeps_one(cutter_client: Client) -> None:
    side = hanging()
    typed = f"{float(side.hot_kg) * 0.975:.1f} kg"
    sent = {"weight": typed, "at": "2026-03-09T08:00", "key": str(uuid.uuid4())}
    before = Weighing.objects.filter(side=side).count()
    for _ in range(2):
        assert cutter_client.post(reverse("weigh_side", args=[side.pk]), sent).status_code == 302
    line = Weighing.objects.filter(side=side).latest("pk")
    assert Weighing.objects.filter(side=side).count() == before + 1
    assert (line.typed, str(line.weight_kg.normalize())) == (typed, typed.split()[0].rstrip("0").rstrip("."))


def test_pounds_typed_as_kilograms_are_asked_about_before_they_are_kept(cutter_client: Client) -> None:
    side = hanging()
    in_lb = f"{float(side.hot_kg) * 0.975 / 0.45359237:.1f} kg"
    sent = {"weight": in_lb, "at": "2026-03-09T08:00", "key": str(uuid.uuid4())}
    before = Weighing.objects.count()
    asked = cutter_client.post(reverse("weigh_side", args=[side.pk]), sent)
    assert asked.status_code == 400 and Weighing.objects.count() == before
    assert "pounds typed as kilograms" in asked.content.decode()
    without_why = cutter_client.post(reverse("weigh_side", args=[side.pk]), {**sent, "anyway": "on"})
    assert without_why.status_code == 400
    kept = cutter_client.post(
        reverse("weigh_side", args=[side.pk]), {**sent, "anyway": "on", "why": "wet hide left on"}
    )
    assert kept.status_code == 302 and Weighing.objects.latest("pk").why == "wet hide left on"


def test_a_wrong_weight_is_put_right_and_stays_to_be_seen(cutter_client: Client) -> None:
    side = hanging()
    wrong = weigh(side, weight_kg=side.hot_kg - 30, typed="no", at=now(), by=None)
    right = f"{float(side.hot_kg) * 0.97:.1f} kg"
    sent = {"weight": right, "at": "2026-03-09T08:00", "why": "read upside down"}
    assert cutter_client.post(reverse("correct_weighing", args=[wrong.pk]), sent).status_code == 302
    page = side_page(side, on=today())
    assert [one.pk for one in page.weighings if one.pk == wrong.pk], "the old line is still listed"
    assert wrong.corrected_by.typed == right
    again = cutter_client.post(reverse("correct_weighing", args=[wrong.pk]), sent)
    assert again.status_code == 400, "a line is put right once; the newest is the one to change"


def test_a_weight_is_taken_out_only_with_a_reason(cutter_client: Client) -> None:
    side = hanging()
    wrong = weigh(side, weight_kg=side.hot_kg, typed="x", at=now(), by=None)
    address = reverse("correct_weighing", args=[wrong.pk])
    assert cutter_client.post(address, {"take_out": "on", "at": "2026-03-09T08:00"}).status_code == 400
    assert (
        cutter_client.post(
            address, {"take_out": "on", "at": "2026-03-09T08:00", "why": "other side"}
        ).status_code
        == 302
    )
    lines = side_lines([side], on=today())
    assert (
        lines[0].weighings == Weighing.objects.filter(side=side, corrected_by=None, taken_out=False).count()
    )


def test_the_sides_own_weighings_narrow_its_weight_today() -> None:
    side = hanging("G1")
    unweighed = side_lines([side], on=today())[0].today_kg
    weigh(side, weight_kg=side.hot_kg * Decimal("0.970"), typed="x", at=now(), by=None)
    weighed = side_lines([side], on=today())[0].today_kg
    assert unweighed is not None and weighed is not None
    assert weighed.p95 - weighed.p05 < unweighed.p95 - unweighed.p05


def test_a_side_is_moved_to_the_first_free_place_or_where_it_is_told(cutter_client: Client) -> None:
    side, rail = hanging(), Rail.objects.get(name="Short rail")
    assert cutter_client.post(reverse("move_side", args=[side.pk]), {"rail": rail.pk}).status_code == 302
    side.refresh_from_db()
    assert side.rail == rail and SideMove.objects.filter(side=side).latest("pk").rail == rail
    assert (
        cutter_client.post(
            reverse("move_side", args=[side.pk]), {"rail": rail.pk, "place_m": "99"}
        ).status_code
        == 400
    )


def test_a_full_rail_is_said() -> None:
    rail = Rail.objects.get(name="Short rail")
    places = free_places(rail, 1, 600)
    assert places[0] is not None
    with pytest.raises(CannotDo, match="free places"):
        free_places(rail, 20, 600)


def test_a_side_that_leaves_whole_needs_a_reason(cutter_client: Client) -> None:
    side = hanging()
    address = reverse("take_down", args=[side.pk])
    assert cutter_client.post(address, {"state": "gone"}).status_code == 400
    assert (
        cutter_client.post(address, {"state": "gone", "why": "condemned by the inspector"}).status_code == 302
    )
    side.refresh_from_db()
    assert (side.state, side.rail) == ("gone", None)


def test_every_hanging_side_is_drawn_and_listed(owner_client: Client) -> None:
    text = owner_client.get(reverse("rail")).content.decode()
    names = [str(side) for side in Side.objects.filter(state="hanging").select_related("animal")]
    assert all(text.count(name) >= 2 for name in names), "in the picture and in the table"


def test_the_window_is_that_of_the_kind() -> None:
    line = next(one for one in side_lines(sides_on_rail(), on=today()) if one.name == "B1-left")
    killed = line.side.animal.killed_on
    assert line.window is not None and line.window.target == killed + timedelta(days=7), (
        "bison hang about 7 days"
    )


def test_the_number_of_questions_does_not_grow_with_the_sides(cutter_client: Client) -> None:
    shop = ShopProfile.objects.get()
    with CaptureQueriesContext(connection) as few:
        rail_page(shop, on=today())
    for number in range(12):
        animal = Animal.objects.create(tag=f"N{number}", kind="bison", sex="bull", killed_on=today())
        Side.objects.create(animal=animal, half="left", hot_kg=Decimal("150"), hung_at=now())
    with CaptureQueriesContext(connection) as many:
        rail_page(shop, on=today())
    assert len(many) == len(few) <= 10


def test_the_counter_looks_but_does_not_weigh(counter_client: Client) -> None:
    assert counter_client.get(reverse("rail")).status_code == 200
    assert counter_client.post(reverse("weigh_side", args=[hanging().pk]), {}).status_code == 403


def test_the_picture_speaks_the_language_of_whoever_looks(cutter_client: Client) -> None:
    """The window in it is that of the kind: bison from day 5 to 10 (common practice)."""
    Person.objects.update(language="en")
    english = cutter_client.get(reverse("rail")).content.decode()
    Person.objects.update(language="es")
    spanish = cutter_client.get(reverse("rail")).content.decode()
    assert "ready from day 5 to 10" in english
    assert "lista del día 5 al 10" in spanish and "ready from day" not in spanish
