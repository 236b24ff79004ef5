"""What a label says."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal

import pytest
from label_packs import CUSTOM, GROUND, MINCE, STEAK, TODAY, rules, spoiled

from gambrel.measures import CannotDo
from gambrel.sell.element_strings import element_string
from gambrel.sell.label import SAFE_HANDLING, date_words, make_label
from gambrel.sell.label_facts import Origin
from gambrel.sell.price_code import LAYOUTS
from gambrel.sell.rules import Switch, rule_book
from gambrel.sell.weights import DIVISIONS, PrintedWeight


def test_a_steak_by_hand() -> None:
    """1.24 lb at $18.99 is $23.5476, so $23.55; 1.24 lb is 0.56245 kg, so 0.562 and not more."""
    label = make_label(STEAK, rules())
    assert (label.name, label.weight, label.weight_beside) == ("Ribeye steak", "1.24 lb", "0.562 kg")
    assert (label.price, label.total) == ("$18.99/lb", "$23.55")
    assert (label.packed, label.until) == ("04 MAR 2026", "Use or freeze by 09 MAR 2026")
    assert (label.keep, label.cook, label.owner) == ("Keep refrigerated", "", "")
    assert label.safe_handling and not label.not_for_sale and label.panel is None
    assert label.maker.startswith("Hollow Creek")


def test_ground_beef_says_lean_with_fat_and_its_facts() -> None:
    label = make_label(MINCE, rules())
    assert label.more == ("85% LEAN / 15% FAT",)
    assert label.panel is not None and label.panel.foods == ("23567",)
    assert "160\u00a0°F" in label.cook


def test_custom_work_says_not_for_sale_and_nothing_of_inspection() -> None:
    label = make_label(CUSTOM, rules())
    assert label.not_for_sale and label.owner == "R. Aldous"
    assert not label.safe_handling and label.price == label.total == "" and label.panel is None
    ground = make_label(spoiled(CUSTOM, ground=GROUND, name="Ground beef"), rules())
    assert ground.more == () and ground.panel is None and not ground.safe_handling


def test_custom_work_never_says_inspected_even_where_the_block_is_switched_on() -> None:
    words = [Switch("custom-no-safe-handling", on=False, who="owner", why="tries it", since=TODAY),
             Switch("safe-handling", on=True, who="owner", why="tries it", since=TODAY)]  # fmt: skip
    assert not make_label(CUSTOM, rule_book("us", today=TODAY, switches=words)).safe_handling


def test_what_the_roll_has_is_not_printed_twice() -> None:
    label = make_label(spoiled(STEAK, stock=frozenset({"safe-handling", "maker"})), rules())
    assert not label.safe_handling and label.maker == ""


def test_frozen_tenderised_aged_and_home_grown() -> None:
    facts = spoiled(STEAK, frozen=True, tenderised=True, aged_days=28, hung_days=28, says_origin=True,
                    origin=Origin("US", "US", "US", "US"))  # fmt: skip
    label = make_label(facts, rules())
    assert (label.keep, label.until) == ("Keep frozen", "Use by 09 MAR 2026")
    assert label.more == ("Dry aged 28 days", "Product of USA")
    assert "145\u00a0°F" in label.cook


def test_no_date_where_none_is_known() -> None:
    assert make_label(spoiled(STEAK, use_by=None), rules()).until == ""
    assert (
        make_label(spoiled(STEAK, use_by=None, best_before=date(2026, 3, 9)), rules()).until
        == "Best before 09 MAR 2026"
    )


def test_the_code_holds_the_pack_and_a_shop_without_prefix_its_serial() -> None:
    assert make_label(STEAK, rules()).elements == (("91", "1042"),)
    full = make_label(spoiled(STEAK, gtin="99521234543216"), rules())
    assert element_string(full.elements).startswith("01995212345432163202000124" + "13260304" + "17260309")
    assert dict(full.elements)["3922"] == "2355"


def test_the_till_gets_the_price_or_the_weight() -> None:
    """$23.55 as 2355: 4+6+5+3 of 2-, 2-, 3 and 5- is 18, times 3 is 54, so 4."""
    priced = make_label(STEAK, rules(), layout=LAYOUTS["upc-price-4"], item="00417")
    assert priced.in_store[:11] == "2" + "00417" + "4" + "2355"
    weighed = make_label(STEAK, rules(), layout=LAYOUTS["upc-weight-5"], item="00417")
    assert weighed.in_store[:11] == "2" + "00417" + "00124"
    assert make_label(CUSTOM, rules(), layout=LAYOUTS["upc-price-4"], item="00417").in_store == ""


def test_a_price_too_long_for_the_till_is_said() -> None:
    dear = spoiled(STEAK, printed=PrintedWeight(Decimal("9.00"), DIVISIONS["lb"]), total_cents=17091)
    with pytest.raises(CannotDo, match="0 to 9999"):
        make_label(dear, rules(), layout=LAYOUTS["upc-price-4"], item="00417")


def test_a_warning_goes_with_the_label() -> None:
    fat = spoiled(MINCE, ground=replace(GROUND, lean_pct=71.0, fat_pct=28.9))
    assert [found.given for found in make_label(fat, rules()).warnings] == ["28.9 % fat, not tested"]


def test_the_block_has_heading_reason_and_four_statements() -> None:
    assert len(SAFE_HANDLING) == 6
    assert SAFE_HANDLING[4] == "Cook thoroughly."


def test_dates_are_read_the_same_everywhere() -> None:
    assert [date_words(date(2026, month, 1))[3:6] for month in (1, 6, 12)] == ["JAN", "JUN", "DEC"]
