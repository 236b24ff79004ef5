"""Pictures of every page of the invented shop, phone and desktop, light and dark: `python tools/screenshots.py`.

Pages are found by following links, so that none is forgotten, in the middle of a day's work (`tools/busy_day.py`);
some are shown in Spanish too. The pictures are written to docs/shop/pictures with a page that shows them side by side.
The shop is built anew on a day of its own, so that the same pictures come out again; it needs Chromium
(`python tools/browser.py`). With `--into FOLDER` they go there, whole and sharp, to be looked at.
"""

from __future__ import annotations

import argparse
import io
import os
import sys
import tempfile
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import browser
import busy_day
from PIL import Image
from served import ServedShop, serving

DOCS = Path(__file__).parents[1] / "docs/shop"
FOLDER = DOCS / "pictures"
NOW = "2026-03-09T15:30:00+00:00"
SIZES = {"phone": (360, 740), "desktop": (1280, 900)}
THEMES = ("light", "dark")
IN_SPANISH = frozenset({"today", "rail", "side", "ribface", "forecast", "one_plan", "why_side", "cutting", "batch",
                        "pack", "counter", "trace_of_lot", "share_for_customer", "yields", "bid"})  # fmt: skip
"""Pages that are also shown in Spanish, on a phone by day."""

TALLEST_PX = 1400
"""A picture ends there; what comes below is more of the same list."""

WIDEST_PX, QUALITY = 660, 30
FOR_VISITORS = ("sign_in", "share_for_customer")
LONG_S = 600
"""The plan that is being worked out while its page is looked at is given so long."""


@dataclass(frozen=True)
class Look:
    """How the pages are looked at: on which screen, by day or in the dark, in which language."""

    size: str
    theme: str
    language: str = "en"

    def named(self, page: str) -> str:
        return "-".join([page, self.size, self.theme, *([] if self.language == "en" else [self.language])])


LOOKS = (*(Look(size, theme) for size in SIZES for theme in THEMES), Look("phone", "light", "es"))


def main() -> int:
    """Build the shop, serve it, look at every page; gives how many pages did not answer."""
    from playwright.sync_api import sync_playwright

    asked = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    asked.add_argument("--into", type=Path, help="whole pictures into this folder, and no page of the guide")
    into = asked.parse_args().into
    path = browser.chromium()
    if path is None:
        print("No Chromium: `python tools/browser.py` installs it.", file=sys.stderr)
        return 1
    os.environ |= {"GAMBREL_NOW": NOW, "DJANGO_SETTINGS_MODULE": "gambrel.shop.settings"}
    import django

    django.setup()  # addresses have names there
    folder = into or FOLDER
    folder.mkdir(parents=True, exist_ok=True)
    with sync_playwright() as driver:
        opened = driver.chromium.launch(executable_path=path, args=["--no-sandbox"])
        pages, failed = _look_at_all(opened, folder, whole=into is not None)
        opened.close()
    if into is None:
        _write_page(pages)
    return failed


def _look_at_all(opened: Any, folder: Path, *, whole: bool) -> tuple[Mapping[str, str], int]:
    """Name and address of every page, and how many did not answer."""
    from gambrel.shop.demo_apart import build_demo_shop

    failed = 0
    with tempfile.TemporaryDirectory() as place:
        shop = Path(place) / "shop"
        sign_ins = build_demo_shop(shop, photographs=18, plan_seconds=120.0)
        more = busy_day.begin(shop)
        with serving(shop, sign_ins) as served:
            pages = _pages(opened, served, more)
            failed += sum(_look(opened, served, pages, look, folder, whole=whole) for look in LOOKS)
            planning = _plan_being_worked_out(opened, served)
            failed += sum(_look(opened, served, planning, look, folder, whole=whole) for look in LOOKS[:-1])
            pages |= planning
        with serving(Path(place) / "new") as served:
            code = (Path(place) / "new/first-start").read_text()
            pages |= {"make_shop": f"/setup/begin/?code={code}"}
            for look in LOOKS[:-1]:
                failed += _look(opened, served, {"make_shop": pages["make_shop"]}, look, folder, whole=whole)
    return pages | {"make_shop": "/setup/begin/"}, failed


def _pages(opened: Any, served: ServedShop, more: Mapping[str, str]) -> dict[str, str]:
    """Every page that the owner comes to by links, and `more`."""
    import links

    context = opened.new_context(base_url=served.address)
    served.sign_in(context.new_page(), "owner")
    pages = dict(links.reached(context.request))
    context.close()
    pages.pop("home")  # leads on to today's page
    return {"sign_in": "/sign-in/", **pages, **more, "offline": "/offline/"}


def _plan_being_worked_out(opened: Any, served: ServedShop) -> dict[str, str]:
    """A plan whose solver has found a first answer and goes on looking for a better one."""
    context = opened.new_context(base_url=served.address)
    page = context.new_page()
    served.sign_in(page, "owner")
    page.goto("/plan/")
    page.fill("#id_seconds", str(LONG_S))
    page.locator("#id_seconds").press("Enter")
    page.wait_for_selector("form[action$='/take/']", timeout=60_000)  # there is a best so far
    found = {"plan_being_worked_out": page.url.removeprefix(served.address.rstrip("/"))}
    context.close()
    return found


def _look(
    opened: Any, served: ServedShop, pages: Mapping[str, str], look: Look, folder: Path, *, whole: bool
) -> int:
    """Every page in one look; gives how many did not answer."""
    width, height = SIZES[look.size]
    signed_in, visiting = (
        opened.new_context(base_url=served.address, viewport={"width": width, "height": height},
                           color_scheme=look.theme, locale=look.language)
        for _ in range(2)
    )  # fmt: skip
    inside, outside, failed = signed_in.new_page(), visiting.new_page(), 0
    if served.sign_ins:
        served.sign_in(inside, "owner")
        _speak(inside, look.language)
    for name, address in pages.items():
        if look.language != "en" and name not in IN_SPANISH:
            continue
        page = outside if name in FOR_VISITORS else inside
        answer = page.goto(address)
        if answer is None or answer.status != 200:
            print(f"{address}: status {answer and answer.status}", file=sys.stderr)
            failed += 1
            continue
        _keep(page.screenshot(full_page=True), folder / look.named(name), whole=whole)
    for context in (signed_in, visiting):
        context.close()
    return failed


def _speak(page: Any, language: str) -> None:
    page.goto("/preferences/")
    page.select_option("#id_language", language)
    page.click("main form button[type=submit]")
    page.wait_for_load_state()


def _keep(png: bytes, path: Path, *, whole: bool) -> None:
    if whole:
        path.with_suffix(".png").write_bytes(png)
        return
    picture = Image.open(io.BytesIO(png)).convert("RGB")
    picture = picture.crop((0, 0, picture.width, min(picture.height, TALLEST_PX)))
    if picture.width > WIDEST_PX:
        picture = picture.resize((WIDEST_PX, round(picture.height * WIDEST_PX / picture.width)),
                                 Image.Resampling.LANCZOS)  # fmt: skip
    picture.save(path.with_suffix(".webp"), quality=QUALITY, method=6)


def _write_page(pages: Mapping[str, str]) -> None:
    import links

    kept = {path.stem for path in FOLDER.glob("*.webp")}
    lines = ["# Every page in pictures", "",
             "The invented shop in the middle of a day, phone and desktop, light and dark, some pages in Spanish:",
             "`python tools/screenshots.py`. Long pages are cut off.", ""]  # fmt: skip
    for name, address in pages.items():
        lines += [f"## {name.replace('_', ' ')}", "", f"`{links.route_of(address)}`", ""]
        lines += [f"![{name}, {look.size}, {look.theme}, {look.language}](pictures/{look.named(name)}.webp)"
                  for look in LOOKS if look.named(name) in kept]  # fmt: skip
        lines.append("")
    (DOCS / "pictures.md").write_text("\n".join(lines), "utf-8")


if __name__ == "__main__":
    raise SystemExit(main())
