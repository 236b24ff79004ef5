"""Shares of an animal: agreed, wished otherwise, handed over, cancelled; the customer's link made and withdrawn."""

from __future__ import annotations

import secrets
from datetime import date
from decimal import Decimal
from uuid import UUID

from django.db import transaction

from gambrel.catalog.portions import PORTIONS
from gambrel.catalog.ways import shipped_tree
from gambrel.measures import CannotDo, Estimate, Finding, Findings
from gambrel.sell.share_bill import ShareSold, Terms, look_over
from gambrel.sell.take_home import OwnerWishes
from gambrel.shop.records.models import Animal, Customer, OrderState, Person, Share
from gambrel.shop.records.services.trail import record
from gambrel.shop.records.stored import plain

TOKEN_BYTES = 32
"""256 bits: nobody guesses a link."""
WHOLE_SIDES = 2.0


@transaction.atomic
def agree(
    *, customer: str, contact: str, animal: Animal, portion: str, bought_on: date, terms: Terms,
    wishes: OwnerWishes, key: UUID, by: Person | None,
) -> Share:  # fmt: skip
    """A share sold, or the one with this key. `CannotDo` where so much of the animal is not left, or the terms are
    against the law: every slip at once."""
    if (there := Share.objects.filter(key=key).first()) is not None:
        return there
    animal = Animal.objects.select_for_update().get(pk=animal.pk)
    findings = Findings()
    if portion not in PORTIONS:
        findings.add("share", portion[:20], " or ".join(PORTIONS), "Choose one of these.")
    elif (left := sides_left(animal)) + 1e-9 < PORTIONS[portion]:
        wanted = f"at most {left / WHOLE_SIDES:.0%} of it, the rest is sold"
        findings.add(
            f"animal {animal.tag}", f"a {portion}", wanted, "Sell a smaller share, or of another animal."
        )
    findings.extend(look_over(terms, ShareSold(customer, animal.inspected, bought_on, animal.killed_on)))
    findings.extend(_unknown_style(wishes))
    findings.stop_if_any()
    found = Customer.objects.filter(name__iexact=customer).first()
    found = found or Customer.objects.create(name=customer, contact=contact)
    share = Share.objects.create(
        key=key, code=f"new {key}"[:20], customer=found, animal=animal, portion=portion, bought_on=bought_on,
        terms=plain(terms), wishes=plain(wishes), agreed_by=by,
    )  # fmt: skip
    share.code = f"Q{bought_on:%y}-{share.pk}"
    share.save(update_fields=("code",))
    record(by, "sold a share", share, after={"portion": portion, "animal": animal.tag, "terms": plain(terms)})
    return share


def sides_left(animal: Animal) -> float:
    """Sides of the animal that no open or filled share takes."""
    taken = Share.objects.filter(animal=animal).exclude(state=OrderState.CANCELLED)
    return WHOLE_SIDES - sum(PORTIONS[portion] for portion in taken.values_list("portion", flat=True))


@transaction.atomic
def wish(share: Share, *, wishes: OwnerWishes, by: Person | None) -> Share:
    """The owner wants it cut otherwise; not once it is handed over."""
    share = _open(share)
    findings = Findings(_unknown_style(wishes))
    findings.stop_if_any()
    before, share.wishes = share.wishes, plain(wishes)
    share.save(update_fields=("wishes",))
    record(by, "wished otherwise", share, before={"wishes": before}, after={"wishes": share.wishes})
    return share


@transaction.atomic
def hand_over(
    share: Share,
    *,
    taken_kg: Decimal,
    ground_kg: Decimal,
    on: date,
    foretold_kg: Estimate | None,
    by: Person | None,
) -> Share:
    """Packed, weighed and taken home. What was foretold is kept beside what came."""
    share = _open(share)
    heaviest_kg = (
        sum(float(side.hot_kg) for side in share.animal.sides.all()) * PORTIONS[share.portion] / WHOLE_SIDES
    )
    findings = Findings()
    if not 0 < taken_kg <= Decimal(f"{max(heaviest_kg, 0.001):.3f}"):
        findings.add(share.code, f"{taken_kg} kg", f"above 0 and at most its hot weight, {heaviest_kg:.1f} kg",
                     "Look at the scale and its unit.")  # fmt: skip
    if not 0 <= ground_kg <= taken_kg:
        findings.add(
            share.code,
            f"{ground_kg} kg ground",
            f"no more than the {taken_kg} kg taken",
            "Look at both weights.",
        )
    findings.stop_if_any()
    share.taken_kg, share.ground_kg, share.handed_on, share.state = taken_kg, ground_kg, on, OrderState.FILLED
    share.foretold = plain(foretold_kg) if foretold_kg else None
    share.save()
    record(by, "handed a share over", share, after={"taken_kg": str(taken_kg), "ground_kg": str(ground_kg)})
    return share


@transaction.atomic
def cancel(share: Share, *, why: str, by: Person | None) -> Share:
    """Not wanted after all; the part of the animal is free again, and the link is shut."""
    share = _open(share)
    if not why:
        raise CannotDo([Finding(share.code, "no reason", "why it is cancelled", "Enter the reason.")])
    share.state, share.token = OrderState.CANCELLED, ""
    share.save(update_fields=("state", "token"))
    record(by, "cancelled a share", share, why=why)
    return share


@transaction.atomic
def open_link(share: Share, *, by: Person | None) -> Share:
    """A new link for the customer; an old one opens nothing any more."""
    share = Share.objects.select_for_update().get(pk=share.pk)
    share.token = secrets.token_urlsafe(TOKEN_BYTES)
    share.save(update_fields=("token",))
    record(by, "made a link", share)
    return share


@transaction.atomic
def withdraw_link(share: Share, *, by: Person | None) -> Share:
    """From now on the customer's link opens nothing."""
    share = Share.objects.select_for_update().get(pk=share.pk)
    share.token = ""
    share.save(update_fields=("token",))
    record(by, "withdrew a link", share)
    return share


def _open(share: Share) -> Share:
    share = Share.objects.select_for_update().select_related("animal").get(pk=share.pk)
    if share.state != OrderState.OPEN:
        raise CannotDo(
            [Finding(f"share {share.code}", str(share.state), "an open share", "Look at the share again.")]
        )
    return share


def _unknown_style(wishes: OwnerWishes) -> list[Finding]:
    styles = shipped_tree().styles
    if wishes.style in styles:
        return []
    return [Finding("style", wishes.style[:40], f"one of {', '.join(styles)}", "Choose one of them.")]
