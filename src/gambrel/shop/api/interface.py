"""The interface for programs: its addresses, and what a program is told when something is wrong."""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from ninja import NinjaAPI
from ninja.errors import AuthenticationError, HttpError, ValidationError

from gambrel.measures import CannotDo, Finding
from gambrel.shop.api import block, counter, sides
from gambrel.shop.api.asked import DeviceKey, MayNot, NotThere
from gambrel.shop.api.values import Refusal

api = NinjaAPI(
    title="The shop, for programs",
    version="1",
    description="Scales, scanners and shop systems. Every request carries a device's key in X-Device-Key; the owner "
    "makes and withdraws keys. Weights in kilograms, money in cents, times with their offset. Every line that is sent "
    "carries a key made by the sender: sent again after a broken connection, it is stored once.",
    auth=DeviceKey(),
    urls_namespace="api",
)
api.add_router("", sides.router)
api.add_router("", block.router)
api.add_router("", counter.router)


def _refused(request: HttpRequest, status: int, *findings: Finding) -> HttpResponse:
    return api.create_response(request, Refusal.of(*findings), status=status)


@api.exception_handler(CannotDo)
def cannot_do(request: HttpRequest, refusal: CannotDo) -> HttpResponse:
    return _refused(request, 409, *refusal.findings)


@api.exception_handler(NotThere)
def not_there(request: HttpRequest, error: NotThere) -> HttpResponse:
    return _refused(request, 404, Finding(request.path[:200], "no such record", "one that is there",
                                          "Ask for the list first."))  # fmt: skip


@api.exception_handler(MayNot)
def may_not(request: HttpRequest, error: MayNot) -> HttpResponse:
    return _refused(request, 403, Finding("X-Device-Key", "the key of a device that may only read",
                                          "one that may write", "Ask the owner for another key."))  # fmt: skip


@api.exception_handler(AuthenticationError)
def no_key(request: HttpRequest, error: AuthenticationError) -> HttpResponse:
    return _refused(request, 401, Finding("X-Device-Key", "no key, or one that was withdrawn", "the key of a device",
                                          "Ask the owner for a key."))  # fmt: skip


@api.exception_handler(ValidationError)
def not_valid(request: HttpRequest, error: ValidationError) -> HttpResponse:
    found = [Finding(".".join(map(str, one["loc"][1:])) or "request", "not as it is wanted", str(one["msg"]),
                     "Send it as the description of the interface says.") for one in error.errors]  # fmt: skip
    return _refused(request, 422, *found)


@api.exception_handler(HttpError)
def cannot_be_read(request: HttpRequest, error: HttpError) -> HttpResponse:
    return _refused(
        request, error.status_code, Finding("request", str(error), "JSON in UTF-8", "Send it so.")
    )
