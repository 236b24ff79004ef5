"""Block and grinder with the network cut, in a real browser: a reload, two tablets, a flat battery, a wrong clock.

Nothing that was typed is lost, nothing is stored twice, and the order is kept.
"""

from __future__ import annotations

import os
import re
import signal
import sqlite3
import time
from collections.abc import Callable, Iterator
from contextlib import closing, suppress
from pathlib import Path
from typing import Any

import browser
import pytest
from playwright.sync_api import Error as PlaywrightError
from playwright.sync_api import expect
from served import ServedShop, begin_boneless

pytestmark = [
    pytest.mark.browser,
    pytest.mark.skipif(
        bool(os.environ.get("GAMBREL_DATABASE")),
        reason="looks into the records file, which PostgreSQL has not",
    ),
]


def asked(served: ServedShop, query: str, *values: Any) -> list[tuple[Any, ...]]:
    with closing(sqlite3.connect(served.folder / "shop.sqlite3")) as records, records:
        return list(records.execute(query, values))


@pytest.fixture
def tablet(chromium_browser: Any, served_shop: ServedShop) -> Iterator[Callable[[], Any]]:
    """`tablet()` is a page on a tablet of its own, the owner signed in; its worker is at work."""
    contexts = []

    def open_one() -> Any:
        context = chromium_browser.new_context(
            base_url=served_shop.address, viewport={"width": 1024, "height": 768}
        )
        contexts.append(context)
        page = context.new_page()
        served_shop.sign_in(page, "owner")
        page.evaluate("navigator.serviceWorker.ready.then(() => true)")
        return page

    yield open_one
    for context in contexts:
        context.close()


def begin_side(page: Any, served: ServedShop) -> str:
    """A side of cattle on the block; gives the address of its page."""
    rows = asked(served, "SELECT s.id, s.hot_kg FROM records_side s JOIN records_animal a ON a.id = s.animal_id "
                 "WHERE s.state = 'hanging' AND a.kind = 'grain-finished' ORDER BY s.id")  # fmt: skip
    side_id, hot_kg = rows[0]
    page.goto(f"/block/begin/{side_id}/")
    begin_boneless(page, f"{float(hot_kg) * 0.97:.1f} kg")
    return re.sub(r"^https?://[^/]+|\?.*$|#.*$", "", page.url)


def weigh(page: Any, slug: str, typed: str) -> None:
    page.click(f"[data-slug={slug}]")
    page.fill("#typed", typed)
    page.keyboard.press("Enter")


def weights(served: ServedShop, address: str) -> list[tuple[str, str]]:
    cutting = int(re.findall(r"\d+", address)[-1])
    return asked(
        served, "SELECT slug, typed FROM records_scaleweight WHERE cutting_id = ? ORDER BY id", cutting
    )


def answer_doubts(page: Any, done: Callable[[], bool]) -> None:
    """A doubt is answered by its button, a weight without one goes by itself, until all are there and none waits."""

    def look() -> bool:
        page.wait_for_timeout(100)
        if page.locator(".asked .sure button").count():
            page.locator(".asked .sure button").first.click()
        return done()

    until(look)
    expect(page.locator("#waiting")).to_be_hidden()
    expect(page.locator(".asked")).to_have_count(0)


def reload(page: Any) -> None:
    page.reload(wait_until="domcontentloaded")
    page.wait_for_selector("#weigh")


def test_a_reload_without_network_loses_and_doubles_nothing(tablet: Any, served_shop: ServedShop) -> None:
    page = tablet()
    address = begin_side(page, served_shop)
    page.goto(address)
    weigh(page, "chuck-roll", "10.1 kg")
    page.wait_for_selector(".said.good")
    page.context.set_offline(True)
    expect(page.locator("#no-network")).to_be_visible()
    weigh(page, "mock-tender", "1.6 kg")
    weigh(page, "mock-tender", "1.5 kg")
    expect(page.locator("#waiting")).to_contain_text("2 weights wait")
    reload(page)  # the page as it was last seen, out of the browser's own store
    expect(page.locator("#waiting")).to_contain_text("2 weights wait")
    weigh(page, "chuck-roll", "2.2 kg")
    expect(page.locator("#waiting")).to_contain_text("3 weights wait")
    page.context.set_offline(False)
    answer_doubts(page, lambda: len(weights(served_shop, address)) == 4)
    kept = weights(served_shop, address)
    assert sorted(kept) == sorted(set(kept)) and len(kept) == 4
    assert [one for one in kept if one[0] == "mock-tender"] == [
        ("mock-tender", "1.6 kg"),
        ("mock-tender", "1.5 kg"),
    ]


def test_two_tablets_without_network_store_every_weight_once(tablet: Any, served_shop: ServedShop) -> None:
    first, second = tablet(), tablet()
    address = begin_side(first, served_shop)
    for page in (first, second):
        page.goto(address)
        page.wait_for_selector("#weigh")
        page.context.set_offline(True)
    weigh(first, "chuck-roll", "9.9 kg")
    weigh(second, "mock-tender", "1.7 kg")
    reload(first)
    for page in (second, first):
        expect(page.locator("#waiting")).to_contain_text("1 weight waits")
        page.context.set_offline(False)
        expect(page.locator("#waiting")).to_be_hidden()
    assert sorted(weights(served_shop, address)) == [("chuck-roll", "9.9 kg"), ("mock-tender", "1.7 kg")]


def test_a_tablet_whose_clock_is_wrong_changes_no_time(tablet: Any, served_shop: ServedShop) -> None:
    page = tablet()
    address = begin_side(page, served_shop)
    page.clock.set_fixed_time("2031-01-01T00:00:00Z")
    page.goto(address)
    weigh(page, "chuck-roll", "9.8 kg")
    page.wait_for_selector(".said.good")
    cutting = int(re.findall(r"\d+", address)[-1])
    begun, at = asked(served_shop, "SELECT c.begun_at, w.at FROM records_scaleweight w JOIN records_cutting c "
                      "ON c.id = w.cutting_id WHERE c.id = ?", cutting)[0]  # fmt: skip
    assert at[:10] == begun[:10]  # the shop's own clock, as for everything else


def test_trim_weighed_into_a_batch_waits_through_a_reload(tablet: Any, served_shop: ServedShop) -> None:
    page = tablet()
    page.goto("/grind/begin/")
    page.select_option("#id_name", "ground-beef")
    page.fill("#id_lean_pct", "75")
    page.click("main form button[type=submit]")
    page.wait_for_selector("#weigh")
    batch = int(re.findall(r"\d+", page.url)[-1])
    page.reload()
    page.wait_for_selector("#weigh")
    page.context.set_offline(True)
    for typed in ("0.05 kg", "0.06 kg"):
        page.fill("#typed", typed)
        page.keyboard.press("Enter")
    expect(page.locator("#waiting")).to_contain_text("2 weights wait")
    reload(page)
    expect(page.locator("#waiting")).to_contain_text("2 weights wait")
    page.context.set_offline(False)
    expect(page.locator("#waiting")).to_be_hidden()
    rows = asked(served_shop, "SELECT typed FROM records_batchinput WHERE batch_id = ? ORDER BY id", batch)
    assert rows == [("0.05 kg",), ("0.06 kg",)]


def test_what_the_grinder_s_page_refuses_stands_until_it_is_answered(
    tablet: Any, served_shop: ServedShop
) -> None:
    """More than is in the tub, twice: neither pushes the other out, and the batch is not closed before an answer."""
    page = tablet()
    page.goto("/grind/")
    page.locator("main a[href*='/grind/']", has_text="ground beef").first.click()
    page.wait_for_selector("#weigh")
    address = page.url
    batch = int(re.findall(r"\d+", address)[-1])
    before = asked(served_shop, "SELECT count(*) FROM records_batchinput WHERE batch_id = ?", batch)
    for typed in ("501 kg", "502 kg"):
        page.fill("#typed", typed)
        page.keyboard.press("Enter")
    refused = page.locator(".asked", has_text="Not stored")
    expect(refused).to_have_count(2)
    page.goto(f"{address}close/")
    expect(page.locator("#asked .asked")).to_have_count(2)
    assert page.locator(".again").count() == 0, "there is no form to type it into"
    page.click("main form[data-ends] button")
    assert page.url == f"{address}close/"
    page.locator(".asked", has_text="501 kg").locator(".no").click()
    page.goto(address)
    expect(refused).to_have_count(1)
    page.locator(".asked", has_text="502 kg").locator(".again").click()
    assert page.input_value("#typed") == "502 kg"
    page.reload()
    expect(refused).to_have_count(0)
    assert asked(served_shop, "SELECT count(*) FROM records_batchinput WHERE batch_id = ?", batch) == before


def test_a_page_that_was_never_seen_says_that_there_is_no_network(tablet: Any) -> None:
    page = tablet()
    page.context.set_offline(True)
    page.goto("/orders/", wait_until="domcontentloaded")
    expect(page.locator("body")).to_contain_text("cannot be reached")


def test_whoever_signs_out_takes_the_kept_pages_along(tablet: Any, served_shop: ServedShop) -> None:
    page = tablet()
    page.goto("/block/")
    page.wait_for_function(
        "caches.open('seen-2').then((kept) => kept.keys()).then((keys) => keys.length > 0)"
    )
    page.click(".who form button")
    page.wait_for_load_state()
    page.wait_for_function("caches.has('seen-2').then((there) => !there)")
    page.context.set_offline(True)
    page.goto("/block/", wait_until="domcontentloaded")
    expect(page.locator("body")).to_contain_text("cannot be reached")


KEPT = (
    "(address) => caches.open('seen-2').then((kept) => kept.match(address)).then((there) => Boolean(there))"
)
"""Whether the worker has put this page aside for a time without network."""


def until(true: Callable[[], bool]) -> None:
    """Wait for what no page tells of."""
    end = time.monotonic() + 60
    while not true():
        assert time.monotonic() < end, "a minute should do"
        time.sleep(0.2)


def on_disk(profile: Path, text: str) -> bool:
    """Whether the browser has written what its pages keep: some seconds after they say so. A battery that ends sooner
    takes that along."""
    return any(text.encode() in one.read_bytes() for one in profile.glob("*/Local Storage/leveldb/*.log"))


def power_off(profile: Path) -> None:
    """Every process of the browser on this profile is gone at once, with no chance to tidy up."""
    mine = []
    for place in Path("/proc").glob("[0-9]*"):
        try:
            words = (place / "cmdline").read_bytes()
        except OSError:
            continue  # gone meanwhile
        if f"--user-data-dir={profile}\0".encode() in words:
            mine.append(int(place.name))
    assert mine, "the browser runs on its profile"
    for number in mine:
        with suppress(ProcessLookupError):
            os.kill(number, signal.SIGKILL)


def test_a_flat_battery_loses_and_doubles_nothing(
    chromium_browser: Any, served_shop: ServedShop, tablet: Any, tmp_path: Path
) -> None:
    """The tablet dies with two weights waiting. Charged, with no network yet, it still has them; signed in again,
    it sends them."""
    address = begin_side(tablet(), served_shop)
    profile = tmp_path / "profile"

    def switched_on() -> Any:
        return chromium_browser.browser_type.launch_persistent_context(
            str(profile), executable_path=browser.chromium(), args=["--no-sandbox"], base_url=served_shop.address,
            viewport={"width": 1024, "height": 768},
        )  # fmt: skip

    context = switched_on()
    page = context.new_page()
    served_shop.sign_in(page, "owner")
    page.evaluate("navigator.serviceWorker.ready.then(() => true)")
    page.goto(address)
    page.wait_for_selector("#weigh")
    page.wait_for_function(KEPT, arg=address)
    context.set_offline(True)
    weigh(page, "chuck-roll", "9.3 kg")
    weigh(page, "mock-tender", "1.4 kg")
    expect(page.locator("#waiting")).to_contain_text("2 weights wait")
    until(lambda: on_disk(profile, "9.3 kg") and on_disk(profile, "1.4 kg"))
    power_off(profile)
    with suppress(PlaywrightError):
        context.close()
    assert weights(served_shop, address) == []

    context = switched_on()
    page = context.new_page()
    context.set_offline(True)
    page.goto(address)
    expect(page.locator("#waiting")).to_contain_text("2 weights wait")
    context.set_offline(False)
    served_shop.sign_in(page, "owner")  # as the page asks for, once the tablet was off
    page.goto(address)
    answer_doubts(page, lambda: len(weights(served_shop, address)) == 2)
    context.close()
    assert weights(served_shop, address) == [("chuck-roll", "9.3 kg"), ("mock-tender", "1.4 kg")]
