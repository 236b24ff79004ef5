"""A wrong weight is put right on one page, wherever it was weighed: on the rail, off it, and a piece at the block."""

from __future__ import annotations

import html
import re
from collections.abc import Callable
from dataclasses import dataclass
from decimal import Decimal
from typing import Any
from uuid import uuid4

import pytest
from django.test import Client
from django.urls import reverse

from gambrel.shop.clock import now
from gambrel.shop.records.models import Cutting, Person, ScaleWeight, Side, SideState, Weighing
from gambrel.shop.records.services import block
from gambrel.shop.records.services.rail import weigh

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demo_shop")]


@dataclass(frozen=True)
class Wrong:
    """A wrong weight: where it is put right and what leads back, what is sent and kept, what is refused."""

    address: str
    back: str
    says: str
    sent: dict[str, str]
    refused: dict[str, str]
    lines: Callable[[], int]


def on_the_rail() -> Wrong:
    side = Side.objects.filter(state=SideState.HANGING, animal__kind="grain-finished")[0]
    kg = Decimal(f"{float(side.hot_kg) * 0.9:.1f}")
    line = weigh(side, weight_kg=kg, typed=f"{kg} kg", at=now(), by=None)
    sent = {"weight": f"{float(side.hot_kg) * 0.98:.1f} kg", "at": "2026-03-09T08:00", "why": "misread",
            "key": str(uuid4())}  # fmt: skip
    return Wrong(reverse("correct_weighing", args=[line.pk]), reverse("side", args=[side.pk]), f"{kg} kg", sent,
                 {**sent, "weight": f"{float(side.hot_kg) * 2:.1f} kg"}, Weighing.objects.count)  # fmt: skip


def cutting() -> Cutting:
    side = Side.objects.filter(state=SideState.HANGING, animal__kind="grain-finished").select_related(
        "animal"
    )[0]
    return block.begin(side, weight_kg=Decimal(150), typed="150 kg", ways={}, by=None, key=uuid4())


def off_the_rail() -> Wrong:
    begun = cutting()
    block.weigh_piece(begun, "chuck-roll", weight_kg=Decimal(20), typed="20 kg", key=uuid4(), by=None)
    sent = {"typed": "151 kg", "why": "misread", "key": str(uuid4())}
    return Wrong(reverse("correct_off_rail", args=[begun.pk]), reverse("cutting", args=[begun.pk]), "150.00", sent,
                 {**sent, "typed": "10 kg"}, Weighing.objects.count)  # fmt: skip


def a_piece() -> Wrong:
    begun = cutting()
    line = block.weigh_piece(begun, "chuck-roll", weight_kg=Decimal(20), typed="20 kg", key=uuid4(), by=None)
    sent = {"slug": "chuck-roll", "typed": "18.5 kg", "tare": "", "why": "misread", "key": str(uuid4())}
    return Wrong(reverse("correct_weight", args=[line.pk]), reverse("cutting", args=[begun.pk]), "“20 kg”", sent,
                 {**sent, "typed": "900 kg"}, ScaleWeight.objects.count)  # fmt: skip


@pytest.fixture(params=[on_the_rail, off_the_rail, a_piece])
def wrong(request: pytest.FixtureRequest) -> Wrong:
    made: Wrong = request.param()
    return made


def text_of(answer: Any) -> str:
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", answer.content.decode())).split())


def test_the_page_is_the_same_wherever_it_was_weighed(cutter_client: Client, wrong: Wrong) -> None:
    """Which side, what the line says, the reason, one button, the way back, and that nothing is lost."""
    Person.objects.update(language="en", weight_unit="kg")
    answer = cutter_client.get(wrong.address)
    page, said = answer.content.decode(), text_of(answer)
    assert answer.status_code == 200 and {one.name for one in answer.templates if one.name} >= {
        "base/put_right.html"
    }
    main = page[page.index("<main") :]
    first_form = main[main.index("<form") : main.index("</form>")]
    assert 'class="big-form"' in first_form and 'name="why"' in first_form
    assert re.findall(r"<button[^>]*>([^<]+)</button>", first_form) == ["Put it right"]
    assert f'href="{wrong.back}">Back to the side</a>' in first_form
    assert wrong.says in said and "The wrong line stays to be seen; it does not count any more." in said
    assert 'class="side-head side-' in main


def test_once_it_is_kept_the_side_says_so_and_a_second_sending_writes_nothing(
    cutter_client: Client, wrong: Wrong
) -> None:
    Person.objects.update(language="en")
    before = wrong.lines()
    answer = cutter_client.post(wrong.address, wrong.sent, follow=True)
    assert answer.redirect_chain == [(wrong.back, 302)]
    assert "Put right; the wrong line stays to be seen." in text_of(answer)
    assert wrong.lines() == before + 1
    cutter_client.post(wrong.address, wrong.sent)
    assert wrong.lines() == before + 1


def test_without_a_reason_nothing_is_kept_and_what_was_typed_stays(
    cutter_client: Client, wrong: Wrong
) -> None:
    before = wrong.lines()
    answer = cutter_client.post(wrong.address, {**wrong.sent, "why": ""})
    assert answer.status_code == 400 and "why" in answer.context["form"].errors
    typed = wrong.sent.get("typed") or wrong.sent["weight"]
    assert f'value="{typed}"' in answer.content.decode() and wrong.lines() == before


def test_what_cannot_be_is_told_above_the_form(cutter_client: Client, wrong: Wrong) -> None:
    before = wrong.lines()
    answer = cutter_client.post(wrong.address, wrong.refused)
    assert answer.status_code == 400 and wrong.lines() == before
    assert answer.context["findings"] or answer.context["form"].errors
    typed = wrong.refused.get("typed") or wrong.refused["weight"]
    assert f'value="{typed}"' in answer.content.decode()


def test_a_doubtful_weight_on_the_rail_is_kept_all_the_same_with_its_reason(cutter_client: Client) -> None:
    doubted = on_the_rail()
    assert cutter_client.post(doubted.address, doubted.refused).context["findings"]
    kept = cutter_client.post(doubted.address, {**doubted.refused, "anyway": "on"})
    assert kept.status_code == 302 and Weighing.objects.latest("pk").why == "misread"


def test_a_weight_on_the_rail_that_should_not_be_there_is_taken_out(cutter_client: Client) -> None:
    line = on_the_rail()
    sent = {"take_out": "on", "at": "2026-03-09T08:00", "why": "the other side", "key": str(uuid4())}
    assert cutter_client.post(line.address, sent).status_code == 302
    assert Weighing.objects.latest("pk").taken_out


def test_spanish(cutter_client: Client, wrong: Wrong) -> None:
    Person.objects.update(language="es")
    said = text_of(cutter_client.get(wrong.address))
    assert "La línea equivocada queda a la vista; ya no cuenta." in said
    assert "Volver a la media canal" in said and "Put" not in said
