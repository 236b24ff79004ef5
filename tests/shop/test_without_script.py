"""Every page without its scripts, as it is first painted; and what a browser fetches for it, photographs apart."""

from __future__ import annotations

import re
from typing import Any

import pytest
from served import ServedShop

pytestmark = [pytest.mark.browser, pytest.mark.own_file, pytest.mark.usefixtures("that_week")]

LARGEST_KB = 150.0
_FETCHED = re.compile(r'<(?:link|script|img|image|input)\b[^>]*?\b(?:href|src)="([^"#]+)"')
_PHOTOGRAPH = re.compile(r"/ribface/picture/")


@pytest.fixture(scope="module")
def no_script(chromium_browser: Any, served_shop: ServedShop) -> Any:
    """The owner, signed in, in a browser that runs no script."""
    context = chromium_browser.new_context(base_url=served_shop.address, java_script_enabled=False)
    page = context.new_page()
    served_shop.sign_in(page, "owner")
    yield page
    context.close()


def test_every_page_says_what_it_is_before_any_script_runs(
    no_script: Any, every_page: dict[str, str]
) -> None:
    """A heading, and more than a heading: a form, a table, a picture or sentences."""
    bare = []
    for name, address in every_page.items():
        no_script.goto(address)
        heading = no_script.locator("h1").first
        said = no_script.locator("main, body").first.inner_text()
        if not heading.count() or not heading.is_visible() or len(said) < len(heading.inner_text()) + 20:
            bare.append(f"{name}: {said[:80]!r}")
    assert bare == []


def test_a_form_is_sent_without_a_script(no_script: Any) -> None:
    no_script.goto("/cooler/1/read/")
    no_script.fill("#id_air_c", "35 F")
    no_script.click("main form button[type=submit]")
    assert no_script.url.endswith("/cooler/")
    assert "35 °F" in no_script.inner_text("main")


def test_what_a_browser_fetches_for_a_page_is_light(no_script: Any, every_page: dict[str, str]) -> None:
    """The page with its styles, scripts, icons and drawings, none of it packed smaller on the way."""
    asking, sizes, heavy = no_script.context.request, dict[str, int](), []
    for name, address in every_page.items():
        body = asking.get(address).body()
        wanted = {one for one in _FETCHED.findall(body.decode()) if one.startswith("/")}
        for one in wanted - sizes.keys():
            sizes[one] = 0 if _PHOTOGRAPH.search(one) else len(asking.get(one).body())
        kilobytes = (len(body) + sum(sizes[one] for one in wanted)) / 1000
        if kilobytes > LARGEST_KB:
            heavy.append(f"{name}: {kilobytes:.0f} kB")
    assert heavy == []
    assert sum(1 for size in sizes.values() if size) > 10, "styles and scripts were found in the pages"
