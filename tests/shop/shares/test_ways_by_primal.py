"""Single ways of a share stand by primal, closed, and each says what is chosen: short on a phone."""

from __future__ import annotations

import html
import re
from datetime import date
from typing import Any
from uuid import uuid4

import pytest
from django.test import Client
from django.urls import reverse

from gambrel.catalog.tree_totals import PRIMAL_OF_PIECE
from gambrel.sell.share_bill import Terms
from gambrel.sell.take_home import OwnerWishes
from gambrel.shop.names import cut_said, way_said
from gambrel.shop.pages.shares.forms import WishesForm, typed_wishes
from gambrel.shop.records.models import Person, Share, ShopProfile, Side
from gambrel.shop.records.selectors.forecast_ways import WayChoice
from gambrel.shop.records.selectors.shares import way_choices
from gambrel.shop.records.services import shares as service
from gambrel.shop.records.stored import restored

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demo_shop")]
DETAILS = re.compile(r"<details( open)?>\s*<summary>(.*?)</summary>(.*?)</details>", re.DOTALL)


@pytest.fixture
def share(demo_shop: Any) -> Share:
    rows = Side.objects.filter(state="hanging", animal__kind="grain-finished").select_related("animal")
    return service.agree(customer="A. Neighbour", contact="", animal=rows[0].animal, portion="quarter", key=uuid4(),
                         by=None, bought_on=date(2026, 3, 2), terms=Terms(hanging_cents_per_kg=1000.0),
                         wishes=OwnerWishes())  # fmt: skip


def choices_of(share: Share) -> tuple[tuple[str, tuple[WayChoice, ...]], ...]:
    return way_choices(share, ShopProfile.objects.get())


def other(one: WayChoice) -> str:
    return next(way for way in one.ways if way != one.taken)


def parts(answer: Any) -> list[tuple[bool, str, str]]:
    """Every part that opens: whether it is open, what its summary says, what is in it."""
    found = DETAILS.findall(answer.content.decode())
    return [(bool(is_open), " ".join(html.unescape(re.sub(r"<[^>]+>", "", summary)).split()), inside)
            for is_open, summary, inside in found]  # fmt: skip


def wish(client: Client, share: Share, **said: str) -> Any:
    sent = {"style": "boneless", "cover": "", "grind_lean_pct": "", **said}
    return client.post(reverse("change_wishes", args=[share.pk]), sent)


def test_each_piece_stands_once_under_its_primal_in_a_closed_part(owner_client: Client, share: Share) -> None:
    groups, shown = choices_of(share), parts(owner_client.get(reverse("change_wishes", args=[share.pk])))
    assert len(shown) == len(groups) > 4 and not any(is_open for is_open, _, _ in shown)
    for (primal, choices), (_, summary, inside) in zip(groups, shown, strict=True):
        named = re.findall(r'<select name="way-([^"]+)"', inside)
        assert named == [one.piece for one in choices]
        assert all(PRIMAL_OF_PIECE.get(piece, primal) == primal for piece in named)
        said = "1 piece, as" if len(choices) == 1 else f"{len(choices)} pieces, as"
        assert summary.endswith(f"{said} the style says")


def test_what_is_said_of_the_whole_stands_outside_and_every_field_once(
    owner_client: Client, share: Share
) -> None:
    text = owner_client.get(reverse("change_wishes", args=[share.pk])).content.decode()
    for name in ("style", "cover", "grind_lean_pct", "takes_bones", "takes_fat"):
        assert len(re.findall(rf'<(?:select|input)[^>]* name="{name}"', text)) == 1
        assert all(f'name="{name}"' not in inside for _, _, inside in DETAILS.findall(text))
    pieces = re.findall(r'<select name="way-([^"]+)"', text)
    assert len(pieces) == len(set(pieces)) == sum(len(choices) for _, choices in choices_of(share))


def test_a_summary_says_what_is_chosen_and_the_others_do_not(owner_client: Client, share: Share) -> None:
    (_, (one, *_)), (_, (two, *_)) = choices_of(share)[1:3]
    ways = {f"way-{choice.piece}": other(choice) for choice in (one, two)}
    assert wish(owner_client, share, **ways).status_code == 302
    summaries = [said for _, said, _ in parts(owner_client.get(reverse("change_wishes", args=[share.pk])))]
    for choice in (one, two):
        (said,) = (each for each in summaries if f"{cut_said(choice.piece, 'cattle')}: " in each)
        assert said.endswith(f": {way_said(other(choice))}") and "as the style" not in said
    assert sum("as the style says" in each for each in summaries) == len(summaries) - 2


def test_two_of_one_primal_are_both_named(owner_client: Client, share: Share) -> None:
    """Each as it was sent, before anything is kept: the cover is wrong, and nothing typed is lost."""
    one, two = next(choices for _, choices in choices_of(share) if len(choices) > 1)[:2]
    answer = wish(owner_client, share, cover="99 mm",
                  **{f"way-{one.piece}": other(one), f"way-{two.piece}": other(two)})  # fmt: skip
    assert answer.status_code == 400
    assert any(f"{cut_said(one.piece, 'cattle')}: {way_said(other(one))}; {cut_said(two.piece, 'cattle')}: "
               f"{way_said(other(two))}" in summary for _, summary, _ in parts(answer))  # fmt: skip
    share.refresh_from_db()
    assert restored(OwnerWishes, share.wishes).ways == {}


def test_a_part_with_a_slip_stands_open_and_is_led_to(owner_client: Client, share: Share) -> None:
    one = choices_of(share)[2][1][0]
    answer = wish(owner_client, share, **{f"way-{one.piece}": "gold"})
    opened = [inside for is_open, _, inside in parts(answer) if is_open]
    assert answer.status_code == 400 and len(opened) == 1 and f'id="id_way-{one.piece}"' in opened[0]
    assert f'<a href="#id_way-{one.piece}">' in answer.content.decode()


def test_a_way_that_is_offered_no_more_is_not_said_to_be_chosen(share: Share) -> None:
    group = choices_of(share)[0]
    form = WishesForm(initial=typed_wishes(OwnerWishes(ways={group[1][0].piece: "gold"})))
    form.offer_ways([group], species="cattle")
    (primal,) = form.ways
    assert (primal.chosen, primal.has_errors) == ((), False)
    whole = ["style", "cover", "grind_lean_pct", "takes_bones", "takes_fat"]
    assert [field.name for field in form.whole_fields] == whole


def test_spanish(owner_client: Client, share: Share) -> None:
    Person.objects.update(language="es")
    summaries = [said for _, said, _ in parts(owner_client.get(reverse("change_wishes", args=[share.pk])))]
    assert summaries and all(re.search(r"piezas?, como dice el estilo$", said) for said in summaries)
