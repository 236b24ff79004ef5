"""The outline put right in a real browser: by mouse, by keyboard, by a tap, and without any script."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from served import ServedShop

from gambrel.files import demo_photographs

pytestmark = pytest.mark.browser

FACES = Path(demo_photographs.__file__).with_name("demo_faces")


def outline_of(page: Any) -> np.ndarray:
    return np.array(json.loads(page.get_attribute("#face", "data-outline")))


def sent_outline(page: Any) -> np.ndarray:
    return np.array(json.loads(page.input_value("input[name=outline]")))


def open_face(page: Any, shop: ServedShop, side: str) -> None:
    """The page of a side with its photograph read, sent through the form as a person does."""
    shop.sign_in(page, "owner")
    page.goto("/ribface/")
    page.click(f"text={side}")
    page.set_input_files("input[name=chosen]", FACES / f"{side}.jpg")
    page.click("form.take button[type=submit]")
    page.wait_for_selector("#face polygon.outline")


def test_a_point_dragged_moves_the_outline_there_and_nowhere_else(
    browser_page: Any, served_shop: ServedShop
) -> None:
    open_face(browser_page, served_shop, "C1-left")
    before = outline_of(browser_page)
    box = browser_page.locator("circle.handle").first.bounding_box()
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    browser_page.mouse.move(x, y)
    browser_page.mouse.down()
    browser_page.mouse.move(x - 30, y - 40, steps=4)
    browser_page.mouse.up()
    after = sent_outline(browser_page)
    moved = np.hypot(*(after - before).T)
    scale = browser_page.evaluate("document.getElementById('face').getScreenCTM().a")
    assert moved.max() == pytest.approx(50 / scale, rel=0.05)  # 30 and 40 are 50 on the screen
    assert (moved < 0.2).mean() > 0.8
    assert "moved" in browser_page.inner_text("[data-said]")
    browser_page.click("#measure button[type=submit]")
    browser_page.wait_for_selector("text=put right by a person")
    assert browser_page.locator("table tbody tr.changed").count() == 1


def test_a_point_moved_by_the_keyboard_alone_and_taken_back(
    browser_page: Any, served_shop: ServedShop
) -> None:
    open_face(browser_page, served_shop, "C1-right")
    before = outline_of(browser_page)
    browser_page.locator("circle.grab[tabindex='0']").focus()
    browser_page.keyboard.press("PageDown")
    browser_page.keyboard.press("Shift+ArrowRight")
    moved = sent_outline(browser_page) - before
    assert moved[:, 0].max() > 0 and np.abs(moved[:, 1]).max() < 0.2
    label = browser_page.evaluate("document.activeElement.getAttribute('aria-label')")
    assert label.startswith("Outline point 2 of ")
    browser_page.click("[data-undo]")
    assert browser_page.input_value("input[name=outline]") == ""
    assert browser_page.is_disabled("[data-undo]")


def test_a_tap_and_a_known_length_fill_the_typed_fields(browser_page: Any, served_shop: ServedShop) -> None:
    open_face(browser_page, served_shop, "W1-left")
    browser_page.check("input[name=mode][value=tap]")
    face = browser_page.locator("#face")
    box = face.bounding_box()
    face.click(position={"x": box["width"] / 2, "y": box["height"] / 4})
    assert float(browser_page.input_value("input[name=across]")) == pytest.approx(50, abs=0.5)
    assert float(browser_page.input_value("input[name=down]")) == pytest.approx(25, abs=0.5)
    browser_page.check("input[name=mode][value=length]")
    face.click(position={"x": box["width"] * 0.2, "y": box["height"] / 2})
    face.click(position={"x": box["width"] * 0.8, "y": box["height"] / 2})
    typed = [float(browser_page.input_value(f"input[name={name}]")) for name in ("from_across", "to_across")]
    assert typed == pytest.approx([20, 80], abs=0.5)


def test_a_new_outline_is_drawn_where_none_was_found(
    browser_page: Any, served_shop: ServedShop, tmp_path: Path
) -> None:
    import cv2

    plain = tmp_path / "plain.jpg"
    cv2.imwrite(str(plain), np.full((900, 1200, 3), 128, np.uint8))
    served_shop.sign_in(browser_page, "owner")
    browser_page.goto("/ribface/")
    browser_page.click("text=G2-left")
    browser_page.set_input_files("input[name=chosen]", plain)
    browser_page.click("form.take button[type=submit]")
    browser_page.wait_for_selector("text=This photograph could not be read")
    browser_page.click("[data-draw]")
    drawn = sent_outline(browser_page)
    assert len(drawn) == 180
    assert drawn.mean(axis=0) == pytest.approx([600, 450], abs=2)
    assert browser_page.locator("circle.handle").count() >= 12


def test_without_script_a_tap_measures_again(chromium_browser: Any, served_shop: ServedShop) -> None:
    context = chromium_browser.new_context(
        base_url=served_shop.address, java_script_enabled=False, viewport={"width": 360, "height": 800}
    )
    page = context.new_page()
    open_face(page, served_shop, "B1-left")
    middle = outline_of(page).mean(axis=0) * 320 / 2016
    page.click("#measure details summary")
    page.click("input.tap", position={"x": float(middle[0]), "y": float(middle[1])})
    page.wait_for_selector("text=put right by a person")
    assert page.locator("#face polygon.outline").count() == 1
    context.close()
