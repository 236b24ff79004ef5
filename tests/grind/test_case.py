"""Case files: what is read, and everything that is wrong said at once."""

from __future__ import annotations

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from gambrel.grind import GrindCase, read_case
from gambrel.measures import CannotDo, Entry, Finding, Findings
from gambrel.measures.units import kg_from_lb


def good() -> dict[str, Any]:
    return {
        "species": "cattle",
        "inspected": "federal",
        "trim": [
            {"id": "chuck", "weight": "62lb", "lean": 80, "from": "chuck", "cost": "3.10/lb", "age_days": 2}
        ],
        "product": [{"name": "ground beef", "lean": 80, "min": "10lb", "price": "7.99/lb"}],
    }


def read(fields: dict[str, Any]) -> GrindCase:
    return read_case(Entry(fields, "", Findings()))


def refused(fields: dict[str, Any]) -> tuple[Finding, ...]:
    with pytest.raises(CannotDo) as refusal:
        read(fields)
    return refusal.value.findings


def test_a_case_is_read_into_metric() -> None:
    case = read(good())
    (trim,), (product,) = case.trims, case.products
    assert trim.weight_kg == pytest.approx(kg_from_lb(62))
    assert (trim.primal, trim.species, trim.inspected, trim.age_days) == ("chuck", "cattle", "federal", 2)
    assert trim.cost_cents_per_kg == pytest.approx(310 / kg_from_lb(1))
    assert product.id == "ground beef 80"
    assert product.least_kg == pytest.approx(kg_from_lb(10))
    assert case.objective == "most-earned"


@pytest.mark.parametrize(
    ("cut", "lean", "expected"),
    [
        ("trim-85", None, {"lean_pct": 85.0, "fat_class": False}),
        ("trim-85", 83, {"lean_pct": 83.0}),
        ("suet", 5, {"lean_pct": 5.0, "fat_class": True}),
        ("cheek-meat", 80, {"cheek": True}),
        ("weasand", 90, {"cheek": False, "fat_class": False}),
        ("flank-trim", 60, {"primal": "flank"}),
    ],
)
def test_a_cut_of_the_catalogue_says_what_the_trim_is(
    cut: str, lean: float | None, expected: dict[str, Any]
) -> None:
    case = good()
    case["trim"] = [{"id": "t", "weight": "5kg", "cut": cut, **({} if lean is None else {"lean": lean})}]
    (trim,) = read(case).trims
    assert {name: getattr(trim, name) for name in expected} == expected


@pytest.mark.parametrize(
    "cut", ["heart", "liver", "tongue", "tripe", "head-meat", "distal-ileum", "oxtail", "short-loin"]
)
def test_organs_bone_and_risk_material_are_refused(cut: str) -> None:
    case = good()
    case["trim"][0]["cut"] = cut
    (finding,) = refused(case)
    assert finding.where == "trim chuck, cut"


@pytest.mark.parametrize(
    ("table", "change", "where"),
    [
        ("trim", {"weight": 62}, "weight"),
        ("trim", {"weight": "-5lb"}, "weight"),
        ("trim", {"weight": "90000lb"}, "weight"),
        ("trim", {"weight": "62in"}, "weight"),
        ("trim", {"lean": 104}, "lean"),
        ("trim", {"lean": "80lb"}, "lean"),
        ("trim", {"lean": None}, "lean"),
        ("trim", {"id": None}, "id"),
        ("trim", {"species": "pork"}, "species"),
        ("trim", {"cut": "trim-8"}, "cut"),
        ("trim", {"from": "shoulder"}, "from"),
        ("trim", {"cost": "3.10"}, "cost"),
        ("trim", {"age_days": -1}, "age_days"),
        ("trim", {"owner": "North"}, "owner"),
        ("trim", {"cut": "bison-trim"}, "species"),
        ("trim", {"inspected": "custom"}, "owner"),
        ("trim", {"inspected": "custom", "owner": "North"}, "cost"),
        ("trim", {"colour": "red"}, "colour"),
        ("product", {"name": "lean beef"}, "name"),
        ("product", {"name": None}, "name"),
        ("product", {"lean": 65}, "lean"),
        ("product", {"lean": None}, "lean"),
        ("product", {"price": None}, "price"),
        ("product", {"price": "7.99"}, "price"),
        ("product", {"max": "5lb"}, "min"),
        ("product", {"tolerance": -1}, "tolerance"),
        ("product", {"inspected": "custom", "owner": "North"}, "price"),
        ("product", {"name": "ground bison and beef"}, "first_species"),
        ("product", {"name": "ground bison and beef", "first_species": 40}, "first_species"),
        ("product", {"first_species": 60}, "first_species"),
        ("product", {"sold": True}, "sold"),
    ],
)
def test_each_slip_is_a_finding_about_its_field(table: str, change: dict[str, Any], where: str) -> None:
    case = good()
    case[table][0] = {
        name: value for name, value in {**case[table][0], **change}.items() if value is not None
    }
    assert any(finding.where.endswith(f", {where}") for finding in refused(case))


@pytest.mark.parametrize(
    ("change", "where"),
    [
        ({"trim": []}, "trim"),
        ({"product": "beef"}, "product"),
        ({"objective": "fastest"}, "objective"),
        ({"age_limit_days": 2.5}, "age_limit_days"),
        ({"weather": "cold"}, "weather"),
    ],
)
def test_slips_of_the_whole_file(change: dict[str, Any], where: str) -> None:
    assert any(finding.where == where for finding in refused({**good(), **change}))


def test_nobody_guesses_species_or_inspection() -> None:
    case = good()
    del case["species"], case["inspected"]
    assert {finding.where for finding in refused(case)} == {
        "trim chuck, species", "trim chuck, inspected", "product ground beef 80, inspected"}  # fmt: skip


def test_everything_wrong_is_said_at_once() -> None:
    case = good()
    case["trim"] = [{**case["trim"][0], "weight": 5}, {**case["trim"][0], "lean": 400}, {"id": "x"}]
    case["product"][0]["price"] = "cheap"
    assert len(refused(case)) >= 5


def test_ids_are_given_once() -> None:
    case = good()
    case["trim"] *= 2
    case["product"] *= 2
    assert [finding.given for finding in refused(case)] == ["chuck twice", "ground beef 80 twice"]


def test_the_legal_ceiling_is_named() -> None:
    case = good()
    case["product"][0]["lean"] = 65
    (finding,) = refused(case)
    assert "at most 30 % fat (9 CFR 319.15(a))" in finding.wanted


def test_least_cost_wants_an_order() -> None:
    case = good() | {"objective": "least-cost"}
    del case["product"][0]["min"]
    assert [finding.where for finding in refused(case)] == ["objective"]


JUNK = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=8),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=5), inner, max_size=3),
    max_leaves=6,
)
TRIM_FIELDS = [
    "id",
    "weight",
    "lean",
    "cut",
    "species",
    "inspected",
    "owner",
    "from",
    "fat_class",
    "cheek",
    "cost",
]
PRODUCT_FIELDS = ["age_days", "lot", "name", "min", "max", "price", "tolerance", "first_species", "fat_test"]
FIELDS = st.sampled_from(TRIM_FIELDS + PRODUCT_FIELDS)


@given(FIELDS, JUNK, st.sampled_from(["trim", "product"]))
def test_junk_in_a_field_is_read_or_refused_never_a_crash(field: str, junk: Any, table: str) -> None:
    case = good()
    case[table][0][field] = junk
    try:
        read(case)
    except CannotDo as refusal:
        assert refusal.findings
