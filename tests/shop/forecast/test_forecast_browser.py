"""Another way tried, kept and left again in a real browser, with script and without."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from served import ServedShop

pytestmark = pytest.mark.browser


@pytest.fixture(scope="module", autouse=True)
def server_clock() -> Iterator[None]:
    """The server's clock stands on the day that the invented shop was made for."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("GAMBREL_NOW", "2026-03-09T15:30:00+00:00")
        yield


def open_forecast(page: Any, shop: ServedShop, side: str) -> None:
    shop.sign_in(page, "owner")
    page.goto("/forecast/")
    page.get_by_role("link", name=side, exact=True).click()
    page.wait_for_selector("#pieces-head")


def test_a_style_is_tried_kept_and_left(browser_page: Any, served_shop: ServedShop) -> None:
    open_forecast(browser_page, served_shop, "C1-left")
    assert "boneless, as usual" in browser_page.inner_text("#sum-head") or "plan" in browser_page.inner_text(
        "#sum-head"
    )
    browser_page.select_option("#style", "bone-in")
    browser_page.click("text=See what it changes")
    browser_page.wait_for_selector(".proposal table")
    assert browser_page.locator(".proposal tbody tr").count() > 5
    browser_page.fill("#why", "The Juniper Table wants the bone")
    browser_page.click("text=Break C1-left so")
    browser_page.wait_for_selector("text=Kept for C1-left")
    assert "as chosen for it" in browser_page.inner_text("#sum-head")
    assert browser_page.input_value("#style") == "bone-in"
    browser_page.click("text=Leave its ways to the plan")
    browser_page.wait_for_selector("text=Left to the plan again")
    assert "as chosen for it" not in browser_page.inner_text("#sum-head")


def test_one_piece_another_way_without_script(chromium_browser: Any, served_shop: ServedShop) -> None:
    context = chromium_browser.new_context(
        base_url=served_shop.address, java_script_enabled=False, viewport={"width": 360, "height": 800}
    )
    page = context.new_page()
    open_forecast(page, served_shop, "G1-left")
    page.click("summary >> text=rib")
    page.select_option("#way-rib-primal", "bone-in")
    page.click("text=See what these change")
    page.wait_for_selector(".proposal table")
    changed = page.inner_text(".proposal table")
    assert "rib" in changed
    page.click("summary >> text=rib")
    assert page.input_value("#way-rib-primal") == "bone-in"
    context.close()


def test_the_sheet_comes_as_a_pdf(browser_page: Any, served_shop: ServedShop) -> None:
    open_forecast(browser_page, served_shop, "W1-left")
    address = browser_page.get_attribute("text=Sheet to print (PDF)", "href")
    answer = browser_page.request.get(address)
    assert answer.headers["content-type"] == "application/pdf"
    assert answer.body().startswith(b"%PDF")
