"""The walk of the guide, followed to the letter by a browser that knows nothing else; and how a guide is read."""

from __future__ import annotations

import os
import sqlite3
from contextlib import closing
from typing import Any

import pytest
from guide_walk import GUIDE, Do, Walker, walk_of
from served import ServedShop

STEP = "1. Open **Packs**. Type `1 lb` into **Weight** and `0.1 lb` into **Tare**. Press **Keep**."


def did(text: str) -> list[tuple[str, str, str]]:
    return [(one.verb, one.words, one.value) for one in walk_of(text)]


def test_a_step_is_read_in_its_order() -> None:
    assert did(STEP) == [("Open", "Packs", ""), ("Type", "Weight", "1 lb"), ("Type", "Tare", "0.1 lb"),
                         ("Press", "Keep", "")]  # fmt: skip


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("Choose **ribeye steak** in **Sold as**.", ("Choose", "Sold as", "ribeye steak")),
        ("Tick **Takes the bones**.", ("Tick", "Takes the bones", "")),
        ("Scan `{first}`.", ("Scan", "{first}", "")),
        ("See **Kept.**", ("See", "Kept.", "")),
        ("Go back.", ("Back", "", "")),
        ("Call the number after **Pack** `first`.", ("Call", "Pack", "first")),
        ("Under *Next* hang sides.\n   Open **G1**, the left one.", ("Open", "G1", "")),
    ],
)
def test_each_way_of_saying_it(text: str, wanted: tuple[str, str, str]) -> None:
    assert did(f"1. {text}\n\nNo step: Press **Nothing**.") == [wanted]


def test_a_step_that_says_nothing_that_can_be_done_is_a_mistake() -> None:
    with pytest.raises(ValueError, match="nothing to do"):
        list(walk_of("1. Look around and be glad."))


def test_the_guide_numbers_its_steps_in_a_row() -> None:
    """A step that is no step any more, or one that is left out, would not be followed."""
    steps = list(dict.fromkeys(one.step for one in walk_of(GUIDE.read_text("utf-8"))))
    assert [int(step.split(".")[0]) for step in steps] == list(range(1, len(steps) + 1))
    assert len(steps) >= 20


@pytest.fixture
def owner_page(browser_page: Any, served_shop: ServedShop) -> Any:
    browser_page.set_default_timeout(60_000)
    served_shop.sign_in(browser_page, "owner")
    browser_page.goto("/preferences/")
    browser_page.select_option("#id_language", "en")
    browser_page.select_option("#id_weight_unit", "lb")
    browser_page.click("main form button[type=submit]")
    return browser_page


@pytest.mark.browser
@pytest.mark.usefixtures("that_week")
@pytest.mark.skipif(bool(os.environ.get("GAMBREL_DATABASE")), reason="the server is on the folder's own file")
def test_from_the_rail_to_the_customer_by_the_guide_alone(owner_page: Any, served_shop: ServedShop) -> None:
    """Every step can be done with the guide's own words; afterwards the records hold what it promises."""
    walker = Walker(owner_page, {})
    for one in walk_of(GUIDE.read_text("utf-8")):
        try:
            walker.do(one)
        except Exception as error:
            raise AssertionError(
                f"{one}: {error}\n{owner_page.url}\n{owner_page.inner_text('body')}"
            ) from error
    with closing(sqlite3.connect(served_shop.folder / "shop.sqlite3")) as records:

        def asked(sql: str, *of: Any) -> list[Any]:
            return records.execute(sql, of).fetchall()

        lot = walker.known["lot"]
        packs = asked("SELECT pack.id, net_kg FROM records_pack pack JOIN records_lot lot ON lot.id = pack.lot_id "
                      "WHERE lot.code = ? ORDER BY pack.id", lot)  # fmt: skip
        assert [str(number) for number, _ in packs] == [walker.known["first"], walker.known["second"]]
        assert [round(kg / 0.45359237, 2) for _, kg in packs] == [1.50, 1.36]
        sold = asked("SELECT cents, customer_id IS NOT NULL FROM records_packevent WHERE what = 'sold' AND pack_id IN "
                     "(?, ?) ORDER BY pack_id", *(number for number, _ in packs))  # fmt: skip
        assert sold == [(3299, 0), (2991, 1)], "1.50 lb and 1.36 lb at $21.99, halves up"
        assert asked("SELECT count(*) FROM records_packevent WHERE what = 'labelled' AND pack_id = ?",
                     packs[0][0]) == [(1,)]  # fmt: skip
        assert asked("SELECT held FROM records_lothold ORDER BY id") == [(1,), (0,)]
        assert asked("SELECT ended_at IS NOT NULL, gone_count, named_count FROM records_drill") == [(1, 2, 2)]
        side = asked("SELECT state FROM records_side side JOIN records_cutting cutting ON cutting.side_id = side.id "
                     "JOIN records_lot lot ON lot.cutting_id = cutting.id WHERE lot.code = ?", lot)  # fmt: skip
        assert side == [("cut",)]
        share = asked("SELECT portion, share.state, taken_kg, token <> '' FROM records_share share JOIN "
                      "records_customer who ON who.id = share.customer_id WHERE who.name = 'Ada Quill'")  # fmt: skip
        assert [(portion, state, round(kg / 0.45359237, 1), link) for portion, state, kg, link in share] == [
            ("quarter", "filled", 88.0, 1)]  # fmt: skip


def test_a_walker_is_told_what_the_pages_do_not_offer() -> None:
    """Not from a guess of what was meant: an entry that no list has stops the walk."""

    class Field:
        def locator(self, _: str) -> Field:
            return self

        def all_inner_texts(self) -> list[str]:
            return ["ribeye steak", "rib roast"]

    walker = Walker(None, {})
    walker._field = lambda _: Field()  # type: ignore[method-assign]
    with pytest.raises(AssertionError, match="no entry 'flank steak'"):
        walker._choose("Sold as", "flank steak")
    assert Do("1.", "Open", "Packs").value == ""
