"""A rail of 40 sides planned on the page in a real browser: how far it is, the plan, why so and why not otherwise."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from served import ServedShop, environment, serving

pytestmark = [
    pytest.mark.browser,
    pytest.mark.usefixtures("that_week"),
    pytest.mark.skipif(
        bool(os.environ.get("GAMBREL_DATABASE")), reason="the server is on the folder's own file"
    ),
]

SIDES, SECONDS = 40, 240
LONG_MS = 600_000
"""An idle machine needs seconds; a busy one may take as many minutes to find a plan and to look into it."""

FILL = """
import dataclasses, json, sys
from pathlib import Path
from gambrel.shop.opening import open_shop
open_shop(Path(sys.argv[1]))
from gambrel.shop import demo
from gambrel.shop.clock import today
demo.SIDES = int(sys.argv[2])
demo.ROOMS = (("Hanging cooler", tuple((f"Rail {number}", 0.0) for number in range(1, 8))),)
print(json.dumps([dataclasses.asdict(one) for one in demo.fill_demo(today())]))
"""


@pytest.fixture(scope="module")
def plant(that_week: None, tmp_path_factory: pytest.TempPathFactory) -> Iterator[ServedShop]:
    """The invented shop with 40 sides on seven rails, served."""
    folder = tmp_path_factory.mktemp("plant") / "shop"
    filled = subprocess.run([sys.executable, "-c", FILL, str(folder), str(SIDES)], stdout=subprocess.PIPE, check=True,
                            env=environment(None))  # fmt: skip
    with serving(Path(folder), json.loads(filled.stdout)) as served:
        yield served


@pytest.fixture
def page(chromium_browser: Any, plant: ServedShop) -> Iterator[Any]:
    context = chromium_browser.new_context(base_url=plant.address, viewport={"width": 1280, "height": 900})
    context.set_default_timeout(60_000)
    opened = context.new_page()
    plant.sign_in(opened, "owner")
    yield opened
    context.close()


def money(text: str) -> float:
    return float(re.sub(r"[^\d.]", "", text))


def test_forty_sides_are_planned_and_asked_about(page: Any) -> None:
    page.goto("/plan/")
    page.fill("#id_days", "14")
    page.fill("#id_seconds", str(SECONDS))
    page.click("text=Work out a plan")

    page.wait_for_selector("text=/Best so far|Work by this plan|clash/", timeout=LONG_MS)
    far = page.locator("dl.facts:has-text('Best so far') dd").all_inner_texts()
    if far:  # an idle machine may be done before the page looks again
        best, bound = far[:2]
        assert money(best) > 0, "how far it is, while it is worked out"
        assert bound == "–" or money(bound) >= money(best), "nothing is proven yet, or no plan earns more"

    page.wait_for_selector("text=Work by this plan", timeout=LONG_MS)
    sides = set(re.findall(r"\b[BGCW]\d+-(?:left|right)\b", page.inner_text("main")))
    assert len(sides) == SIDES

    page.click("text=Work by this plan")
    page.wait_for_selector("text=The shop works by this plan from now on.")
    page.locator("a[href*='/why/']").first.click()
    page.wait_for_selector("text=What the plan does")
    other = page.locator("#id_way option:not([value=''])").first.get_attribute("value")
    page.select_option("#id_way", other)
    page.click("text=See what it costs")
    answer = page.locator("text=/It would (cost|even earn)|It cannot be/").first
    answer.wait_for(timeout=LONG_MS)
    assert page.locator("text=It was not worked out to the end").count() == 0
