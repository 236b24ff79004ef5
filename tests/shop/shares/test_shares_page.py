"""Shares of an animal: never more than there is, what each wish changes, the bill by hand, and the customer's link."""

from __future__ import annotations

import html
import re
from datetime import date
from decimal import Decimal
from typing import Any
from uuid import uuid4

import pytest
from django.test import Client
from django.urls import reverse

from gambrel.measures import CannotDo
from gambrel.sell.share_bill import Terms
from gambrel.sell.take_home import OwnerWishes
from gambrel.shop.records.models import Animal, AuditLine, Share, Side, SideState
from gambrel.shop.records.selectors.shares import animals_for_shares, figures_of, share_page
from gambrel.shop.records.services import shares as service

pytestmark = pytest.mark.django_db

TERMS = Terms(
    hanging_cents_per_kg=1000.0, cut_wrap_cents_per_kg=200.0, head_fee_cents=10_000, deposit_cents=50_000
)


def text_of(answer: Any) -> str:
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", answer.content.decode())).split())


@pytest.fixture
def steer(demo_shop: Any) -> Animal:
    side = Side.objects.filter(state=SideState.HANGING, animal__kind="grain-finished").select_related(
        "animal"
    )[0]
    return side.animal


def a_share(animal: Animal, portion: str = "quarter", **changed: Any) -> Share:
    fields = {"customer": "A. Neighbour", "contact": "", "bought_on": date(2026, 3, 2), "terms": TERMS,
              "wishes": OwnerWishes(), "key": uuid4(), "by": None, **changed}  # fmt: skip
    return service.agree(animal=animal, portion=portion, **fields)


def hot_kg(animal: Animal) -> float:
    return sum(float(side.hot_kg) for side in animal.sides.all())


def why(act: Any) -> str:
    with pytest.raises(CannotDo) as refusal:
        act()
    return " | ".join(finding.sentence() for finding in refusal.value.findings)


def test_never_more_of_an_animal_is_sold_than_there_is(steer: Animal) -> None:
    a_share(steer, "half")
    a_share(steer, "quarter")
    assert service.sides_left(steer) == pytest.approx(0.5)
    assert "at most 25% of it" in why(lambda: a_share(steer, "half"))
    last = a_share(steer, "quarter")
    assert "at most 0% of it" in why(lambda: a_share(steer, "eighth"))
    service.cancel(last, why="moved away", by=None)
    assert service.sides_left(steer) == pytest.approx(0.5)
    assert a_share(steer, "eighth").portion == "eighth"


def test_the_same_key_sells_one_share(steer: Animal) -> None:
    key = uuid4()
    assert a_share(steer, key=key) == a_share(steer, key=key)
    assert AuditLine.objects.filter(what="sold a share").count() == 1


def test_meat_killed_without_inspection_is_not_sold_afterwards(steer: Animal) -> None:
    Animal.objects.filter(pk=steer.pk).update(inspected="custom", owner_name="A. Neighbour")
    steer.refresh_from_db()
    assert "303.1(a)(2)" in why(lambda: a_share(steer, bought_on=date(2026, 3, 9)))
    work_only = Terms(hanging_cents_per_kg=None, cut_wrap_cents_per_kg=200.0)
    assert a_share(steer, bought_on=date(2026, 3, 9), terms=work_only).terms["hanging_cents_per_kg"] is None


def test_every_slip_of_a_share_is_told_at_once(steer: Animal) -> None:
    bad = Terms(hanging_cents_per_kg=-1.0, charged_on="guess")
    said = why(lambda: a_share(steer, "two thirds", terms=bad, wishes=OwnerWishes(style="unicorn")))
    assert all(part in said for part in ("two thirds", "-1 cents", "guess", "unicorn"))
    assert not Share.objects.exists()


def test_what_is_foretold_is_a_quarter_of_the_animal(demo_shop: Any, steer: Animal) -> None:
    figures = figures_of(a_share(steer), demo_shop.profile)
    assert figures.hot_kg == pytest.approx(hot_kg(steer) / 4)
    assert (
        figures.taken_kg.p05
        < figures.taken_kg.mean
        < figures.taken_kg.p95
        < figures.hung_kg.mean
        < figures.hot_kg
    )
    whole = figures_of(a_share(_another(steer), "half"), demo_shop.profile)
    assert whole.taken_kg.mean > figures.taken_kg.mean


def _another(animal: Animal) -> Animal:
    return next(one for one in animals_for_shares() if one.kind == animal.kind and one.pk != animal.pk)


def test_a_wish_changes_weight_and_bill_at_once(demo_shop: Any, steer: Animal) -> None:
    page = share_page(a_share(steer), demo_shop.profile)
    by_name = {one.name: one for one in page.effects}
    bones = by_name["take the bones"]
    assert bones.more_kg.mean > 1.0 and bones.more_cents.mean == pytest.approx(
        0.0
    )  # billed by hanging weight
    assert bones.cents_per_taken_kg.mean < page.figures.forecast.cents_per_taken_kg.mean
    assert by_name["take the fat"].more_kg.p05 > 0
    assert {"style bone-in", "6 mm of fat left on", "ground at 85 % lean"} <= set(by_name)
    share = page.figures.share
    service.wish(share, wishes=OwnerWishes(takes_bones=True), by=None)
    share.refresh_from_db()
    after = figures_of(share, demo_shop.profile)
    assert after.taken_kg.mean == pytest.approx(bones.taken_kg.mean, rel=1e-6)


def test_the_bill_by_hand(demo_shop: Any, steer: Animal) -> None:
    share = a_share(steer)
    foretold = figures_of(share, demo_shop.profile).taken_kg
    service.hand_over(share, taken_kg=Decimal("50.5"), ground_kg=Decimal("18"), on=date(2026, 3, 9),
                      foretold_kg=foretold, by=None)  # fmt: skip
    share.refresh_from_db()
    figures = figures_of(share, demo_shop.profile)
    quarter_kg = hot_kg(steer) / 4
    # 10.00 and 2.00 a kg of hanging weight, a quarter of 100.00 for the head, less 500.00 paid before
    wanted = round(quarter_kg * 1000) + round(quarter_kg * 200) + 2500 - 50_000
    assert figures.bill is not None and figures.kept is not None
    assert figures.bill.due_cents == pytest.approx(wanted, abs=1)
    assert figures.bill.lines[-1].amount_cents == -50_000
    assert figures.kept.foretold_kg == foretold and figures.kept.taken_kg == 50.5
    assert "open share" in why(lambda: service.wish(share, wishes=OwnerWishes(), by=None))


def test_no_more_is_taken_home_than_hung(steer: Animal) -> None:
    share = a_share(steer)
    too_much = Decimal(f"{hot_kg(steer) / 4 + 0.1:.3f}")
    said = why(lambda: service.hand_over(share, taken_kg=too_much, ground_kg=too_much + 1, on=date(2026, 3, 9),
                                         foretold_kg=None, by=None))  # fmt: skip
    assert "at most its hot weight" in said and "no more than" in said


def sent(of: Animal, /, **changed: str) -> dict[str, str]:
    return {"customer": "A. Neighbour", "animal": str(of.pk), "portion": "half", "bought_on": "2026-03-02",
            "hanging_price": "5.00/lb", "charged_on": "hot", "cut_wrap": "1.10", "head_fee": "150", "deposit": "$300",
            "style": "bone-in", "takes_bones": "on", "key": str(uuid4()), **changed}  # fmt: skip


def test_a_share_is_sold_at_the_counter_and_its_page_shows_every_choice(
    counter_client: Client, steer: Animal
) -> None:
    answer = counter_client.post(reverse("new_share"), sent(steer))
    assert answer.status_code == 302, answer.context and answer.context["form"].errors
    share = Share.objects.get()
    assert share.terms["hanging_cents_per_kg"] == pytest.approx(500 / 0.45359237)
    assert (share.terms["deposit_cents"], share.wishes["style"]) == (30_000, "bone-in")
    text = text_of(counter_client.get(reverse("share", args=[share.pk])))
    assert "What another wish would change" in text and "leave the bones" in text
    assert share.code in text_of(counter_client.get(reverse("shares")))
    wish = {"style": "boneless", "cover": "6 mm", "grind_lean_pct": "85"}
    assert counter_client.post(reverse("change_wishes", args=[share.pk]), wish).status_code == 302
    done = counter_client.post(
        reverse("hand_over_share", args=[share.pk]), {"taken_kg": "120 lb", "ground_kg": "40 lb"}
    )
    assert done.status_code == 302
    printed = counter_client.get(reverse("share_invoice", args=[share.pk]), {"paper": "a4"})
    assert printed.content.startswith(b"%PDF")
    assert "The bill" in text_of(counter_client.get(reverse("share", args=[share.pk])))


@pytest.mark.parametrize(
    ("changed", "where"),
    [
        ({"customer": ""}, "customer"),
        ({"animal": "999999"}, "animal"),
        ({"portion": "third"}, "portion"),
        ({"bought_on": "2026-03-10"}, "bought_on"),
        ({"hanging_price": "much"}, "hanging_price"),
        ({"extra_name": "jerky"}, "extra_name"),
        ({"extra_price": "2.00"}, "extra_name"),
        ({"cover": "40 mm"}, "cover"),
        ({"grind_lean_pct": "50"}, "grind_lean_pct"),
    ],
)
def test_slips_are_told_by_their_box(
    counter_client: Client, steer: Animal, changed: dict[str, str], where: str
) -> None:
    answer = counter_client.post(reverse("new_share"), sent(steer, **changed))
    assert answer.status_code == 400 and where in answer.context["form"].errors
    assert not Share.objects.exists()


def test_the_customer_sees_only_their_share_until_the_link_is_withdrawn(
    counter_client: Client, visitor_client: Client, steer: Animal
) -> None:
    share = a_share(steer, customer="Ida Quarter")
    other = a_share(steer, customer="Somebody Else")
    address = reverse("share_link", args=[share.pk])
    counter_client.post(address, {"what": "make"})
    share.refresh_from_db()
    assert len(share.token) >= 43  # 256 bits in base 64
    public = reverse("share_for_customer", args=[share.token])
    answer = visitor_client.get(public)
    text = text_of(answer)
    assert answer.status_code == 200 and "Ida Quarter" in text and "Somebody Else" not in text
    assert other.code not in text and "Sell a share" not in text
    assert (answer["Cache-Control"], answer["Referrer-Policy"]) == ("no-store", "no-referrer")
    assert "noindex" in answer["X-Robots-Tag"]
    counter_client.post(address, {"what": "make"})
    assert visitor_client.get(public).status_code == 404  # the old link opens nothing
    share.refresh_from_db()
    again = reverse("share_for_customer", args=[share.token])
    counter_client.post(address, {"what": "withdraw"})
    assert visitor_client.get(again).status_code == 404


@pytest.mark.parametrize("token", ["x", "a" * 43, "0" * 64])
def test_a_guess_opens_nothing(visitor_client: Client, steer: Animal, token: str) -> None:
    a_share(steer)
    assert visitor_client.get(reverse("share_for_customer", args=[token])).status_code == 404


def test_a_cancelled_share_has_no_link(counter_client: Client, visitor_client: Client, steer: Animal) -> None:
    share = service.open_link(a_share(steer), by=None)
    public = reverse("share_for_customer", args=[share.token])
    cancel = reverse("cancel_share", args=[share.pk])
    assert counter_client.post(cancel, {}).status_code == 400
    assert counter_client.post(cancel, {"why": "no freezer"}).status_code == 302
    assert visitor_client.get(public).status_code == 404
    counter_client.post(reverse("share_link", args=[share.pk]), {"what": "make"})
    share.refresh_from_db()
    assert share.token == ""


def test_the_cutter_sees_the_wishes_and_changes_nothing(cutter_client: Client, steer: Animal) -> None:
    share = a_share(steer)
    text = text_of(cutter_client.get(reverse("share", args=[share.pk])))
    assert "sin los huesos" in text  # the invented shop's cutter reads Spanish
    for name in ("change_wishes", "hand_over_share", "cancel_share", "share_invoice"):
        assert cutter_client.get(reverse(name, args=[share.pk])).status_code == 403


def test_a_share_is_shown_with_few_questions(
    owner_client: Client, steer: Animal, django_assert_max_num_queries: Any
) -> None:
    """Its animal is looked up once for what it is, what it takes home and what every other wish would change."""
    one = a_share(steer)
    with django_assert_max_num_queries(10):
        assert owner_client.get(reverse("share", args=[one.pk])).status_code == 200


def test_what_is_kept_in_memory_is_worked_out_anew_once_anything_changes(
    steer: Animal, demo_shop: Any
) -> None:
    """The same share gives the same effects; another wish, another hot weight or other terms give others."""
    one, shop = a_share(steer), demo_shop.profile
    first = share_page(one, shop).effects
    assert share_page(one, shop).effects is first
    other = service.wish(one, wishes=OwnerWishes(takes_bones=True), by=None)
    assert share_page(other, shop).effects != first
    Side.objects.filter(animal=steer).update(hot_kg=Decimal("150.0"))
    heavier = share_page(Share.objects.get(pk=one.pk), shop).effects
    assert [one.taken_kg.mean for one in heavier] != [one.taken_kg.mean for one in first]
