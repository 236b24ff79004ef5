"""A proxy that answers while the shop itself does not: a tablet takes that as no network, and loses no weight."""

from __future__ import annotations

import http.client
import os
import re
import sqlite3
import threading
from collections.abc import Iterator
from contextlib import closing
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
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
NOT_THE_SHOP = b"<html><h1>The go-between's own words</h1></html>"
END_TO_END = {"connection", "transfer-encoding", "content-length", "date", "server"}
"""Headers that the go-between writes anew."""


class GoBetween(ThreadingHTTPServer):
    """Stands before the shop as a proxy does. While `status` is not None it gives that, in words of its own."""

    daemon_threads = True
    status: int | None = None

    def __init__(self, port: int) -> None:
        super().__init__(("127.0.0.1", 0), _PassOn)
        self.shop_port = port

    @property
    def address(self) -> str:
        return f"http://127.0.0.1:{self.server_address[1]}/"


class _PassOn(BaseHTTPRequestHandler):
    server: GoBetween

    def do_GET(self) -> None:
        sent = self.rfile.read(int(self.headers.get("Content-Length") or 0))
        if self.server.status is not None:
            self._answer(self.server.status, [("Content-Type", "text/html")], NOT_THE_SHOP)
            return
        with closing(http.client.HTTPConnection("127.0.0.1", self.server.shop_port, timeout=60)) as shop:
            shop.request(self.command, self.path, sent or None, dict(self.headers.items()))
            with shop.getresponse() as answer:
                self._answer(answer.status, answer.getheaders(), answer.read())

    do_POST = do_GET

    def _answer(self, status: int, headers: list[tuple[str, str]], body: bytes) -> None:
        self.send_response(status)
        for name, value in headers:
            if name.lower() not in END_TO_END:
                self.send_header(name, value)
        self.send_header("Content-Length", str(len(body)))
        self.end_headers()
        self.wfile.write(body)

    def log_message(self, format: str, *args: Any) -> None:
        """Nothing is told of what was asked."""


@pytest.fixture
def between(served_shop: ServedShop) -> Iterator[GoBetween]:
    with GoBetween(served_shop.port) as server:
        thread = threading.Thread(target=server.serve_forever, daemon=True)
        thread.start()
        yield server
        server.shutdown()
        thread.join()


@pytest.fixture
def tablet(chromium_browser: Any, served_shop: ServedShop, between: GoBetween) -> Iterator[Any]:
    """The owner's page on a tablet that reaches the shop by the go-between; its worker is at work."""
    context = chromium_browser.new_context(base_url=between.address, viewport={"width": 1024, "height": 768})
    page = context.new_page()
    ServedShop(between.address, served_shop.folder, served_shop.process, served_shop.sign_ins).sign_in(
        page, "owner"
    )
    page.evaluate("navigator.serviceWorker.ready.then(() => true)")
    yield page
    between.status = None
    context.close()


def on_the_block(page: Any, served: ServedShop) -> int:
    """The page of a side on the block, seen twice so that the tablet keeps it; gives the number of its cutting."""
    page.goto("/block/")
    begun = page.locator('main a[href^="/block/"]').evaluate_all(
        "links => links.map(a => a.getAttribute('href')).filter(a => /^\\/block\\/\\d+\\/$/.test(a))"
    )
    if begun:
        page.goto(begun[0])
    else:
        with closing(sqlite3.connect(served.folder / "shop.sqlite3")) as records:
            side, hot_kg = records.execute("SELECT id, hot_kg FROM records_side WHERE state = 'hanging' ORDER BY id"
                                           ).fetchone()  # fmt: skip
        page.goto(f"/block/begin/{side}/")
        begin_boneless(page, f"{float(hot_kg) * 0.97:.1f} kg")
    page.wait_for_selector("#weigh")
    page.reload()
    page.wait_for_selector("#weigh")
    return int(re.findall(r"/block/(\d+)/", page.url)[0])


def weigh(page: Any, typed: str) -> None:
    page.locator("[data-slug]").first.click()
    page.fill("#typed", typed)
    page.keyboard.press("Enter")


def kept(served: ServedShop, cutting: int) -> list[str]:
    with closing(sqlite3.connect(served.folder / "shop.sqlite3")) as records:
        asked = "SELECT typed FROM records_scaleweight WHERE cutting_id = ? ORDER BY id"
        return [typed for (typed,) in records.execute(asked, (cutting,))]


def sure(page: Any) -> None:
    """Whatever is doubted of the weight, it is right."""
    doubt = page.locator(".asked .sure button")
    doubt.or_(page.locator(".said.good")).first.wait_for()
    if doubt.count():
        doubt.first.click()
    page.wait_for_selector(".said.good")


@pytest.mark.parametrize("status", [502, 503])
def test_the_block_stays_usable_while_the_shop_is_started_anew(
    tablet: Any, between: GoBetween, served_shop: ServedShop, status: int
) -> None:
    cutting = on_the_block(tablet, served_shop)
    before = kept(served_shop, cutting)
    between.status = status
    tablet.reload(wait_until="domcontentloaded")
    expect(tablet.locator("#weigh")).to_be_visible()
    expect(tablet.locator("body")).not_to_contain_text("go-between")
    typed = f"0.{status} kg"
    weigh(tablet, typed)
    expect(tablet.locator("#waiting")).to_contain_text("1 weight waits")
    between.status = None
    sure(tablet)
    expect(tablet.locator("#waiting")).to_be_hidden()
    assert kept(served_shop, cutting) == [*before, typed]


def test_a_weight_is_forgotten_only_when_the_shop_itself_has_judged_it(
    tablet: Any, between: GoBetween, served_shop: ServedShop
) -> None:
    """400 is also what a proxy says, and a server that was started with another name."""
    cutting = on_the_block(tablet, served_shop)
    before = kept(served_shop, cutting)
    between.status = 400
    weigh(tablet, "0.41 kg")
    tablet.wait_for_timeout(1500)
    expect(tablet.locator("#waiting")).to_contain_text("1 weight waits")
    between.status = None
    sure(tablet)
    expect(tablet.locator("#waiting")).to_be_hidden()
    assert kept(served_shop, cutting) == [*before, "0.41 kg"]


def test_any_other_page_says_so_and_comes_back_by_itself(tablet: Any, between: GoBetween) -> None:
    """A board on the wall has nobody to touch it."""
    between.status = 502
    tablet.goto("/orders/", wait_until="domcontentloaded")
    expect(tablet.locator("body")).to_contain_text("cannot be reached")
    between.status = None
    expect(tablet.locator("h1")).to_have_text("Orders")


def test_what_the_shop_itself_refuses_is_shown(tablet: Any, between: GoBetween) -> None:
    """A page that is not there, or a question that was too hard, is no reason to say that there is no network."""
    for status in (404, 500, 504):
        between.status = status
        tablet.goto("/orders/", wait_until="domcontentloaded")
        expect(tablet.locator("h1")).to_have_text("The go-between's own words")
