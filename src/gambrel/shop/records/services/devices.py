"""Keys of scales, scanners and shop systems: made by the owner, shown once, withdrawn."""

from __future__ import annotations

import hashlib
import secrets

from django.db import IntegrityError, transaction

from gambrel.measures import CannotDo, Finding
from gambrel.shop.clock import now
from gambrel.shop.records.models import Device, Person
from gambrel.shop.records.services.trail import record


@transaction.atomic
def make(name: str, *, may_write: bool, by: Person | None) -> tuple[Device, str]:
    """A device and its key. The key is not kept, only its fingerprint: whoever loses it makes another."""
    key = secrets.token_urlsafe(32)
    try:
        with transaction.atomic():
            device = Device.objects.create(
                name=name, fingerprint=fingerprint(key), may_write=may_write, made_at=now(), made_by=by
            )
    except IntegrityError:
        raise CannotDo([Finding("name", name, "a name that no device has (withdrawn ones among them)",
                                "Choose another name.")]) from None  # fmt: skip
    record(by, "made a key", device, after={"name": name, "may_write": may_write})
    return device, key


@transaction.atomic
def withdraw(device: Device, *, by: Person | None) -> Device:
    """The device is refused from now on; what it wrote stays."""
    device = Device.objects.select_for_update().get(pk=device.pk)
    if device.withdrawn_at is None:
        device.withdrawn_at = now()
        device.save(update_fields=("withdrawn_at",))
        record(by, "withdrew a key", device)
    return device


def device_with(key: str) -> Device | None:
    """The device whose key this is and that was not withdrawn. Keys are long: finding one by trying is hopeless."""
    return Device.objects.filter(fingerprint=fingerprint(key), withdrawn_at__isnull=True).first()


def fingerprint(key: str) -> str:
    return hashlib.sha256(key.encode("utf-8", "surrogateescape")).hexdigest()
