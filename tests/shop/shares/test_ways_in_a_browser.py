"""Single ways of a share on a phone of 360 px: by keyboard, without script, in both languages, never wider than it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from served import ServedShop

pytestmark = pytest.mark.browser
PHONE = {"width": 360, "height": 760}


@pytest.fixture(scope="module", autouse=True)
def server_clock() -> Iterator[None]:
    """The server's clock stands on the day that the invented shop was made for."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("GAMBREL_NOW", "2026-03-09T15:30:00+00:00")
        yield


@pytest.fixture(params=[True, False], ids=["script", "no script"])
def phone(request: pytest.FixtureRequest, chromium_browser: Any, served_shop: ServedShop) -> Iterator[Any]:
    context = chromium_browser.new_context(
        base_url=served_shop.address, java_script_enabled=request.param, viewport=PHONE
    )
    page = context.new_page()
    served_shop.sign_in(page, "owner")
    yield page
    context.close()


def open_wishes(page: Any) -> None:
    """Of a share that is sold here, as a person sells it."""
    page.goto("/orders/shares/")
    page.click("text=Sell a share")
    page.fill("#id_customer", "A. Neighbour")
    animals = page.locator("#id_animal option")
    page.select_option("#id_animal", animals.nth(0).get_attribute("value"))
    page.select_option("#id_portion", "eighth")
    page.fill("#id_hanging_price", "5.00")
    page.click("main form button[type=submit]")
    page.click("text=Wished otherwise")
    page.wait_for_selector("#ways-head")


def wide_px(page: Any) -> int:
    """So many pixels more than the window: read by the layout of the body, without the page's own script."""
    return int(page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth"))


def test_the_form_is_short_opened_by_keyboard_kept_and_told(phone: Any) -> None:
    open_wishes(phone)
    parts = phone.locator("main details")
    assert parts.count() > 4 and wide_px(phone) == 0
    assert not any(select.is_visible() for select in phone.locator("main details select").all())
    closed_px = phone.locator("main form.card").bounding_box()["height"]
    parts.nth(0).locator("summary").focus()
    phone.keyboard.press("Enter")
    select = parts.nth(0).locator("select").first
    assert select.is_visible()
    phone.keyboard.press("Tab")
    assert phone.evaluate("document.activeElement.tagName") == "SELECT"
    phone.keyboard.press("ArrowDown")
    chosen = select.evaluate("one => one.selectedOptions[0].text")
    assert chosen != "as the style says" and wide_px(phone) == 0
    phone.click("main form.card button[type=submit]")
    phone.click("text=Wished otherwise")
    summary = phone.locator("main details summary").first.inner_text()
    assert summary.endswith(f": {chosen}") and "as the style says" not in summary
    for part in phone.locator("main details").all():
        part.locator("summary").click()
    assert wide_px(phone) == 0
    opened_px = phone.locator("main form.card").bounding_box()["height"]
    assert closed_px < 0.5 * opened_px


def test_a_finger_hits_every_summary_and_long_ones_wrap(phone: Any) -> None:
    """Every piece of the longest primal chosen otherwise: its summary is of many words, within the window."""
    open_wishes(phone)
    for part in phone.locator("main details").all():
        part.locator("summary").click()
        for select in part.locator("select").all():
            select.select_option(index=select.locator("option").count() - 1)
    phone.click("main form.card button[type=submit]")
    phone.click("text=Wished otherwise")
    assert wide_px(phone) == 0
    for summary in phone.locator("main details summary").all():
        box = summary.bounding_box()
        assert box["height"] >= 44 and box["x"] >= 0 and box["x"] + box["width"] <= PHONE["width"]
    assert phone.locator("main details summary b").count() > 4
