"""Every address as every role, reading and sending: it opens to those whom the table names, and to nobody else."""

from __future__ import annotations

import uuid
from typing import Any

import page_times
import permissions
import pytest
from django.test import Client
from django.urls import URLPattern, get_resolver, path, reverse

from gambrel.shop.access import GuardEveryPage, page
from gambrel.shop.records.models import AuditLine, Person, ShopProfile

pytestmark = pytest.mark.django_db
ADDRESSES = permissions.addresses()
ANY_OF: dict[str, Any] = {
    "UUIDConverter": uuid.UUID(int=1),
    "SlugConverter": "suppliers",
    "StringConverter": "x",
}
SIGNED_IN = ("owner", "cutter", "counter")


def address_of(one: permissions.Address) -> str:
    """With a record that is there, or with any number where there is none: who may ask is settled before."""
    patterns = page_times._flat(get_resolver().url_patterns)
    pattern = next(found for found in patterns if found.name == one.name and hasattr(found.callback, "roles"))
    sample = {
        name: page_times.sample_of(name) or ANY_OF.get(type(converter).__name__, 1)
        for name, converter in pattern.pattern.converters.items()
    }
    return reverse(one.name, kwargs=sample)


def ask(role: str, method: str, address: str) -> Any:
    client = Client(raise_request_exception=False)
    if role != "visitor":
        client.force_login(Person.objects.get(role=role), backend="django.contrib.auth.backends.ModelBackend")
    answer = client.generic(method, address)
    page_times.body_of(answer)
    return answer


def is_led_to_sign_in(answer: Any) -> bool:
    return answer.status_code == 302 and answer["Location"].startswith(reverse("sign_in"))


def test_every_page_has_a_name_and_roles() -> None:
    assert len(ADDRESSES) > 30
    assert [one.route for one in ADDRESSES if not one.name or not one.roles] == []
    names = [one.name for one in ADDRESSES]
    assert len(names) == len(set(names)), "a name stands for one page"


def test_the_table_in_the_guide_is_that_of_the_addresses() -> None:
    assert permissions.TABLE.read_text("utf-8") == permissions.table(), "run `python tools/permissions.py`"


@pytest.mark.usefixtures("demo_shop")
@pytest.mark.parametrize("one", ADDRESSES, ids=lambda one: one.name)
def test_a_page_opens_to_its_roles_alone(one: permissions.Address) -> None:
    address, lines = address_of(one), AuditLine.objects.count()
    for role in [role for role in SIGNED_IN if role not in one.roles]:
        for method in ("GET", "POST", "PUT", "DELETE"):
            assert ask(role, method, address).status_code == 403, f"{role} {method} {address}"
    if "visitor" not in one.roles:
        for method in ("GET", "POST", "PUT", "DELETE"):
            assert is_led_to_sign_in(ask("visitor", method, address)), f"visitor {method} {address}"
    assert AuditLine.objects.count() == lines, "whoever is refused changes nothing"
    for role in [role for role in SIGNED_IN if role in one.roles]:
        for method in ("GET", "POST"):
            status = ask(role, method, address).status_code
            assert status != 403 and status < 500, f"{role} {method} {address}: {status}"


@pytest.mark.usefixtures("demo_shop")
def test_a_visitor_opens_only_what_is_everybodys() -> None:
    opened = {one.name for one in ADDRESSES if ask("visitor", "GET", address_of(one)).status_code == 200}
    assert opened == {"sign_in", "preferences", "manifest", "worker", "offline"}
    ShopProfile.objects.update(comparison_is_public=True)
    now_opened = {one.name for one in ADDRESSES if ask("visitor", "GET", address_of(one)).status_code == 200}
    assert now_opened - opened == {"compare"}


def test_a_view_without_roles_is_shown_to_nobody(demo_shop: Any, rf: Any) -> None:
    forgotten: URLPattern = path("x/", lambda request: None, name="x")
    request = rf.get("/x/")
    request.user, request.shop = demo_shop.person("owner"), demo_shop.profile
    answer = GuardEveryPage(lambda request: None).process_view(request, forgotten.callback, (), {})  # type: ignore[arg-type, return-value]
    assert answer is not None and answer.status_code == 403


def test_a_role_that_does_not_exist_is_a_mistake() -> None:
    with pytest.raises(ValueError, match="roles must be out of"):
        page("x/", lambda request: None, name="x", roles=frozenset({"king"}))  # type: ignore[arg-type, return-value]
