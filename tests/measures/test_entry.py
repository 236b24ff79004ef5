"""Reading what a person typed: every reader, every slip, all at once."""

from __future__ import annotations

import math
from collections.abc import Callable
from datetime import date, datetime
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gambrel.measures import CannotDo, Entry, Finding, Findings
from gambrel.measures.entry import read_each
from gambrel.measures.units import AREA, DURATION, LENGTH, MASS, TEMPERATURE


def entry(where: str = "", **fields: Any) -> Entry:
    return Entry(fields, where, Findings())


def only(made: Entry) -> Finding:
    (finding,) = made.findings
    return finding


def test_quantities_come_back_in_metric() -> None:
    made = entry(hot="806lb", fat="3/8in", ribeye="12.8in2", air="38F", boning="1.5h")
    assert made.quantity("hot", MASS) == pytest.approx(806 * 0.45359237)
    assert made.quantity("fat", LENGTH) == pytest.approx(9.525)
    assert made.quantity("ribeye", AREA) == pytest.approx(82.58, abs=0.005)
    assert made.quantity("air", TEMPERATURE) == pytest.approx(3.33, abs=0.005)
    assert made.quantity("boning", DURATION) == 90.0
    assert not made.findings


def test_the_finding_of_a_bare_number() -> None:
    made = entry("side 3", hot=806)
    assert made.quantity("hot", MASS) is None
    assert only(made) == Finding(
        "side 3, hot", "806", "a weight with its unit (kg, g, lb, lbs, oz)", "Say the unit: 806kg or 806lb."
    )


@pytest.mark.parametrize(
    ("typed", "wanted"),
    [("9000lb", "at least 60 kg and at most 900 kg"), ("-5kg", "at least 60 kg and at most 900 kg")],
)
def test_limits_are_metric_and_named(typed: str, wanted: str) -> None:
    made = entry(hot=typed)
    assert made.quantity("hot", MASS, low=60.0, high=900.0) is None
    assert only(made).wanted == wanted


def test_limits_are_inclusive() -> None:
    made = entry(low="60kg", high="900kg")
    assert made.quantity("low", MASS, low=60.0, high=900.0) == 60.0
    assert made.quantity("high", MASS, low=60.0, high=900.0) == 900.0


READERS: list[tuple[str, Callable[[Entry], Any]]] = [
    ("quantity", lambda e: e.quantity("field", MASS, required=True)),
    ("number", lambda e: e.number("field", required=True)),
    ("whole", lambda e: e.whole("field", required=True)),
    ("word", lambda e: e.word("field", ("steer", "heifer"), required=True)),
    ("text", lambda e: e.text("field", required=True)),
    ("day", lambda e: e.day("field", required=True)),
    ("money", lambda e: e.money_cents("field", required=True)),
    ("price", lambda e: e.price_cents_per_kg("field", required=True)),
    ("tables", lambda e: e.tables("field", required=True)),
]


@pytest.mark.parametrize(("name", "read"), READERS, ids=[name for name, _ in READERS])
@pytest.mark.parametrize("missing", [{}, {"field": None}, {"field": "  "}], ids=["absent", "none", "blank"])
def test_what_is_required_and_missing(
    name: str, read: Callable[[Entry], Any], missing: dict[str, Any]
) -> None:
    made = entry(**missing)
    assert not read(made)
    assert (only(made).given, only(made).do) == ("nothing", "Fill it in.")


def test_what_is_not_required_may_be_missing() -> None:
    made = entry()
    assert made.quantity("a", MASS) is None
    assert made.whole("b") is None
    assert made.word("c", ("x",)) is None
    assert made.day("d") is None
    assert made.tables("e") == []
    assert made.table("f").fields == {}
    assert made.yes("g", default=True) is True
    assert not made.findings


@pytest.mark.parametrize("odd", ["2.5lb", "two", True, math.nan, "inf", "1e999", [2], {}, 10**400])
def test_a_number_has_no_unit_and_can_be_counted(odd: object) -> None:
    made = entry(kph=odd)
    assert made.number("kph", what="a percentage") is None
    assert only(made).wanted == "a percentage"


def test_numbers_as_toml_and_csv_give_them() -> None:
    made = entry(toml=2.5, csv=" 2.5 ", whole=14, text="14")
    assert made.number("toml") == made.number("csv") == 2.5
    assert made.whole("whole") == made.whole("text") == 14


def test_a_whole_number_has_no_fraction() -> None:
    made = entry(days=1.5)
    assert made.whole("days") is None
    assert only(made).do == "Leave the fraction out."


@pytest.mark.parametrize("typed", ["grain-finished", "Grain Finished", "GRAIN_FINISHED", " grain  finished "])
def test_a_word_in_any_dress(typed: str) -> None:
    assert entry(kind=typed).word("kind", ("bison", "grain-finished")) == "grain-finished"
    assert entry(kind=typed).word("kind", ("bison", "grain finished")) == "grain finished"


def test_a_near_miss_is_suggested() -> None:
    made = entry(kind="bisson")
    assert made.word("kind", ("bison", "wagyu")) is None
    assert only(made) == Finding("kind", "bisson", "one of bison, wagyu", "Did you mean bison?")
    far = entry(kind="goat")
    assert far.word("kind", ("bison", "wagyu")) is None
    assert only(far).do == "Choose one of these."


def test_text_is_one_line_of_any_script() -> None:
    assert entry(name=" Añejo 和牛 ").text("name") == "Añejo 和牛"
    assert entry(name=7).text("name") == "7"


@pytest.mark.parametrize(
    "odd", ["two\nlines", "bell\x07", "\x1b[31mred", "x" * 201, ["a"], {"a": 1}, "a\u2028b"]
)
def test_text_with_anything_else_is_refused(odd: object) -> None:
    made = entry(name=odd)
    assert made.text("name") is None
    assert only(made).wanted == "one line of at most 200 characters"


def test_nothing_that_steers_a_terminal_is_shown_back() -> None:
    made = entry(**{"kind": "\x1b[2Jbison\x07", "\x1b[2Jodd": 1})
    made.word("kind", ("bison",))
    made.no_more()
    assert len(made.findings) == 2
    assert all(text.isprintable() for finding in made.findings for text in finding.as_json().values())


def test_a_long_entry_is_cut_short_in_the_finding() -> None:
    made = entry(fat="9" * 500 + "x")
    made.quantity("fat", LENGTH)
    assert len(only(made).given) == 80
    assert only(made).given.endswith("...")


@pytest.mark.parametrize(
    ("typed", "meant"),
    [(True, True), (False, False), ("yes", True), ("No", False), ("TRUE", True), ("0", False), (1, True)],
)
def test_yes_and_no(typed: object, meant: bool) -> None:
    assert entry(inspected=typed).yes("inspected", default=not meant) is meant


def test_neither_yes_nor_no() -> None:
    made = entry(inspected="perhaps")
    assert made.yes("inspected", default=False) is False
    assert only(made).do == "Write true or false."


def test_days() -> None:
    made = entry(a="2026-03-09", b=date(2026, 3, 9), c=datetime(2026, 3, 9, 7, 30))
    assert made.day("a") == made.day("b") == made.day("c") == date(2026, 3, 9)
    odd = entry(day="9.3.2026")
    assert odd.day("day") is None
    assert only(odd).wanted == "a day such as 2026-03-09"


def test_money_and_prices() -> None:
    made = entry(bill="$1,250.00", price="12.50/lb", none=950)
    assert made.money_cents("bill") == 125_000
    assert made.price_cents_per_kg("price") == pytest.approx(1250 / 0.45359237)
    assert made.money_cents("none") is None
    assert only(made).do == 'Write it with its sign, like "$950.00".'


def test_money_below_nothing_is_refused_unless_allowed() -> None:
    made = entry(bill="-$3")
    assert made.money_cents("bill") is None
    assert made.money_cents("bill", low=None) == -300


def test_tables_carry_their_place_in_messages() -> None:
    made = entry("week.toml", side=[{"hot": "350kg"}, {"hot": 350}], cooler={"air": 3})
    sides = made.tables("side")
    assert [side.quantity("hot", MASS) for side in sides] == [350.0, None]
    made.table("cooler").quantity("air", TEMPERATURE)
    assert [finding.where for finding in made.findings] == [
        "week.toml, side 2, hot",
        "week.toml, cooler, air",
    ]


@pytest.mark.parametrize("odd", ["a", 3, [1], [{}, 2], {"a": 1}])
def test_what_is_no_list_of_tables(odd: object) -> None:
    made = entry(side=odd)
    assert made.tables("side") == []
    assert only(made).do == "Start each one with [[side]]."


def test_an_empty_list_does_not_do_where_one_is_required() -> None:
    made = entry(side=[])
    assert made.tables("side", required=True) == []
    assert only(made).wanted == "at least one [[side]]"


def test_what_is_no_table() -> None:
    made = entry(ways="boneless")
    assert made.table("ways").fields == {}
    assert only(made).do == "Write it as [ways] with its fields below."


def test_fields_nobody_asked_for_are_named_with_the_nearest_known() -> None:
    made = entry(hot="350kg", ribeey="80cm2", colour="red", note="kept")
    made.quantity("hot", MASS)
    made.quantity("ribeye", AREA)
    made.no_more(ignore=("note",))
    assert [(finding.where, finding.do) for finding in made.findings] == [
        ("ribeey", "Did you mean ribeye?"),
        ("colour", "Take it out or mend its name."),
    ]
    assert {finding.wanted for finding in made.findings} == {"one of hot, ribeye"}


def test_raw_counts_as_read() -> None:
    made = entry(sexes=["bull"])
    assert made.raw("sexes") == ["bull"]
    made.no_more()
    assert not made.findings


def test_everything_wrong_is_found_in_one_go() -> None:
    made = entry(kind="bisson", hot=806, fat="12kg", days="soon", bill="950", colour="red")
    made.word("kind", ("bison",))
    made.quantity("hot", MASS)
    made.quantity("fat", LENGTH)
    made.whole("days")
    made.money_cents("bill")
    made.no_more()
    with pytest.raises(CannotDo) as refusal:
        made.findings.stop_if_any()
    assert [finding.where for finding in refusal.value.findings] == [
        "kind",
        "hot",
        "fat",
        "days",
        "bill",
        "colour",
    ]


def test_read_each_leaves_out_what_only_gave_findings() -> None:
    sides = entry(side=[{"hot": "1kg"}, {"hot": 2}, {"hot": "3kg"}]).tables("side")
    assert read_each(sides, lambda side: side.quantity("hot", MASS)) == [1.0, 3.0]


values = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text() | st.dates() | st.times(),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(), inner, max_size=3),
    max_leaves=5,
)


@given(values)
def test_no_entry_makes_a_reader_raise(value: object) -> None:
    """Whatever is typed, each reader answers, or gives None, False or nothing with a finding."""
    made = entry(field=value)
    for _, read in READERS:
        read(made)
    made.table("field").no_more()
    made.yes("field", default=False)
    made.no_more()
    assert all(set(finding.as_json()) == {"where", "given", "wanted", "do"} for finding in made.findings)


def test_the_key_of_a_table_is_a_word_too() -> None:
    made = entry("side.toml, ways", rib="boneless", chukc="bone-in")
    assert made.word_of_key("rib", ("rib", "chuck")) == "rib"
    assert made.word_of_key("chukc", ("rib", "chuck")) is None
    assert only(made).where == "side.toml, ways, chukc"
    assert only(made).do == "Did you mean chuck?"
    made.no_more()
    assert len(made.findings) == 1
