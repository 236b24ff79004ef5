"""One piece of a share broken otherwise than its style says: offered as the law leaves it open, kept, told in kg."""

from __future__ import annotations

from datetime import date
from typing import Any
from uuid import uuid4

import pytest
from django.test import Client
from django.urls import reverse

from gambrel.sell.share_bill import Terms
from gambrel.sell.take_home import OwnerWishes
from gambrel.shop.records.models import Animal, Share, ShopProfile, Side
from gambrel.shop.records.selectors.forecast_ways import WayChoice
from gambrel.shop.records.selectors.shares import figures_of, way_choices
from gambrel.shop.records.services import shares as service
from gambrel.shop.records.stored import restored

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demo_shop")]


@pytest.fixture
def share(demo_shop: Any) -> Share:
    animal = (
        Side.objects.filter(state="hanging", animal__kind="grain-finished").select_related("animal")[0].animal
    )
    return service.agree(customer="A. Neighbour", contact="", animal=animal, portion="quarter", key=uuid4(), by=None,
                         bought_on=date(2026, 3, 2), terms=Terms(hanging_cents_per_kg=1000.0),
                         wishes=OwnerWishes())  # fmt: skip


def profile() -> ShopProfile:
    return ShopProfile.objects.get()


def offered(share: Share) -> list[WayChoice]:
    """Every piece of every primal."""
    return [one for _, choices in way_choices(share, profile()) for one in choices]


def wish(client: Client, share: Share, **said: str) -> Any:
    sent = {"style": "boneless", "cover": "", "grind_lean_pct": "", **said}
    return client.post(reverse("change_wishes", args=[share.pk]), sent)


def test_every_piece_that_leaves_a_choice_is_offered_with_its_ways(
    owner_client: Client, share: Share
) -> None:
    choices = offered(share)
    assert len(choices) > 10 and all(len(one.ways) > 1 and one.taken in one.ways for one in choices)
    form = owner_client.get(reverse("change_wishes", args=[share.pk])).context["form"]
    shown = {name.removeprefix("way-") for name in form.fields if name.startswith("way-")}
    assert shown == {one.piece for one in choices}


def test_another_way_of_each_piece_is_kept_changes_that_piece_and_goes_again(
    owner_client: Client, share: Share
) -> None:
    """Weight hung stays to the draw; what is taken home is other pieces of the same animal."""
    before = figures_of(share, profile())
    choice = next(one for one in offered(share) if len(one.ways) > 1)
    other = next(way for way in choice.ways if way != choice.taken)
    assert wish(owner_client, share, **{f"way-{choice.piece}": other}).status_code == 302
    share.refresh_from_db()
    assert restored(OwnerWishes, share.wishes).ways == {choice.piece: other}
    after = figures_of(share, profile())
    assert (after.home.hung_kg == before.home.hung_kg).all()
    told, stood = (
        {slug: round(float(kg.mean()), 3) for slug, kg in one.home.pieces_kg.items()}
        for one in (after, before)
    )
    assert told != stood
    form = owner_client.get(reverse("change_wishes", args=[share.pk])).context["form"]
    assert form.initial[f"way-{choice.piece}"] == other
    assert wish(owner_client, share).status_code == 302
    share.refresh_from_db()
    assert restored(OwnerWishes, share.wishes).ways == {}


def test_every_single_way_that_is_offered_can_be_worked_out(owner_client: Client, share: Share) -> None:
    """A choice of the page never ends in a refusal of the law or of the tree."""
    for one in offered(share)[:6]:
        for way in one.ways:
            assert wish(owner_client, share, **{f"way-{one.piece}": way}).status_code == 302
            assert owner_client.get(reverse("share", args=[share.pk])).status_code == 200


def test_of_an_old_animal_only_what_the_law_leaves_open_is_offered(share: Share) -> None:
    """From 30 months on nothing keeps its backbone [9 CFR 310.22]: fewer ways, and none of them bone-in of the loin."""
    young = {one.piece: one.ways for one in offered(share)}
    Animal.objects.filter(pk=share.animal_id).update(age_months=40, born_on=None)
    old = {one.piece: one.ways for one in offered(Share.objects.get(pk=share.pk))}
    assert all(set(old.get(piece, ways)) <= set(ways) for piece, ways in young.items())
    assert sum(map(len, old.values())) < sum(map(len, young.values()))


@pytest.mark.parametrize("way", ["gold", "\x00", "x" * 300])
def test_a_way_that_is_not_offered_is_told(owner_client: Client, share: Share, way: str) -> None:
    piece = offered(share)[0].piece
    assert wish(owner_client, share, **{f"way-{piece}": way}).status_code == 400
    share.refresh_from_db()
    assert restored(OwnerWishes, share.wishes).ways == {}
