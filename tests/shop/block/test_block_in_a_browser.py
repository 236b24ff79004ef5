"""The block on a tablet, in a real browser: a scale that types, doubts, lost wireless, undo, two tablets at once."""

from __future__ import annotations

import os
import re
import sqlite3
import time
from collections.abc import Iterator
from contextlib import closing
from typing import Any

import pytest
from playwright.sync_api import expect
from served import ServedShop, begin_boneless

pytestmark = [
    pytest.mark.browser,
    pytest.mark.skipif(
        bool(os.environ.get("GAMBREL_DATABASE")),
        reason="looks into the records file, which PostgreSQL has not",
    ),
]

TABLET = {"width": 1024, "height": 768}


@pytest.fixture(scope="module")
def signed_in(chromium_browser: Any, served_shop: ServedShop) -> dict[str, Any]:
    """What a browser keeps of a cutter and of an owner who have signed in, the cutter's pages in English."""
    states = {}
    for role in ("cutter", "owner"):
        context = chromium_browser.new_context(base_url=served_shop.address)
        served_shop.sign_in(context.new_page(), role)
        states[role] = context.storage_state()
        context.close()
    with closing(sqlite3.connect(served_shop.folder / "shop.sqlite3")) as records, records:
        records.execute("UPDATE records_person SET language = 'en' WHERE role = 'cutter'")
    return states


@pytest.fixture
def tablet(chromium_browser: Any, served_shop: ServedShop, signed_in: dict[str, Any]) -> Iterator[Any]:
    """A tablet with the cutter signed in."""
    context = chromium_browser.new_context(
        base_url=served_shop.address, viewport=TABLET, has_touch=True, storage_state=signed_in["cutter"]
    )
    yield context.new_page()
    context.close()


def kept(served: ServedShop, side: str) -> list[tuple[str, str]]:
    """What stands in the records of a side: slug and what was typed."""
    tag, half = side.split("-")
    with closing(sqlite3.connect(served.folder / "shop.sqlite3")) as records:
        rows = records.execute(
            "SELECT w.slug, w.typed FROM records_scaleweight w JOIN records_cutting c ON c.id = w.cutting_id "
            "JOIN records_side s ON s.id = c.side_id JOIN records_animal a ON a.id = s.animal_id "
            "WHERE a.tag = ? AND s.half = ? AND NOT w.taken_out "
            "AND NOT EXISTS (SELECT 1 FROM records_scaleweight x WHERE x.corrects_id = w.id) ORDER BY w.id",
            (tag, half),
        )
        return list(rows)


def until_kept(served: ServedShop, side: str, weights: list[tuple[str, str]]) -> None:
    end = time.monotonic() + 30
    while kept(served, side) != weights and time.monotonic() < end:
        time.sleep(0.1)
    assert kept(served, side) == weights


def begin(page: Any, side: str) -> None:
    """Take a side off its rail, with the hot weight less a twentieth and a yes to any doubt."""
    tag, half = side.split("-")
    page.goto("/block/")
    if page.locator("details:not([open])").count():
        page.eval_on_selector_all("details", "all => all.forEach(one => one.open = true)")
    link = page.locator(f".turn-{half} a", has_text=re.compile(rf"\b{tag}\b")).first
    hot_lb = float(re.search(r"([\d.]+) lb", link.inner_text())[1])  # type: ignore[index]
    link.click()
    begin_boneless(page, f"{hot_lb * 0.97:.0f} lb")


def scale_types(page: Any, text: str) -> None:
    page.keyboard.type(text)
    page.keyboard.press("Enter")


def test_a_scale_types_and_every_weight_is_confirmed(tablet: Any, served_shop: ServedShop) -> None:
    begin(tablet, "C1-left")
    assert tablet.locator(".side-head").first.inner_text().startswith("LEFT")
    tablet.click("[data-slug=chuck-roll]")
    scale_types(tablet, "22.4")
    tablet.wait_for_selector(".said.good")
    assert tablet.inner_text("#said") == "Stored: chuck roll, 22.40 lb"
    tablet.click("[data-slug=mock-tender]")
    tablet.locator("h1").click()  # the focus is elsewhere when the scale types
    scale_types(tablet, "3.4")
    expect(tablet.locator("#said")).to_contain_text("mock tender")
    assert kept(served_shop, "C1-left") == [("chuck-roll", "22.4 lb"), ("mock-tender", "3.4 lb")]
    assert "✓" in tablet.inner_text("[data-slug=mock-tender]")


def test_big_targets_for_gloves(tablet: Any) -> None:
    """Every target of the block is at least 64 CSS pixels high and wide."""
    begin(tablet, "C1-right")
    assert tablet.locator(".side-right").count() >= 1
    for selector in ("[data-slug]", "#weigh button[type=submit]", "#typed", ".tools a"):
        for box in tablet.eval_on_selector_all(
            selector, "all => all.map(one => [one.offsetWidth, one.offsetHeight])"
        ):
            assert min(box) >= 64, (selector, box)


def test_a_doubtful_weight_is_asked_about_and_a_second_doubt_does_not_push_it_out(
    tablet: Any, served_shop: ServedShop
) -> None:
    begin(tablet, "C2-left")
    for slug in ("strip-loin", "top-round"):
        tablet.click(f"[data-slug={slug}]")
        scale_types(tablet, "99")
        expect(tablet.locator(".asked")).to_have_count(1 + (slug == "top-round"))
    assert kept(served_shop, "C2-left") == []
    tablet.reload()  # what was asked and not answered is asked again
    expect(tablet.locator(".asked")).to_have_count(2)
    tablet.locator(".asked", has_text="strip loin").locator("button").click()
    tablet.wait_for_selector(".said.good")
    tablet.locator(".asked", has_text="top round").locator(".no").click()
    assert tablet.locator(".asked").count() == 0
    tablet.reload()
    expect(tablet.locator(".asked")).to_have_count(0)
    assert kept(served_shop, "C2-left") == [("strip-loin", "99 lb")]


def test_refused_weights_stand_until_each_is_answered(tablet: Any, served_shop: ServedShop) -> None:
    """Two that cannot be stored: neither pushes the other out, nor does a weight that is stored or a reload."""
    begin(tablet, "W2-left")
    for slug, text in (("chuck-roll", "1o.4"), ("mock-tender", "3..4")):
        tablet.click(f"[data-slug={slug}]")
        scale_types(tablet, text)
    refused = tablet.locator(".asked", has_text="Not stored")
    expect(refused).to_have_count(2)
    tablet.click("[data-slug=mock-tender]")
    scale_types(tablet, "3.4")
    expect(tablet.locator("#said")).to_contain_text("mock tender")
    tablet.reload()
    expect(refused).to_have_count(2)
    tablet.locator(".asked", has_text="chuck roll: 1o.4").locator(".again").click()
    assert tablet.input_value("#typed") == "1o.4" and tablet.input_value("#slug") == "chuck-roll"
    tablet.fill("#typed", "10.4")
    tablet.keyboard.press("Enter")
    expect(tablet.locator("#said")).to_contain_text("chuck roll")
    refused.locator(".no").click()
    expect(refused).to_have_count(0)
    tablet.reload()
    expect(refused).to_have_count(0)
    assert kept(served_shop, "W2-left") == [("mock-tender", "3.4 lb"), ("chuck-roll", "10.4 lb")]


def test_a_weight_that_waits_is_stored_though_its_side_is_finished_meanwhile(
    tablet: Any, served_shop: ServedShop, chromium_browser: Any, signed_in: dict[str, Any]
) -> None:
    begin(tablet, "W2-right")
    address = tablet.url
    tablet.route("**/weigh/", lambda route: route.abort())
    tablet.click("[data-slug=chuck-roll]")
    scale_types(tablet, "10.6")
    expect(tablet.locator("#waiting")).to_contain_text("1 weight waits")
    context = chromium_browser.new_context(base_url=served_shop.address, storage_state=signed_in["owner"])
    second = context.new_page()
    second.goto(address)
    finish(second)
    context.close()
    tablet.unroute("**/weigh/")
    tablet.goto(address)
    expect(tablet.locator("#said")).to_contain_text("Stored: chuck roll")
    expect(tablet.locator("#waiting")).to_be_hidden()
    assert kept(served_shop, "W2-right") == [("chuck-roll", "10.6 lb")]


def test_without_wireless_weights_wait_even_through_a_reload_and_are_sent_once(
    tablet: Any, served_shop: ServedShop
) -> None:
    begin(tablet, "C2-right")
    address = tablet.url
    tablet.route("**/weigh/", lambda route: route.abort())
    tablet.click("[data-slug=chuck-roll]")
    for text in ("10.1", "10.2", "2.3"):
        scale_types(tablet, text)
    expect(tablet.locator("#waiting")).to_contain_text("3 weights wait")
    tablet.goto(address)
    expect(tablet.locator("#waiting")).to_contain_text("3 weights wait")
    assert kept(served_shop, "C2-right") == []
    tablet.unroute("**/weigh/")
    tablet.wait_for_selector("#waiting", state="hidden")
    assert kept(served_shop, "C2-right") == [("chuck-roll", f"{text} lb") for text in ("10.1", "10.2", "2.3")]


def finish(page: Any) -> None:
    page.click("text=Finish this side")
    page.fill("#id_why", "the rest goes to the grinder unweighed")
    page.click("text=The side is cut")
    page.wait_for_url("**/block/")


def test_a_side_is_not_finished_while_its_weights_wait_on_the_tablet(
    tablet: Any, served_shop: ServedShop
) -> None:
    """They are sent from the page that finishes it, and what is doubted is answered there first."""
    begin(tablet, "B1-left")
    tablet.route("**/weigh/", lambda route: route.abort())
    for slug, text in (("strip-loin", "99"), ("chuck-roll", "10.7")):
        tablet.click(f"[data-slug={slug}]")
        scale_types(tablet, text)
    expect(tablet.locator("#waiting")).to_contain_text("2 weights wait")
    tablet.click("text=Finish this side")
    tablet.fill("#id_why", "the rest goes to the grinder unweighed")
    tablet.click("text=The side is cut")
    assert "/finish/" in tablet.url
    expect(tablet.locator("#waiting")).to_contain_text("2 weights wait")
    tablet.unroute("**/weigh/")
    doubt = tablet.locator(".asked", has_text="strip loin: 99")
    expect(tablet.locator("#waiting")).to_be_hidden()
    expect(doubt).to_have_count(1)
    nothing_of = tablet.locator("#ends li a")
    expect(nothing_of.filter(has_text="chuck roll")).to_have_count(0)
    expect(nothing_of.filter(has_text="strip loin")).to_have_count(1)
    assert kept(served_shop, "B1-left") == [("chuck-roll", "10.7 lb")]
    tablet.click("text=The side is cut")
    assert "/finish/" in tablet.url
    doubt.locator("button[name=sure]").click()
    expect(nothing_of.filter(has_text="strip loin")).to_have_count(0)
    assert kept(served_shop, "B1-left") == [("chuck-roll", "10.7 lb"), ("strip-loin", "99 lb")]
    assert tablet.input_value("#id_why") == "the rest goes to the grinder unweighed"
    tablet.click("text=The side is cut")
    tablet.wait_for_url("**/block/")


def test_what_waits_is_sent_and_told_on_whichever_page_is_open(tablet: Any, served_shop: ServedShop) -> None:
    """Signed out and in again the cutter stands on another page: nothing needs to be looked for."""
    begin(tablet, "B1-right")
    address = tablet.url
    tablet.context.clear_cookies(name="sessionid")
    for slug, text in (("chuck-roll", "10.8"), ("strip-loin", "99")):
        tablet.click(f"[data-slug={slug}]")
        scale_types(tablet, text)
    expect(tablet.locator("#waiting")).to_contain_text("Signed out")
    served_shop.sign_in(tablet, "cutter")
    until_kept(served_shop, "B1-right", [("chuck-roll", "10.8 lb")])
    told = tablet.locator("#not-stored a", has_text="strip loin: 99")
    told.click()
    assert tablet.url.split("?")[0] == address.split("?")[0]
    tablet.locator(".asked", has_text="strip loin: 99").locator(".no").click()
    tablet.goto("/rail/")
    expect(tablet.locator("#not-stored")).to_be_hidden()
    assert kept(served_shop, "B1-right") == [("chuck-roll", "10.8 lb")]


def test_two_pages_on_one_tablet_write_over_nothing_of_each_other(
    tablet: Any, served_shop: ServedShop
) -> None:
    begin(tablet, "G2-right")
    other = tablet.context.new_page()
    other.goto(tablet.url)
    tablet.context.route("**/weigh/", lambda route: route.abort())
    for text in ("2.1", "2.2"):
        for page, more in ((tablet, "0"), (other, "5")):
            page.bring_to_front()
            page.click("[data-slug=chuck-roll]")
            scale_types(page, text + more)
    for page in (tablet, other):
        page.reload()
        expect(page.locator("#waiting")).to_contain_text("4 weights wait")
    tablet.context.unroute("**/weigh/")
    for page in (tablet, other):
        expect(page.locator("#waiting")).to_be_hidden()
    typed = [text for _, text in kept(served_shop, "G2-right")]
    assert sorted(typed) == ["2.10 lb", "2.15 lb", "2.20 lb", "2.25 lb"]


def test_an_answer_that_was_lost_on_the_way_does_not_double_the_weight(
    tablet: Any, served_shop: ServedShop
) -> None:
    """The shop stores it, the tablet hears nothing and sends it again under the same key."""
    begin(tablet, "W1-left")
    lost = []

    def lose_first(route: Any) -> None:
        if not lost:
            lost.append(route.fetch())
            route.abort()
        else:
            route.continue_()

    tablet.route("**/weigh/", lose_first)
    tablet.click("[data-slug=chuck-roll]")
    scale_types(tablet, "15.5")
    tablet.wait_for_selector(".said.good")
    assert lost[0].status == 200
    assert kept(served_shop, "W1-left") == [("chuck-roll", "15.5 lb")]


def test_signed_out_nothing_is_lost(tablet: Any, served_shop: ServedShop) -> None:
    begin(tablet, "W1-right")
    tablet.context.clear_cookies(name="sessionid")
    tablet.click("[data-slug=chuck-roll]")
    scale_types(tablet, "15.5")
    tablet.wait_for_selector("#waiting:not([hidden])")
    expect(tablet.locator("#waiting")).to_contain_text("Signed out")
    address = tablet.url
    served_shop.sign_in(tablet, "cutter")
    tablet.goto(address)
    tablet.wait_for_selector(".said.good")
    assert kept(served_shop, "W1-right") == [("chuck-roll", "15.5 lb")]


def test_undo_and_two_tablets_on_one_side(
    tablet: Any, served_shop: ServedShop, chromium_browser: Any, signed_in: dict[str, Any]
) -> None:
    begin(tablet, "G1-left")
    context = chromium_browser.new_context(
        base_url=served_shop.address, viewport=TABLET, storage_state=signed_in["owner"]
    )
    second = context.new_page()
    second.goto(tablet.url)
    for page, slug, text in ((tablet, "chuck-roll", "14.1"), (second, "strip-loin", "11.2")):
        page.click(f"[data-slug={slug}]")
        scale_types(page, text)
    for page in (tablet, second):
        expect(page.locator(".target.weighed")).to_have_count(2)
    assert sorted(kept(served_shop, "G1-left")) == [("chuck-roll", "14.1 lb"), ("strip-loin", "11.2 lb")]
    tablet.click(".undo button")
    expect(tablet.locator("#said")).to_contain_text("Taken out")
    assert len(kept(served_shop, "G1-left")) == 1
    context.close()


def test_without_script_a_weight_is_stored_by_a_plain_form(
    chromium_browser: Any, served_shop: ServedShop, signed_in: dict[str, Any]
) -> None:
    context = chromium_browser.new_context(
        base_url=served_shop.address, java_script_enabled=False, storage_state=signed_in["owner"]
    )
    page = context.new_page()
    begin(page, "G1-right")
    page.click("[data-slug=chuck-roll]")
    page.fill("#typed", "14.1")
    with page.expect_navigation():
        page.keyboard.press("Enter")
    assert "Stored: chuck roll, 14.10 lb" in page.inner_text(".messages")
    page.click(".undo button")
    assert "Taken out: chuck roll" in page.inner_text(".messages")
    assert kept(served_shop, "G1-right") == []
    context.close()


def test_a_keypad_for_gloves_types_a_weight(tablet: Any, served_shop: ServedShop) -> None:
    begin(tablet, "G2-left")
    tablet.click("[data-slug=chuck-roll]")
    for key in ("1", "3", "9", "⌫", ".", "5"):
        tablet.locator(".keypad button", has_text=re.compile(f"^{re.escape(key)}$")).click()
    assert tablet.input_value("#typed") == "13.5"
    tablet.click("#weigh button[type=submit]")
    tablet.wait_for_selector(".said.good")
    assert kept(served_shop, "G2-left") == [("chuck-roll", "13.5 lb")]
