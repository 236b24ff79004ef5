"""What a batch leaves in the grinder is of all its species, with its added fat: named in what follows, or kept out."""

from __future__ import annotations

import html
import re
from collections.abc import Callable
from datetime import timedelta
from decimal import Decimal
from typing import Any
from uuid import uuid4

import pytest
from django.test import Client
from django.urls import reverse

from gambrel.measures import CannotDo
from gambrel.shop.clock import now, standing_at, today
from gambrel.shop.records.batch_species import Contents, contents_of
from gambrel.shop.records.grinding import record_of
from gambrel.shop.records.labels import _ground
from gambrel.shop.records.models import Batch, BatchInput, BoughtTrim, CleanUp, Person, ShopProfile
from gambrel.shop.records.selectors.grind import batch_page
from gambrel.shop.records.services import grind
from gambrel.shop.records.tubs import Tub, carried_tub, tub_of

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("cleaned")]
Weigh = Callable[..., Tub]


def a_box(species: str, kg: str = "40") -> str:
    box = grind.buy_trim(key=uuid4(), at=now(), by=None, slug="trim-80", species=species, inspected="federal",
                         weight_kg=Decimal(kg), lean_pct=80.0, establishment="M-0001", supplier_lot=f"K-{species}",
                         made_on=today() - timedelta(days=2), cost_cents_per_kg=400.0)  # fmt: skip
    return f"b{box.pk}"


def begun_on_its_page(client: Client, name: str) -> Any:
    """The page's answer to a batch of this name, 80 % lean."""
    sent = {"name": name, "lean_pct": "80", "inspected": "federal", "key": str(uuid4()), "asked": "[]"}
    return client.post(reverse("begin_batch"), sent)


def a_batch(name: str) -> Batch:
    return grind.begin(
        name, lean_pct=75.0, inspected="federal", owner_name="", asked=[], key=uuid4(), by=None
    )


def weigh_in(batch: Batch, tub_id: str, kg: str) -> BatchInput:
    return grind.weigh_in(batch, tub_id, weight_kg=Decimal(kg), typed=f"{kg} kg", key=uuid4(), by=None)


def ground(name: str, out: str, *tubs: tuple[str, str]) -> Batch:
    batch = a_batch(name)
    for tub_id, kg in tubs:
        weigh_in(batch, tub_id, kg)
    return grind.close(batch, out_kg=Decimal(out), by=None)


def why(act: Callable[[], Any]) -> str:
    with pytest.raises(CannotDo) as refusal:
        act()
    return " | ".join(finding.sentence() for finding in refusal.value.findings)


def text_of(answer: Any) -> str:
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", answer.content.decode())).split())


@pytest.fixture
def bison(demo_shop: Any) -> str:
    return a_box("bison")


@pytest.fixture
def beef(demo_shop: Any) -> str:
    return a_box("cattle")


@pytest.fixture
def mixed(bison: str, beef: str) -> Batch:
    """6 kg of bison and 4 kg of beef, of which 9.6 kg came out: 0.4 kg stay, 0.24 of bison and 0.16 of beef."""
    return ground("ground-bison-and-beef", "9.6", (bison, "6"), (beef, "4"))


def test_what_stays_is_of_both_species_by_their_shares(mixed: Batch) -> None:
    left = carried_tub(mixed)
    assert left.left_kg == pytest.approx(0.4)
    assert [one for one, _ in left.mixed] == ["bison", "cattle"]
    assert dict(left.mixed) == pytest.approx({"bison": 0.6, "cattle": 0.4})
    assert left.as_trim().species_share == dict(left.mixed)


def test_what_stays_of_one_species_is_of_that_alone(beef: str) -> None:
    left = carried_tub(ground("ground-beef", "9.6", (beef, "10")))
    assert (left.species, left.mixed) == ("cattle", ())


@pytest.mark.parametrize(("name", "other"), [("ground-bison", "cattle"), ("ground-beef", "bison")])
def test_no_batch_of_one_species_is_begun_on_what_stays_of_two(mixed: Batch, name: str, other: str) -> None:
    said = why(lambda: a_batch(name))
    assert f"0.40 kg left over from batch {mixed.code}; {other} does not go into" in said
    assert "Clean the grinder" in said and Batch.objects.count() == 1
    with standing_at(now() + timedelta(minutes=1)):
        grind.clean_up(key=uuid4(), at=now(), by=None)
        assert batch_page(a_batch(name), today()).kept_apart == ()


def test_beef_is_not_ground_on_what_stays_of_bison(bison: str) -> None:
    ground("ground-bison", "9.6", (bison, "10"))
    assert "bison does not go into ground beef" in why(lambda: a_batch("ground-beef"))
    assert a_batch("ground-bison").name == "ground-bison"
    assert a_batch("ground-beef-and-bison").name == "ground-beef-and-bison"


def test_a_grinder_that_is_empty_by_the_books_holds_nobody_up(bison: str) -> None:
    ground("ground-bison", "9.99", (bison, "10"))
    assert a_batch("ground-beef").name == "ground-beef"


def test_a_batch_that_was_open_before_neither_offers_nor_takes_it(bison: str, beef: str) -> None:
    """Begun while the mixed one ran: what stays is refused with its reason, and the page says so first."""
    at = now() - timedelta(minutes=30)
    with standing_at(at):
        first = a_batch("ground-bison-and-beef")
        weigh_in(first, bison, "6")
        weigh_in(first, beef, "4")
    with standing_at(at + timedelta(minutes=5)):
        second = a_batch("ground-bison")
    grind.close(first, out_kg=Decimal("9.6"), by=None)
    page = batch_page(second, today())
    assert all(tub.carried is None for tub in page.tubs)
    ((tub, reason),) = page.kept_apart
    assert (tub.id, reason) == (f"c{first.pk}", "cattle does not go into ground bison")
    assert "cattle does not go into ground bison" in why(lambda: weigh_in(second, tub.id, "0.4"))
    assert not second.inputs.exists()


def test_carried_over_into_two_species_it_counts_as_each(mixed: Batch, bison: str, beef: str) -> None:
    """0.4 kg are 0.24 and 0.16; with 1 kg of bison and 1.05 of beef: 1.24 against 1.21, and bison stays first."""
    batch = a_batch("ground-bison-and-beef")
    weigh_in(batch, f"c{mixed.pk}", "0.4")
    weigh_in(batch, bison, "1")
    weigh_in(batch, beef, "1.05")
    written = record_of(batch)
    assert written.species_kg == pytest.approx({"bison": 1.24, "cattle": 1.21})
    assert written.materials[0].name == f"carried over from {mixed.code}"
    weigh_in(batch, beef, "0.05")  # 1.24 against 1.26: beef is the larger share
    assert "1.26 kg cattle, 1.24 kg bison" in why(lambda: grind.close(batch, out_kg=Decimal("2.4"), by=None))


def test_the_label_of_what_follows_names_both(mixed: Batch, beef: str) -> None:
    """Nothing but beef is weighed in fresh; the bison of what was carried over is named all the same."""
    batch = ground("ground-beef-and-bison", "9.9", (beef, "10"), (f"c{mixed.pk}", "0.4"))
    assert _ground(batch).species == ("cattle", "bison")


def test_through_a_chain_of_batches_the_shares_are_those_of_all_that_went_in(
    mixed: Batch, bison: str, beef: str
) -> None:
    """0.4 kg (0.24 + 0.16) and 3.6 kg of bison: 3.84 and 0.16 of 4; 0.2 kg of that are 0.192 and 0.008; with 0.8 kg
    of beef, 0.192 and 0.808 of 1 kg."""
    second = ground("ground-bison-and-beef", "3.8", (f"c{mixed.pk}", "0.4"), (bison, "3.6"))
    assert dict(contents_of(second).shares) == pytest.approx({"bison": 0.96, "cattle": 0.04})
    third = ground("ground-beef-and-bison", "0.97", (f"c{second.pk}", "0.2"), (beef, "0.8"))
    assert dict(contents_of(third).shares) == pytest.approx({"cattle": 0.808, "bison": 0.192})
    assert [one for one, _ in contents_of(third).shares] == ["cattle", "bison"]


def test_a_line_that_was_taken_out_is_not_in_what_stays(bison: str, beef: str) -> None:
    batch = a_batch("ground-bison-and-beef")
    weigh_in(batch, bison, "6")
    wrong = weigh_in(batch, beef, "5")
    weigh_in(batch, beef, "2")
    grind.take_out(wrong, key=uuid4(), by=None, why="wrong tub")
    assert dict(contents_of(batch).shares) == pytest.approx({"bison": 0.75, "cattle": 0.25})


def test_an_empty_batch_is_what_its_name_says(demo_shop: Any) -> None:
    assert contents_of(a_batch("ground-bison-and-beef")).shares == (("bison", 0.5), ("cattle", 0.5))
    assert contents_of(a_batch("hamburger")).shares == (("cattle", 1.0),)


def test_trim_off_the_block_counts_as_its_lot(weighed_trim: Weigh, bison: str) -> None:
    tub = weighed_trim("trim-80", "10")
    batch = ground("ground-bison-and-beef", "13.6", (tub.id, "4"), (bison, "10"))
    assert dict(contents_of(batch).shares) == pytest.approx({"bison": 10 / 14, "cattle": 4 / 14})
    assert tub_of(f"c{batch.pk}").mixed == contents_of(batch).shares


@pytest.mark.parametrize(
    ("language", "offered", "apart"),
    [
        ("en", "left in the grinder (bison, cattle)", "may not go in: cattle does not go into ground bison."),
        (
            "es",
            "quedó en el molino (bisonte, res)",
            "no puede entrar: res no entra en carne molida de bisonte.",
        ),
    ],
)
def test_the_pages_say_it_in_both_languages(
    owner_client: Client, bison: str, beef: str, language: str, offered: str, apart: str
) -> None:
    Person.objects.update(language=language)
    at = now() - timedelta(minutes=30)
    with standing_at(at):
        first, alone = a_batch("ground-bison-and-beef"), a_batch("ground-bison")
        for tub_id, kg in ((bison, "6"), (beef, "4")):
            weigh_in(first, tub_id, kg)
        grind.close(first, out_kg=Decimal("9.6"), by=None)
    following = a_batch("ground-beef-and-bison")
    assert offered in text_of(owner_client.get(reverse("batch", args=[following.pk])))
    said = text_of(owner_client.get(reverse("batch", args=[alone.pk])))
    assert apart in said and ("40 %" in said)
    answer = begun_on_its_page(owner_client, "ground-beef")
    assert answer.status_code == 400 and first.code in text_of(answer)
    assert Batch.objects.count() == 3 and BoughtTrim.objects.count() == 2 and CleanUp.objects.count() == 1


@pytest.fixture
def fat_hamburger(weighed_trim: Weigh, beef: str) -> Batch:
    """10 kg of beef and 0.8 of suet, of which 10.4 kg came out: 0.4 kg stay, with fat that was added as such.

    9 CFR 319.15: hamburger may hold beef fat added as such, ground beef may not.
    """
    ShopProfile.objects.update(lean_said={"suet": 4.0})
    return ground("hamburger", "10.4", (beef, "10"), (weighed_trim("suet", "2").id, "0.8"))


def test_ground_beef_is_not_begun_on_what_stays_with_added_fat(fat_hamburger: Batch) -> None:
    said = why(lambda: a_batch("ground-beef"))
    assert (
        f"0.40 kg left over from batch {fat_hamburger.code}; added fat is not allowed in ground beef" in said
    )
    assert "a grinder without added fat" in said and "Clean the grinder" in said
    assert Batch.objects.count() == 1
    assert a_batch("hamburger").name == "hamburger"


def test_ground_beef_is_begun_once_the_added_fat_is_cleaned_out(fat_hamburger: Batch) -> None:
    with standing_at(now() + timedelta(minutes=1)):
        grind.clean_up(key=uuid4(), at=now(), by=None)
        assert batch_page(a_batch("ground-beef"), today()).kept_apart == ()


def test_another_species_and_added_fat_are_told_at_once(fat_hamburger: Batch) -> None:
    said = why(lambda: a_batch("ground-bison"))
    assert (
        "cattle does not go into ground bison" in said and "added fat is not allowed in ground bison" in said
    )


def test_the_begin_says_in_spanish_that_fat_was_added(owner_client: Client, fat_hamburger: Batch) -> None:
    Person.objects.update(language="es")
    answer = begun_on_its_page(owner_client, "ground-beef")
    assert answer.status_code == 400
    assert "en carne molida de res no se permite agregar grasa" in text_of(answer)
    assert "un molino sin grasa agregada" in text_of(answer) and "Limpie el molino" in text_of(answer)


def test_a_batch_of_ground_beef_that_was_open_before_does_not_take_the_added_fat(
    weighed_trim: Weigh, beef: str
) -> None:
    """Begun while the hamburger ran: what stays is refused with its reason, and the page says so first."""
    ShopProfile.objects.update(lean_said={"suet": 4.0})
    with standing_at(now() - timedelta(minutes=30)):
        hamburger = a_batch("hamburger")
    with standing_at(now() - timedelta(minutes=20)):
        other = a_batch("ground-beef")
    weigh_in(hamburger, beef, "10")
    weigh_in(hamburger, weighed_trim("suet", "2").id, "0.8")
    grind.close(hamburger, out_kg=Decimal("10.4"), by=None)
    ((left, reason),) = batch_page(other, today()).kept_apart
    assert (left.id, reason) == (f"c{hamburger.pk}", "added fat is not allowed in ground beef")
    assert reason in why(lambda: weigh_in(other, left.id, "0.4"))
    assert not other.inputs.exists()


def test_added_fat_is_in_what_was_carried_over(fat_hamburger: Batch, beef: str) -> None:
    again = ground("hamburger", "5.2", (f"c{fat_hamburger.pk}", "0.4"), (beef, "5"))
    assert contents_of(again) == Contents((("cattle", 1.0),), holds_added_fat=True)
    assert carried_tub(again).holds_added_fat


def test_species_and_fat_come_of_one_walk_down_the_chain(
    mixed: Batch, bison: str, beef: str, queries: list[dict[str, str]]
) -> None:
    """Of a chain of three batches the lines of each are read once."""
    second = ground("ground-bison-and-beef", "3.8", (f"c{mixed.pk}", "0.4"), (bison, "3.6"))
    third = ground("ground-beef-and-bison", "0.97", (f"c{second.pk}", "0.2"), (beef, "0.8"))
    queries.clear()
    tub = carried_tub(third)
    assert dict(tub.mixed) == pytest.approx({"cattle": 0.808, "bison": 0.192}) and not tub.holds_added_fat
    read = [one for one in queries if '"records_batchinput"."batch_id" = ' in one["sql"]]
    assert len(read) == 3


def test_what_stays_of_hamburger_of_trim_alone_may_follow_into_ground_beef(beef: str) -> None:
    hamburger = ground("hamburger", "9.6", (beef, "10"))
    assert not carried_tub(hamburger).holds_added_fat
    other = a_batch("ground-beef")
    assert batch_page(other, today()).kept_apart == ()
    assert weigh_in(other, f"c{hamburger.pk}", "0.4").pk
