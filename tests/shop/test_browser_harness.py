"""A real browser on a real server: it signs in as a person does, and nothing of a page is refused by its own policy."""

from __future__ import annotations

from typing import Any

import pytest
from served import ServedShop

pytestmark = pytest.mark.browser


@pytest.mark.parametrize("role", ["owner", "cutter", "counter"])
def test_each_role_signs_in_through_the_form(served_shop: ServedShop, browser_page: Any, role: str) -> None:
    complaints: list[str] = []
    browser_page.on(
        "console", lambda message: complaints.append(message.text) if message.type == "error" else None
    )
    browser_page.on("pageerror", lambda error: complaints.append(str(error)))
    served_shop.sign_in(browser_page, role)
    assert served_shop.who(role)["name"] in browser_page.inner_text("body")
    assert complaints == []


def test_a_visitor_is_led_to_sign_in(served_shop: ServedShop, browser_page: Any) -> None:
    browser_page.goto("/rail/")
    assert "/sign-in/" in browser_page.url


def test_nothing_comes_from_elsewhere(served_shop: ServedShop, browser_page: Any) -> None:
    asked: list[str] = []
    browser_page.on("request", lambda request: asked.append(request.url))
    served_shop.sign_in(browser_page, "owner")
    browser_page.wait_for_load_state("networkidle")
    assert (
        asked and [url for url in asked if not url.startswith((served_shop.address, "data:", "blob:"))] == []
    )
