"""Keys of devices: shown once, kept as a fingerprint, refused when withdrawn or when they may only read."""

from __future__ import annotations

import hashlib
import json
from typing import Any
from uuid import uuid4

import pytest
from django.test import Client

from gambrel.measures import CannotDo
from gambrel.shop.records.models import AuditLine, Device, Side, Weighing
from gambrel.shop.records.services import devices

pytestmark = pytest.mark.django_db


def ask(key: str | None, path: str = "/api/sides", method: str = "get", body: Any = None) -> Any:
    headers = {"X-Device-Key": key} if key is not None else {}
    kwargs = {"data": json.dumps(body), "content_type": "application/json"} if body is not None else {}
    return getattr(Client(), method)(path, headers=headers, **kwargs)


def test_a_key_opens_until_it_is_withdrawn(demo_shop: Any) -> None:
    device, key = devices.make("Block scale", may_write=True, by=demo_shop.person("owner"))
    assert ask(key).status_code == 200
    devices.withdraw(device, by=demo_shop.person("owner"))
    answer = ask(key)
    assert answer.status_code == 401
    assert answer.json()["findings"][0]["where"] == "X-Device-Key"


def test_only_the_fingerprint_is_kept(demo_shop: Any) -> None:
    device, key = devices.make("Block scale", may_write=True, by=None)
    assert device.fingerprint == hashlib.sha256(key.encode()).hexdigest()
    assert key not in json.dumps(list(Device.objects.values()), default=str)
    assert key not in json.dumps(list(AuditLine.objects.values()), default=str)


@pytest.mark.parametrize("key", [None, "", "wrong", "x" * 5000, "key\u00e9"])
def test_no_key_or_a_wrong_one_opens_nothing(demo_shop: Any, key: str | None) -> None:
    assert ask(key).status_code == 401


def test_somebody_signed_in_needs_a_key_like_everybody(owner_client: Client) -> None:
    """A page of another site cannot make a signed-in browser weigh something."""
    assert owner_client.get("/api/sides").status_code == 401


def test_a_reader_may_not_write(demo_shop: Any) -> None:
    _, key = devices.make("Shop window", may_write=False, by=None)
    side, before = Side.objects.all()[0], Weighing.objects.count()
    sent = {"key": str(uuid4()), "weight_kg": 150.0}
    answer = ask(key, f"/api/sides/{side.pk}/weighings", "post", sent)
    assert answer.status_code == 403 and Weighing.objects.count() == before
    assert ask(key).status_code == 200


def test_two_devices_of_one_name_are_refused(demo_shop: Any) -> None:
    devices.make("Block scale", may_write=True, by=None)
    with pytest.raises(CannotDo, match="name"):
        devices.make("Block scale", may_write=True, by=None)


def test_withdrawing_twice_is_said_once(demo_shop: Any) -> None:
    device, _ = devices.make("Block scale", may_write=True, by=None)
    first = devices.withdraw(device, by=None).withdrawn_at
    assert devices.withdraw(device, by=None).withdrawn_at == first
    assert AuditLine.objects.filter(what="withdrew a key").count() == 1
