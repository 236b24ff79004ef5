"""Every code that is drawn here is read back by another program."""

from __future__ import annotations

import random
from collections import Counter
from collections.abc import Callable

import numpy as np
import pytest
import zxingcpp
from barcode_reader import read_back, white_field
from random_packs import try_pack

from gambrel.files.barcode import Barcode, data_matrix, gs1_128, in_store, qr
from gambrel.measures import CannotDo
from gambrel.sell.digital_link import digital_link
from gambrel.sell.element_strings import element_string

STEAK = (("01", "99521234543216"), ("3202", "001875"), ("13", "260115"), ("10", "L260115A"), ("21", "0007"))


@pytest.mark.parametrize(
    ("draw", "prefix", "format_name"),
    [(gs1_128, "]C1", "Code 128"), (data_matrix, "]d2", "Data Matrix")],
)
def test_the_published_example_is_read_back_as_such(
    draw: Callable[..., Barcode], prefix: str, format_name: str
) -> None:
    """GS1 General Specifications, GS1 AISBL, section 7.8; the reader tells GS1 from plain by the prefix."""
    elements = STEAK[:4] if draw is gs1_128 else STEAK
    seen = read_back(draw(elements))
    assert seen.symbology_identifier == prefix
    assert format_name in str(seen.format)
    assert seen.content_type == zxingcpp.ContentType.GS1
    assert seen.text == element_string(elements)


def test_an_address_is_read_back() -> None:
    address = digital_link(STEAK, host="hollow.example")
    assert read_back(qr(address)).text == address


@pytest.mark.parametrize("code", ["201234928751", "200417105996", "201236146856"])
def test_worked_in_store_codes_are_read_back(code: str) -> None:
    """The reader says UPC-A with a nought in front, as a thirteen-digit code."""
    assert read_back(in_store(code)).text in (code, "0" + code)


@pytest.mark.parametrize("bad", ["201234928752", "20123492875", "", "20123492875A", "2012349287511"])
def test_a_wrong_check_digit_is_never_drawn(bad: str) -> None:
    with pytest.raises(CannotDo, match="check digit"):
        in_store(bad)


@pytest.mark.parametrize("draw", [gs1_128, data_matrix])
def test_a_wrong_item_number_is_never_drawn(draw: Callable[..., Barcode]) -> None:
    with pytest.raises(CannotDo, match="last digit agrees"):
        draw([("01", "99521234543217")])


def test_too_much_for_one_row_of_bars_is_said() -> None:
    long = [*STEAK[:4], ("21", "0" * 20)]
    with pytest.raises(CannotDo, match="48 at most"):
        gs1_128(long)
    assert read_back(data_matrix(long)).text == element_string(long)


def test_quiet_zone_is_white_and_bars_lie_inside() -> None:
    for code in (
        gs1_128(STEAK[:4]),
        data_matrix(STEAK),
        qr("https://hollow.example"),
        in_store("201234928751"),
    ):
        left, right, ends = code.quiet
        assert code.bars[0][0] == 0
        assert max(x + width for x, _, width, _ in code.bars) == code.columns_count
        field = white_field(code, module_px=1)
        assert (field[:, :left] == 255).all() and (field[:, field.shape[1] - right :] == 255).all()
        assert ends == 0 or (field[:ends] == 255).all()
        assert field.shape == (code.field[1] * (60 if code.is_linear else 1), code.field[0])


def test_the_drawing_has_only_bars() -> None:
    svg = in_store("201234928751").svg()
    assert svg.count("<path") == 1 and "http://www.w3.org" in svg and svg.count("http") == 1
    assert svg.count("M") == len(in_store("201234928751").bars) == 30


@pytest.mark.parametrize("seed", range(12))
def test_random_packs_say_what_was_put_in(seed: int) -> None:
    """The full count of ten thousand is the tool itself; its figures stand in docs/labels.md."""
    told: Counter[str] = Counter()
    assert try_pack(random.Random(seed), told) == []
    assert told["data matrix"] == told["in-store"] == 1


def test_a_wrong_bar_is_seen() -> None:
    """The reader does not simply agree: with one bar moved it reads nothing, or something else."""
    code = in_store("201234928751")
    field = white_field(code, module_px=3)
    field[:, 60:66] = np.where(field[:, 60:66] == 0, 255, 0)
    seen = zxingcpp.read_barcodes(field)
    assert not seen or seen[0].text.lstrip("0") != "201234928751"
