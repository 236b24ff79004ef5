"""The learn pages on the invented shop with its season, in a real browser: read as the owner reads them, and used."""

from __future__ import annotations

import re
from typing import Any

import pytest
from served import ServedShop

pytestmark = [pytest.mark.browser, pytest.mark.own_file, pytest.mark.usefixtures("that_week")]

PAGES = {"Balance": "/learn/", "Coolers": "/learn/coolers/", "Yields": "/learn/yields/", "Truth told": "/learn/truth/",
         "Scorecards": "/learn/scores/", "Rib face": "/learn/rib-face/"}  # fmt: skip
PHONE = {"width": 360, "height": 740}


@pytest.fixture
def owner(browser_page: Any, served_shop: ServedShop) -> Any:
    served_shop.sign_in(browser_page, "owner")
    return browser_page


def percent(text: str) -> float:
    return float(re.sub(r"[^\d.\-]", "", text))


def cells(page: Any, section: str, row: int) -> list[str]:
    """The cells of one row of the first table under a heading."""
    found = page.locator(f"[aria-labelledby='{section}'] table").first.locator("tbody tr").nth(row)
    return [" ".join(text.split()) for text in found.locator("th, td").all_inner_texts()]


def test_every_page_is_reached_by_its_link_and_says_something(owner: Any) -> None:
    owner.goto("/learn/")
    for name, address in PAGES.items():
        owner.click(f"nav.part-steps a:text-is('{name}')")
        owner.wait_for_url(f"**{address}")
        assert owner.locator("nav.part-steps a[aria-current]").first.inner_text() == name
        assert owner.locator("table").count() >= 1 and owner.locator("p.empty").count() == 0
        if name != "Balance":
            assert owner.locator(".picture svg").count() >= 1


def test_the_truth_is_told_and_one_kind_can_be_looked_at(owner: Any) -> None:
    owner.goto("/learn/truth/")
    promised = [percent(cells(owner, "inside-head", row)[0]) for row in range(3)]
    came = [percent(cells(owner, "inside-head", row)[1]) for row in range(3)]
    assert promised == [50, 80, 90] and came == sorted(came)
    verdict = owner.locator("#verdict").inner_text()
    assert f"{came[2]:.0f} %" in verdict
    every = int(cells(owner, "inside-head", 0)[3])
    owner.select_option("#kind", "bison")
    owner.click("text=Look")
    owner.wait_for_url("**kind=bison")
    assert 0 < int(cells(owner, "inside-head", 0)[3]) < every
    owner.click("summary:has-text('Animal by animal')")
    owner.locator("details table a").first.click()
    owner.wait_for_url("**/animals/*/")


def test_a_scorecard_leads_to_a_bid_that_is_filled_in(owner: Any) -> None:
    owner.goto("/learn/scores/")
    owner.select_option("#by", "supplier")
    owner.select_option("#figure", "profit_cents_per_kg")
    owner.click("text=Look")
    owner.wait_for_url("**figure=profit_cents_per_kg*")
    names = owner.locator("[aria-labelledby='cards-head'] table").first.locator("tbody th").all_inner_texts()
    assert {"Larkspur Draw", "Two Mile Feeding", "Our own herd"} <= set(names)
    becomes = cells(owner, "bid-head", 0)[3]
    owner.locator("[aria-labelledby='bid-head'] a").first.click()
    owner.wait_for_url("**/bid/**")
    offer = owner.input_value("#id_offer")
    assert offer.endswith("/lb") and percent(offer) == pytest.approx(
        percent(becomes.split("/lb")[0]), abs=0.011
    )
    assert owner.locator("#offer-head").count() == 1
    assert "put right by" in owner.inner_text("main")


def test_a_line_that_was_stored_twice_is_taken_out_from_the_page_that_names_it(owner: Any) -> None:
    owner.goto("/learn/")
    owner.locator("ul.findings a", has_text=re.compile(r"^S14-right$")).click()
    owner.wait_for_url("**/learn/sides/*/")
    side = owner.url
    assert "was stored twice" in owner.locator("[aria-labelledby='causes-head'] tbody th").first.inner_text()
    owner.click("[aria-labelledby='causes-head'] tbody a >> nth=0")
    owner.wait_for_url("**#out")
    assert "was stored twice" in owner.input_value("#id_why")
    owner.click("#out button")
    owner.wait_for_url("**/block/*/")
    owner.goto(side)
    assert owner.locator(".tag.good:has-text('closes')").count() == 1
    owner.goto("/learn/")
    assert owner.locator("ul.findings a", has_text=re.compile(r"^S14-right$")).count() == 0


def test_the_forecast_names_the_edition_that_the_yields_page_names(owner: Any) -> None:
    owner.goto("/learn/yields/")
    edition = owner.locator("dl.facts dd").last.inner_text()
    assert re.fullmatch(r"[0-9a-f]{12}", edition)
    owner.goto("/forecast/")
    owner.locator("main table a").first.click()
    owner.wait_for_url("**/forecast/*/")
    assert f"edition {edition}" in owner.inner_text("main")


def test_on_a_phone_nothing_is_wider_than_the_page(owner: Any) -> None:
    owner.set_viewport_size(PHONE)
    for address in PAGES.values():
        owner.goto(address)
        assert owner.evaluate("document.documentElement.scrollWidth") <= PHONE["width"], address


def test_the_cutter_reads_balance_and_coolers_in_spanish(browser_page: Any, served_shop: ServedShop) -> None:
    served_shop.sign_in(browser_page, "cutter")
    browser_page.goto("/learn/")
    links = browser_page.locator("nav.part-steps a").all_inner_texts()
    assert len(links) == 2 and "Cámaras" in links
    browser_page.goto("/learn/coolers/")
    drawn = browser_page.locator(".picture svg text").all_text_contents()
    assert "Perdido más que el libro" in drawn
