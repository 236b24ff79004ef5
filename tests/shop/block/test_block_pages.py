"""The block as a cutter meets it: whose turn it is, beginning, weighing, doubts, undo, putting right, the end."""

from __future__ import annotations

import re
from decimal import Decimal
from uuid import uuid4

import pytest
from django.test import Client
from django.urls import reverse
from django.utils.html import strip_tags
from django.utils.translation import override

from gambrel.files.sheets.cautions import CUTTING
from gambrel.measures.scale import read_scale
from gambrel.measures.units import KG_PER_LB, NotAQuantity
from gambrel.shop.core_words import in_words_of_page
from gambrel.shop.records.models import (
    Animal,
    AuditLine,
    Cutting,
    Person,
    ScaleWeight,
    ShopProfile,
    Side,
    SideState,
    Weighing,
)  # fmt: skip
from gambrel.shop.records.selectors.block import cutting_page
from gambrel.shop.records.services import block as service

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demo_shop")]


@pytest.fixture(autouse=True)
def in_english(demo_shop: None) -> None:
    """The invented shop's cutter reads Spanish; these tests read English, but for the one that says so."""
    Person.objects.filter(role="cutter").update(language="en")


def side(tag: str = "C1", half: str = "left") -> Side:
    return Side.objects.select_related("animal").get(animal__tag=tag, half=half)


def begin(client: Client, *, weight: str = "427 lb", one: Side | None = None, **more: str) -> Cutting:
    one = one or side()
    client.post(
        reverse("begin_cutting", args=[one.pk]), {"typed": weight, "key": str(uuid4()), "style": "", **more}
    )
    return Cutting.objects.select_related("side__animal").get(side=one)


def weigh(client: Client, cutting: Cutting, slug: str, typed: str, *, part: bool = False, **more: str):
    data = {"slug": slug, "typed": typed, "tare": "", "key": str(uuid4()), **more}
    headers = {"X-Part": "1"} if part else {}
    return client.post(reverse("weigh_piece", args=[cutting.pk]), data, headers=headers)


def weights() -> list[tuple[str, Decimal]]:
    lines = ScaleWeight.objects.filter(taken_out=False, corrected_by__isnull=True)
    return [(line.slug, line.weight_kg) for line in lines.order_by("pk")]


def test_sides_that_are_due_come_first_and_left_stands_before_right(cutter_client: Client) -> None:
    page = cutter_client.get(reverse("block")).context["page"]
    rank = ["planned", "late", "ready"]
    assert [rank.index(turn.why) for turn in page.turns] == sorted(
        rank.index(turn.why) for turn in page.turns
    )
    halves = [(turn.side.animal.tag, turn.side.half) for turn in page.turns]
    assert ("C1", "left") not in halves or halves.index(("C1", "left")) + 1 == halves.index(("C1", "right"))
    assert len(page.turns) + len(page.early) == Side.objects.filter(state=SideState.HANGING).count()


def test_the_cautions_are_on_the_page_and_defer_to_the_inspector(cutter_client: Client) -> None:
    text = cutter_client.get(reverse("block")).content.decode()
    for word in ("Knife", "Saw", "Lifting", "Cold", "inspector in charge"):
        assert word in text


def test_the_counter_does_not_cut(counter_client: Client, visitor_client: Client) -> None:
    assert counter_client.get(reverse("block")).status_code == 403
    assert visitor_client.get(reverse("block")).status_code == 302


def test_a_side_is_begun_by_its_weight(cutter_client: Client) -> None:
    cutting = begin(cutter_client)
    assert float(cutting.begun_kg) == pytest.approx(427 * KG_PER_LB, abs=0.001)
    assert cutting.ways["rib-primal"] == "boneless"
    text = cutter_client.get(reverse("cutting", args=[cutting.pk])).content.decode()
    assert "LEFT" in text and "side-left" in text and "side-right" not in text


@pytest.mark.parametrize("typed", ["427 kg", "190 lb"])
def test_a_weight_off_the_rail_that_is_hardly_true_is_asked_about(cutter_client: Client, typed: str) -> None:
    """427 lb taken as kilograms, and less than half of the side."""
    url, one = reverse("begin_cutting", args=[side().pk]), side()
    answer = cutter_client.post(url, {"typed": typed, "key": str(uuid4()), "style": ""})
    assert answer.status_code == 400
    assert "not stored yet" in answer.content.decode()
    assert not Cutting.objects.exists()
    assert begin(cutter_client, weight=typed, one=one, sure="1").side == one


def test_a_style_is_taken_when_it_is_chosen(cutter_client: Client) -> None:
    assert begin(cutter_client, style="bone-in").ways["rib-primal"] == "bone-in"


def test_a_weight_is_stored_and_said(cutter_client: Client) -> None:
    cutting = begin(cutter_client)
    sent = weigh(cutter_client, cutting, "chuck-roll", "22.4")
    assert sent.status_code == 302
    assert sent["Location"].endswith("?piece=chuck-roll#weigh")
    text = cutter_client.get(sent["Location"]).content.decode()
    assert "Stored: chuck roll, 22.40 lb" in text
    line = ScaleWeight.objects.get()
    assert line.typed == "22.4 lb"
    assert float(line.weight_kg) == pytest.approx(22.4 * KG_PER_LB, abs=0.0006)
    assert line.by == Person.objects.get(role="cutter")


def test_a_script_learns_that_its_weight_is_safe_and_a_repeat_is_kept_once(cutter_client: Client) -> None:
    cutting, key = begin(cutter_client), str(uuid4())
    for _ in range(3):
        answer = weigh(cutter_client, cutting, "chuck-roll", "22.4", part=True, key=key)
        assert answer.status_code == 200
        assert answer.headers["X-Stored"] == key
        assert "<html" not in answer.content.decode()
    assert len(weights()) == 1


def test_the_tare_is_taken_off(cutter_client: Client) -> None:
    cutting = begin(cutter_client)
    weigh(cutter_client, cutting, "chuck-roll", "10.4 kg", tare="0.4 kg")
    line = ScaleWeight.objects.get()
    assert (line.weight_kg, line.tare_kg, line.typed) == (Decimal("10.000"), Decimal("0.400"), "10.4 kg")


@pytest.mark.parametrize(
    ("typed", "tare", "says"),
    [("abc", "", "thousands"), ("-4", "", "above nothing"), ("US 4 lb", "", "still"), ("4 lb", "5 lb", "would be left"),
     ("", "", "required")],
)  # fmt: skip
def test_what_cannot_be_stored_is_said_and_stays_in_the_box(
    cutter_client: Client, typed: str, tare: str, says: str
) -> None:
    cutting = begin(cutter_client)
    answer = weigh(cutter_client, cutting, "chuck-roll", typed, tare=tare)
    text = answer.content.decode()
    assert answer.status_code == 400
    assert says in text
    assert f'value="{typed}"' in text
    assert weights() == []


def test_far_too_much_is_asked_about_and_stored_when_it_is_right(cutter_client: Client) -> None:
    cutting, key = begin(cutter_client), str(uuid4())
    asked = weigh(cutter_client, cutting, "strip-loin", "80", key=key)
    assert asked.status_code == 409
    assert "not stored yet" in asked.content.decode() and weights() == []
    assert weigh(cutter_client, cutting, "strip-loin", "80", key=key, sure="1").status_code == 302
    assert [slug for slug, _ in weights()] == ["strip-loin"]


def test_the_same_weight_at_once_again_is_asked_about(cutter_client: Client) -> None:
    cutting = begin(cutter_client)
    weigh(cutter_client, cutting, "strip-loin", "5.1")
    again = weigh(cutter_client, cutting, "strip-loin", "5.1")
    assert again.status_code == 409
    assert "sent twice" in again.content.decode()


def test_a_piece_of_the_other_side_is_asked_about(cutter_client: Client) -> None:
    left, right = begin(cutter_client), begin(cutter_client, one=side(half="right"))
    weigh(cutter_client, left, "strip-loin", "15.8")
    asked = weigh(cutter_client, left, "strip-loin", "16.1")
    assert "the other side&#x27;s" in asked.content.decode()
    assert weigh(cutter_client, right, "strip-loin", "16.1").status_code == 302


def test_undo_takes_out_the_newest_line_once(cutter_client: Client) -> None:
    cutting = begin(cutter_client)
    weigh(cutter_client, cutting, "chuck-roll", "22.4")
    weigh(cutter_client, cutting, "mock-tender", "3.1")
    page = cutting_page(cutting, ShopProfile.objects.get())
    assert page.newest is not None
    for _ in range(2):
        cutter_client.post(reverse("take_out_weight", args=[page.newest.pk]), {"key": str(page.undo_key)})
    assert [slug for slug, _ in weights()] == ["chuck-roll"]
    assert ScaleWeight.objects.count() == 3


def test_a_line_is_put_right_with_a_reason(cutter_client: Client) -> None:
    cutting = begin(cutter_client)
    weigh(cutter_client, cutting, "chuck-roll", "22.4")
    line = ScaleWeight.objects.get()
    url = reverse("correct_weight", args=[line.pk])
    assert 'value="22.4 lb"' in cutter_client.get(url).content.decode()
    data = {"slug": "shoulder-clod-trimmed", "typed": "21.4 lb", "tare": "", "key": str(uuid4()), "why": ""}
    assert cutter_client.post(url, data).status_code == 400
    assert cutter_client.post(url, {**data, "why": "wrong piece"}).status_code == 302
    ((slug, kg),) = weights()
    assert slug == "shoulder-clod-trimmed" and float(kg) == pytest.approx(21.4 * KG_PER_LB, abs=0.0006)
    assert AuditLine.objects.latest("pk").why == "wrong piece"
    text = cutter_client.get(reverse("cutting", args=[cutting.pk])).content.decode()
    assert "does not count" in text and "wrong piece" in text


def test_a_short_side_is_finished_only_with_a_reason_and_what_is_missing_is_named(
    cutter_client: Client,
) -> None:
    cutting = begin(cutter_client)
    weigh(cutter_client, cutting, "chuck-roll", "22.4")
    url = reverse("finish_cutting", args=[cutting.pk])
    text = cutter_client.get(url).content.decode()
    assert "More is missing" in text
    assert "strip loin</a>" in text and "chuck roll</a>" not in text
    assert cutter_client.post(url, {"why": ""}).status_code == 400
    assert cutter_client.post(url, {"why": "sold whole to the smoker"}).status_code == 302
    assert side().state == SideState.CUT
    audit = AuditLine.objects.filter(what="finished cutting").get()
    assert audit.after is not None
    missing_kg = float(cutting.begun_kg) - 22.4 * KG_PER_LB
    assert float(audit.after["missing_kg"]) == pytest.approx(missing_kg, abs=0.002)


def test_a_side_whose_balance_holds_needs_no_reason(cutter_client: Client) -> None:
    """Everything at what is expected of it: what is missing is the cutting loss."""
    cutting = begin(cutter_client)
    by = Person.objects.get(role="cutter")
    page = cutting_page(cutting, ShopProfile.objects.get())
    for slug, target in page.targets.items():
        if target.expected is not None:
            kg = Decimal(f"{target.expected.mean:.2f}")
            service.weigh_piece(cutting, slug, weight_kg=kg, typed=f"{kg} kg", key=uuid4(), by=by)
    balance = cutting_page(cutting, ShopProfile.objects.get()).balance
    assert balance.holds
    assert balance.missing_kg == pytest.approx(balance.loss_kg.mean, abs=0.5)
    url = reverse("finish_cutting", args=[cutting.pk])
    assert "It holds" in cutter_client.get(url).content.decode()
    assert cutter_client.post(url, {}).status_code == 302


def test_bones_may_be_weighed_in_one_tub(cutter_client: Client) -> None:
    cutting = begin(cutter_client)
    page = cutting_page(cutting, ShopProfile.objects.get())
    bones = dict(page.together)["bone"]
    assert bones.expected is not None
    sent = weigh(cutter_client, cutting, "mixed-soup-bones", f"{bones.expected.mean:.1f} kg")
    assert sent.status_code == 302
    after = cutting_page(cutting, ShopProfile.objects.get())
    assert "chine-bones" in {one.slug for one in page.awaited}
    assert "chine-bones" not in {one.slug for one in after.awaited}
    assert after.odd_together == ()


def test_the_bars_of_the_strip_fill_it(cutter_client: Client) -> None:
    cutting = begin(cutter_client)
    weigh(cutter_client, cutting, "chuck-roll", "22.4")
    bars = cutting_page(cutting, ShopProfile.objects.get()).bars
    assert sum(bar.width for bar in bars) == 1000
    assert bars[0].width == round(1000 * 22.4 / 427)


def test_another_way_changes_what_is_expected(cutter_client: Client) -> None:
    cutting = begin(cutter_client)
    url = reverse("cutting_ways", args=[cutting.pk])
    form = cutter_client.get(url).context["form"]
    data = {name: form.initial.get(name, field.choices[0][0]) for name, field in form.fields.items()}
    assert cutter_client.post(url, {**data, "rib-primal": "bone-in"}).status_code == 302
    text = cutter_client.get(reverse("cutting", args=[cutting.pk])).content.decode()
    assert 'data-slug="ribeye-roll-lip-on"' not in text
    assert cutter_client.post(url, {**data, "rib-primal": "sideways"}).status_code == 400


def test_begun_by_mistake(cutter_client: Client) -> None:
    cutting = begin(cutter_client)
    cutter_client.post(reverse("put_back", args=[cutting.pk]))
    assert side().state == SideState.HANGING
    cutting = begin(cutter_client)
    weigh(cutter_client, cutting, "chuck-roll", "22.4")
    cutter_client.post(reverse("put_back", args=[cutting.pk]))
    assert side().state == SideState.ON_BLOCK


def test_bison_is_never_called_beef(cutter_client: Client) -> None:
    cutting = begin(cutter_client, weight="330 lb", one=side("B1"), sure="1")
    text = cutter_client.get(reverse("cutting", args=[cutting.pk])).content.decode()
    assert "hump" in text
    assert not re.search(r"\bbeef\b", strip_tags(text))


def test_few_questions_are_asked_of_the_records(cutter_client: Client, queries: list[dict[str, str]]) -> None:
    cutting = begin(cutter_client)
    for number in range(60):
        kg = Decimal("0.5") + Decimal(number) / 1000
        service.weigh_piece(cutting, "trim-85", weight_kg=kg, typed=f"{kg} kg", key=uuid4(), by=None)
    for name, args in (("block", []), ("cutting", [cutting.pk]), ("finish_cutting", [cutting.pk])):
        queries.clear()
        cutter_client.get(reverse(name, args=args))
        assert len(queries) <= 15, name


def test_a_custom_animal_keeps_its_owner_on_the_lot(cutter_client: Client) -> None:
    Animal.objects.filter(tag="C1").update(inspected="custom", owner_name="Odalys")
    lot = begin(cutter_client).lots.get()
    assert (lot.inspected, lot.owner_name) == ("custom", "Odalys")


def test_spanish(cutter_client: Client) -> None:
    """What the program reads off a scale and the cautions are said in Spanish too."""
    Person.objects.filter(role="cutter").update(language="es")
    cutting = begin(cutter_client)
    text = cutter_client.get(reverse("cutting", args=[cutting.pk])).content.decode()
    assert "IZQUIERDA" in text and "Todavía falta" in text and "guante anticorte" in text
    assert "Still missing" not in text and "cut-resistant" not in text
    wrong = weigh(cutter_client, cutting, "chuck-roll", "US 4 lb").content.decode()
    assert "Espere a que la báscula esté quieta" in wrong


def test_what_the_core_says_at_the_block_is_said_in_spanish() -> None:
    said = {text for pair in CUTTING for text in pair}
    for typed in ("1 2", "US 1", "0", "0.0001 kg", "9" * 31):
        refused = read_scale(typed, bare_unit="kg")
        assert isinstance(refused, NotAQuantity)
        said |= {refused.wanted, refused.do}
    with override("es"):
        assert [one for one in said if in_words_of_page(one) == one] == []


@pytest.mark.parametrize("text", ["\x00", "a" * 5000, "<script>", "💥", "٣ kg"])
def test_hostile_words_are_told_or_kept_as_they_are(cutter_client: Client, text: str) -> None:
    cutting = begin(cutter_client)
    for field in ("slug", "tare", "key", "typed"):
        data = {"slug": "chuck-roll", "typed": "22.4", "tare": "", "key": str(uuid4()), field: text}
        assert cutter_client.post(reverse("weigh_piece", args=[cutting.pk]), data).status_code in (
            302,
            400,
            409,
        )
    weigh(cutter_client, cutting, "mock-tender", "3.1")
    line = ScaleWeight.objects.latest("pk")
    url = reverse("correct_weight", args=[line.pk])
    data = {"slug": "mock-tender", "typed": "3.2", "tare": "", "key": str(uuid4()), "why": text}
    assert cutter_client.post(url, data).status_code in (302, 400)
    newest = ScaleWeight.objects.filter(taken_out=False, corrected_by__isnull=True).latest("pk")
    gone = cutter_client.post(reverse("take_out_weight", args=[newest.pk]), {"key": text, "why": text})
    assert gone.status_code == 302
    page = cutter_client.get(reverse("cutting", args=[cutting.pk]), {"piece": text})
    assert page.status_code == 200 and "<script>" not in page.content.decode()


def test_the_weight_off_the_rail_can_be_put_right(cutter_client: Client) -> None:
    cutting = begin(cutter_client)
    weigh(cutter_client, cutting, "chuck-roll", "22.4")
    url = reverse("correct_off_rail", args=[cutting.pk])
    assert cutter_client.get(url).status_code == 200
    data = {"typed": "417 lb", "why": "", "key": str(uuid4())}
    assert cutter_client.post(url, data).status_code == 400
    assert cutter_client.post(url, {**data, "typed": "20 lb", "why": "misread"}).status_code == 400
    for _ in range(2):
        assert cutter_client.post(url, {**data, "why": "misread"}).status_code == 302
    after = cutting_page(Cutting.objects.select_related("side__animal").get(), ShopProfile.objects.get())
    assert after.balance.begun_kg == pytest.approx(417 * KG_PER_LB, abs=0.001)
    assert after.balance.missing_kg == pytest.approx((417 - 22.4) * KG_PER_LB, abs=0.002)
    lines = Weighing.objects.filter(side=cutting.side).order_by("pk")
    first, second = list(lines)[-2:]
    assert (first.typed, second.typed, second.corrects) == ("427 lb", "417 lb", first)
    assert AuditLine.objects.latest("pk").why == "misread"
