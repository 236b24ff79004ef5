"""Web addresses that hold the elements of a pack."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gambrel.measures import CannotDo
from gambrel.sell.application_identifiers import CSET_82
from gambrel.sell.digital_link import digital_link, read_digital_link

PACK = [("01", "99521234543216"), ("3202", "001875"), ("17", "261231"), ("21", "0007"), ("10", "L260115A")]


def test_the_address_has_the_form_that_is_published() -> None:
    """GS1 Digital Link URI syntax, GS1 AISBL: item, variant, lot, serial in this order; the rest in the query."""
    assert digital_link([*PACK, ("22", "2A")], host="hollow.example") == (
        "https://hollow.example/01/99521234543216/22/2A/10/L260115A/21/0007?3202=001875&17=261231"
    )


def test_qualifiers_may_be_left_out() -> None:
    assert digital_link(PACK[:1], host="hollow.example") == "https://hollow.example/01/99521234543216"
    assert read_digital_link("https://hollow.example/01/99521234543216") == dict(PACK[:1])


def test_a_shorter_item_number_is_filled_up() -> None:
    assert read_digital_link("https://hollow.example/01/9521234543213/10/A")["01"] == "09521234543213"


def test_a_folder_before_the_item_and_words_of_the_web_page_do_not_matter() -> None:
    address = "https://hollow.example/shop/en/01/99521234543216/21/7?from=case&3202=001875#more"
    assert read_digital_link(address) == {"01": "99521234543216", "21": "7", "3202": "001875"}


@given(st.text(sorted(CSET_82), min_size=1, max_size=20), st.text(sorted(CSET_82), min_size=1, max_size=20))
def test_any_lot_and_serial_there_and_back(lot: str, serial: str) -> None:
    elements = [("01", "99521234543216"), ("10", lot), ("21", serial), ("3103", "008505"), ("3922", "2875")]
    address = digital_link(elements, host="hollow.example:8000")
    assert address.isascii()
    assert read_digital_link(address) == dict(elements)


@pytest.mark.parametrize(
    "address",
    ["", "https://hollow.example/", "ftp://hollow.example/01/99521234543216", "https://hollow.example/01",
     "https://hollow.example/01/99521234543217", "https://hollow.example/01/99521234543216/21",
     "https://hollow.example/01/99521234543216?13=260230", "https://[/01/99521234543216"],
)  # fmt: skip
def test_other_addresses_are_findings(address: str) -> None:
    with pytest.raises(CannotDo):
        read_digital_link(address)


@pytest.mark.parametrize("host", ["", "https://hollow.example", "hollow.example/", "a b", "-a"])
def test_a_host_is_only_a_host(host: str) -> None:
    with pytest.raises(CannotDo, match="host"):
        digital_link(PACK, host=host)


def test_an_address_needs_an_item() -> None:
    with pytest.raises(CannotDo, match="item number"):
        digital_link([("91", "7")], host="hollow.example")


@given(st.text(max_size=60))
def test_whatever_is_scanned_is_read_or_refused(text: str) -> None:
    try:
        assert read_digital_link(text)
    except CannotDo:
        return
