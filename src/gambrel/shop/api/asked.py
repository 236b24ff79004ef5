"""Who asks: a device by its key; and what every answer has in common."""

from __future__ import annotations

from typing import TypeVar

from django.db.models import Model, QuerySet
from django.http import HttpRequest
from ninja.security import APIKeyHeader

from gambrel.measures import CannotDo, Finding
from gambrel.shop.api.values import Refusal
from gambrel.shop.records.models import Device
from gambrel.shop.records.services.devices import device_with

Row = TypeVar("Row", bound=Model)
READS = {401: Refusal, 404: Refusal, 422: Refusal}
WRITES = {400: Refusal, 401: Refusal, 403: Refusal, 404: Refusal, 409: Refusal, 422: Refusal}
"""What may come instead of the value that was asked for."""


class NotThere(Exception):
    """There is no such record."""


class MayNot(Exception):
    """The device may only read."""


class DeviceKey(APIKeyHeader):
    """The key of a device that was not withdrawn, in the header `X-Device-Key`."""

    param_name = "X-Device-Key"

    def authenticate(self, request: HttpRequest, key: str | None) -> Device | None:
        return device_with(key) if key else None


def writer(request: HttpRequest) -> Device:
    """The device that asks, which may write; raises where it may not."""
    device: Device = request.auth  # type: ignore[attr-defined]
    if not device.may_write:
        raise MayNot
    return device


def one(rows: QuerySet[Row], pk: int) -> Row:
    found = rows.filter(pk=pk).first()
    if found is None:
        raise NotThere
    return found


def stop_if_other(where: str, *, kept: object, sent: object) -> None:
    """A key names one line for ever: `CannotDo` where it was sent again with another content."""
    if kept != sent:
        raise CannotDo([Finding(where, f"{sent}", f"{kept}, which this key was used for already",
                                "Send a new line with a new key.")])  # fmt: skip
