"""Who may open which page: said where the page is given its address, and refused everywhere else.

`page` is the only way to give a page an address. A view without roles is not shown to anybody, so that a
forgotten line closes a page instead of opening it.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import update_wrapper
from typing import Any
from urllib.parse import urlencode

from django.http import HttpRequest, HttpResponse, HttpResponseForbidden
from django.shortcuts import redirect, render
from django.urls import URLPattern, path, reverse

OWNER, CUTTER, COUNTER, VISITOR = "owner", "cutter", "counter", "visitor"
ROLES = (OWNER, CUTTER, COUNTER)
"""Roles of people who sign in. A visitor has not signed in."""

EVERYBODY = frozenset((OWNER, CUTTER, COUNTER, VISITOR))
STAFF = frozenset(ROLES)
BLOCK = frozenset((OWNER, CUTTER))
SELLING = frozenset((OWNER, COUNTER))
OWNER_ONLY = frozenset((OWNER,))

PROGRAMS = "/api/"
"""Where programs ask: scales, scanners and shop systems, each with a key of its own."""

View = Callable[..., HttpResponse]


def page(
    route: str, view: View, *, name: str, roles: frozenset[str], without_shop: bool = False
) -> URLPattern:
    """An address with the roles that may open it. `roles` counts for every method of the page.

    Only a page marked `without_shop` opens before the shop is made.
    """
    if not roles <= EVERYBODY:
        raise ValueError(f"{name}: roles must be out of {sorted(EVERYBODY)}")

    def guarded(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
        return view(request, *args, **kwargs)

    update_wrapper(guarded, view)
    guarded.roles = roles  # type: ignore[attr-defined]
    guarded.without_shop = without_shop  # type: ignore[attr-defined]
    return path(route, guarded, name=name)


def role_of(request: HttpRequest) -> str:
    """The role of whoever asks."""
    return str(request.user.role) if request.user.is_authenticated else VISITOR


def name_tried(request: HttpRequest | None, credentials: dict[str, Any] | None) -> str:
    """The name under which wrong passwords are counted: names are told apart without regard to capitals."""
    said = (credentials or {}).get("username") or (request.POST.get("username") if request else "")
    return str(said or "").strip().casefold()


class GuardEveryPage:
    """Middleware: a page is shown to the roles its address names; anybody else is sent to sign in, or refused."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_view(
        self, request: HttpRequest, view: View, args: tuple[Any, ...], kwargs: dict[str, Any]
    ) -> HttpResponse | None:
        roles = getattr(view, "roles", None)
        if roles is None:
            # What programs ask for is opened by a device's key, which the interface itself looks at.
            return None if request.path.startswith(PROGRAMS) else HttpResponseForbidden("No roles.")
        if getattr(request, "shop", None) is None and not getattr(view, "without_shop", False):
            return redirect("make_shop")
        if role_of(request) in roles:
            return None
        if role_of(request) == VISITOR:
            return redirect(f"{reverse('sign_in')}?{urlencode({'next': request.get_full_path()})}")
        return render(request, "base/refused.html", status=403)
