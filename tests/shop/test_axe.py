"""Every page in a real browser, in both languages and themes, on a phone and a desk: axe finds nothing (WCAG 2.2 AA).

Pages are found by following links, as a person would, in the middle of a day's work; every address of the shop is
then either reached or in one of the lists here, so that a new page cannot be forgotten.
"""

from __future__ import annotations

import re
from typing import Any

import links
import permissions
import pytest
from served import ServedShop

pytestmark = [pytest.mark.browser, pytest.mark.own_file, pytest.mark.usefixtures("that_week")]

PHONE, DESK = {"width": 360, "height": 760}, {"width": 1920, "height": 1080}
WAYS = [("en", "light", DESK), ("es", "dark", DESK), ("en", "dark", PHONE), ("es", "light", PHONE)]
"""Each language with each theme, each theme on each screen."""

OPTIONS = {
    "runOnly": {"type": "tag", "values": ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]},
    "rules": {"target-size": {"enabled": True}},
    "resultTypes": ["violations"],
}
NO_PAGES = {
    "home": "/", "make_shop": "/setup/begin/", "manifest": "/app.webmanifest", "worker": "/worker.js",
    "finish_cutting": "/block/1/finish/", "lot_labels": "/packs/1/labels.pdf", "books_table": "/books/books.csv",
    "counter_till": "/counter/till.csv", "everything_xlsx": "/exchange/everything.xlsx",
    "everything_zip": "/exchange/everything.zip", "example_table": "/exchange/example/suppliers.csv",
}  # fmt: skip
"""What answers with a file, or leads on to a page."""

ERROR_PAGES = {"nothing there": "/nothing-here/", "no such pack": "/stock/pack/999999999/",
               "nothing to trace": "/trace/?code=nothing"}  # fmt: skip
SAMPLES = {"uuid": "00000000-0000-0000-0000-000000000001"}
FOR_VISITORS = ("sign_in", "share_for_customer", "offline")


def violations(page: Any) -> list[str]:
    from axe_playwright_python.sync_playwright import Axe

    found = Axe().run(page, options=OPTIONS).response["violations"]
    return [
        f"{one['id']}: {node['target']} {node['html'][:160]}" for one in found for node in one["nodes"][:3]
    ]


def likes(page: Any, language: str, theme: str) -> None:
    page.goto("/preferences/")
    page.select_option("select[name=language]", language)
    page.select_option("select[name=theme]", theme)
    page.click("main form button[type=submit]")


@pytest.mark.parametrize(("language", "theme", "size"), WAYS, ids=str)
def test_axe_finds_nothing(
    browser_page: Any,
    served_shop: ServedShop,
    every_page: dict[str, str],
    language: str,
    theme: str,
    size: Any,
) -> None:
    browser_page.set_viewport_size(size)
    found = {}
    likes(browser_page, language, theme)  # a visitor's choice, kept in a cookie
    for name in FOR_VISITORS:
        found[f"{name}, a visitor"] = _looked_at(browser_page, every_page[name])
    served_shop.sign_in(browser_page, "owner")
    likes(browser_page, language, theme)
    for name, address in {**every_page, **ERROR_PAGES}.items():
        found[name] = _looked_at(browser_page, address)
    assert {name: said for name, said in found.items() if said} == {}


def _looked_at(page: Any, address: str) -> list[str]:
    """What axe says of a page, and whether it is wider than the window, which would make one scroll sideways."""
    page.goto(address)
    wide_px = page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
    return violations(page) + ([f"{wide_px} px wider than the window"] if wide_px > 0 else [])


def test_every_address_is_looked_at_or_is_no_page(
    chromium_browser: Any, served_shop: ServedShop, every_page: dict[str, str]
) -> None:
    """What is left takes forms only, or is a document to print."""
    context = chromium_browser.new_context(base_url=served_shop.address)
    served_shop.sign_in(context.new_page(), "owner")
    forgotten = []
    for one in permissions.addresses():
        if one.name in every_page or one.name in NO_PAGES or one.name == "sign_out":
            continue
        address = "/" + re.sub(r"<(\w+):\w+>", lambda part: SAMPLES.get(part[1], "1"), one.route)
        answer = context.request.get(address, max_redirects=0)
        if answer.status != 405 and not one.route.endswith((".pdf", ".jpg")):
            forgotten.append(f"{one.name}: {address} answers {answer.status}")
    assert forgotten == []
    for name, address in NO_PAGES.items():
        answer = context.request.get(address, max_redirects=0)
        assert answer.status == 302 or not links.is_page(answer), name
    context.close()
    assert len(every_page) > 90
