"""Kinds: the shipped four against print, and a shop's own with everything that may be wrong in it."""

from __future__ import annotations

import tomllib
from dataclasses import fields, replace
from typing import Any

import pytest

from gambrel.catalog.kinds import Kind, Spread, read_kinds, shipped_kinds
from gambrel.measures import Findings

KINDS = shipped_kinds()

AUDIT = "National Beef Quality Audit 2016, in-plant survey of carcass characteristics, cooler audit means"
WAGYU = "Angus- and Wagyu-sired cattle, J. Anim. Sci. 101:skac343, 2023, table 3 (span of the Wagyu columns)"
BISON = "Can. J. Anim. Sci. 94:55, 2014, abstract: bulls"


@pytest.mark.parametrize(
    ("kind", "field", "low", "high", "source"),
    [
        ("grain-finished", "hot_kg", 390.3, 390.3, AUDIT),
        ("grain-finished", "fat_mm", 14.2, 14.2, AUDIT),
        ("grain-finished", "ribeye_cm2", 89.5, 89.5, AUDIT),
        ("grain-finished", "kph_pct", 1.9, 1.9, AUDIT),
        (
            "grain-finished",
            "marbling_score",
            449,
            516,
            "US fed cattle audits of 2011, 2016 and 2022, table 6",
        ),
        ("grain-finished", "dressing_share", 0.6324, 0.6324, "Beef Improvement Federation guidelines, 2019"),
        ("grain-finished", "dressing_share", 0.60, 0.64, "usual span of fed cattle, state extension notes"),
        ("grass-finished", "dressing_share", 0.55, 0.58, "Univ. of California Coop. Extension 31-651, 2005"),
        ("wagyu", "hot_kg", 326, 373, WAGYU),
        ("wagyu", "fat_mm", 19.0, 24.4, WAGYU),
        ("wagyu", "ribeye_cm2", 81.6, 87.6, WAGYU),
        ("wagyu", "kph_pct", 2.87, 3.61, WAGYU),
        ("wagyu", "marbling_score", 655, 785, WAGYU),
        ("wagyu", "dressing_share", 0.641, 0.654, WAGYU),
        ("bison", "hot_kg", 308.0, 308.0, BISON),
        ("bison", "marbling_score", 289, 289, BISON),
    ],
)
def test_figures_as_printed(kind: str, field: str, low: float, high: float, source: str) -> None:
    spread: Spread = getattr(KINDS[kind], field)
    assert low <= spread.mean <= high, source
    assert spread.mark == "read"


def test_bison_has_a_rib_more() -> None:
    """Bison, Hereford and Brahman, Beef Research Progress Report 3:26,
    USDA-ARS, 1988: 14 pairs; cattle 13."""
    assert KINDS["bison"].rib_pairs == 14
    assert {kind.rib_pairs for kind in KINDS.values() if kind.species == "cattle"} == {13}


def test_the_four_kinds() -> None:
    assert set(KINDS) == {"grain-finished", "grass-finished", "wagyu", "bison"}
    for slug, kind in KINDS.items():
        assert kind.slug == kind.like == slug
        assert kind.species == ("bison" if slug == "bison" else "cattle")


def test_common_practice_is_kept() -> None:
    """Common practice: cattle are ribbed between 12th and 13th rib and hang about 14 days, bison between
    13th and 14th and about 7 days."""
    for kind in KINDS.values():
        bison = kind.species == "bison"
        assert kind.ribbed_between == ((13, 14) if bison else (12, 13))
        assert kind.hang_days[1] == (7 if bison else 14)


def test_grass_finished_is_smaller_and_leaner_than_grain_finished() -> None:
    """Common practice, no source."""
    grass, grain = KINDS["grass-finished"], KINDS["grain-finished"]
    for field in ("hot_kg", "fat_mm", "marbling_score"):
        assert getattr(grass, field).mean < getattr(grain, field).mean < getattr(
            KINDS["wagyu"], field
        ).mean or (field == "hot_kg")


def test_a_figure_that_no_source_gives_says_so() -> None:
    for kind in KINDS.values():
        for field in fields(Kind):
            spread = getattr(kind, field.name)
            if isinstance(spread, Spread):
                assert spread.mark in ("read", "memory")
                assert spread.sd > 0
                assert len(spread.source) > 20


def test_heavier_carcasses_of_a_kind_are_fatter_and_have_larger_ribeyes() -> None:
    for kind in KINDS.values():
        mean_kg = kind.hot_kg.mean
        assert kind.usual_fat_mm(mean_kg) == pytest.approx(kind.fat_mm.mean)
        assert kind.usual_ribeye_cm2(mean_kg) == pytest.approx(kind.ribeye_cm2.mean)
        assert kind.usual_fat_mm(mean_kg + 100) == pytest.approx(kind.fat_mm.mean + 2.0)
        assert kind.usual_ribeye_cm2(mean_kg + 100) == pytest.approx(kind.ribeye_cm2.mean + 10.0)
    thin = replace(KINDS["bison"], fat_mm_per_hot_kg=0.5, ribeye_cm2_per_hot_kg=1.0)
    assert thin.usual_fat_mm(100.0) == 0.5
    assert thin.usual_ribeye_cm2(100.0) == 20.0


def read(text: str) -> tuple[dict[str, Kind], Findings]:
    findings = Findings()
    return read_kinds(tomllib.loads(text), KINDS, findings), findings


def test_a_kind_of_the_shops_own_like_another() -> None:
    kinds, findings = read("""
        [dairy-cross]
        like = "Grain Finished"
        name = "dairy cross"
        sexes = ["steer"]
        hang_days = [7, 10, 14]
        hot_kg = [340, 30]
        """)
    assert not list(findings)
    own = kinds["dairy-cross"]
    assert (own.like, own.name, own.sexes, own.hang_days) == (
        "grain-finished",
        "dairy cross",
        ("steer",),
        (7, 10, 14),
    )
    assert own.hot_kg == Spread(340.0, 30.0, "shop", "the shop's own figure")
    assert own.ribeye_cm2 == KINDS["grain-finished"].ribeye_cm2
    assert set(kinds) == {*KINDS, "dairy-cross"}


def test_like_reaches_through_to_the_shipped_kind() -> None:
    kinds, findings = read('[wagyu-cross]\nlike = "wagyu"\n[half-wagyu]\nlike = "wagyu-cross"\n')
    assert not list(findings)
    assert kinds["half-wagyu"].like == "wagyu"


def test_a_shipped_kind_may_be_given_own_figures() -> None:
    kinds, findings = read(
        '[wagyu]\nlike = "wagyu"\nhot_kg = [380.0, 35.0, "shop", "forty sides of our own"]\n'
    )
    assert not list(findings)
    assert kinds["wagyu"].like == "wagyu"
    assert kinds["wagyu"].hot_kg.source == "forty sides of our own"


WHOLE: dict[str, Any] = {
    "name": "water buffalo cross", "species": "bison", "finish": "grass", "rib_pairs": 14,
    "ribbed_between": [12, 13], "hang_days": [5, 8, 12], "usual_age_months": 30,
    "dressing_share": [0.52, 0.03], "hot_kg": [280.0, 30.0], "fat_mm": [6.0, 3.0], "ribeye_cm2": [62.0, 8.0],
    "kph_pct": [1.5, 0.5], "marbling_score": [280.0, 50.0], "fat_mm_per_hot_kg": 0.02,
    "ribeye_cm2_per_hot_kg": 0.1,
}  # fmt: skip


def read_whole(**changed: Any) -> tuple[Kind | None, list[str]]:
    table = {name: value for name, value in {**WHOLE, **changed}.items() if value is not ...}
    findings = Findings()
    kind = read_kinds({"own": table}, KINDS, findings).get("own")
    return kind, [finding.where for finding in findings]


@pytest.mark.parametrize(
    ("species", "finish", "like"),
    [
        ("bison", "grass", "bison"),
        ("cattle", "grass", "grass-finished"),
        ("cattle", "grain", "grain-finished"),
        ("cattle", "mixed", "grain-finished"),
    ],
)
def test_a_whole_kind_leans_on_the_nearest(species: str, finish: str, like: str) -> None:
    kind, wrong = read_whole(species=species, finish=finish)
    assert wrong == []
    assert kind is not None
    assert kind.like == like
    assert kind.sexes == ("steer", "heifer", "cow", "bullock", "bull")


@pytest.mark.parametrize("name", list(WHOLE))
def test_every_field_of_a_whole_kind_is_needed(name: str) -> None:
    kind, wrong = read_whole(**{name: ...})
    assert kind is None
    assert wrong == [f"kind own, {name}"]


@pytest.mark.parametrize(
    ("name", "odd"),
    [
        ("species", "goat"), ("finish", "beer"), ("name", "two\nlines"), ("sexes", ["ox"]), ("sexes", []),
        ("sexes", "bull"), ("rib_pairs", 11), ("rib_pairs", 16), ("rib_pairs", 13.5), ("usual_age_months", 0),
        ("usual_age_months", 301), ("ribbed_between", [12]), ("ribbed_between", [12, 14]),
        ("ribbed_between", [14, 15]), ("ribbed_between", [13, 12]), ("ribbed_between", [0, 1]),
        ("ribbed_between", ["12", "13"]), ("hang_days", [7, 5, 10]), ("hang_days", [5, 12, 10]),
        ("hang_days", [-1, 2, 3]), ("hang_days", [1, 2, 121]), ("hang_days", [True, 2, 3]), ("hang_days", 7),
        ("dressing_share", [60, 2]), ("dressing_share", [0.29, 0.1]), ("hot_kg", [950, 20]),
        ("hot_kg", [300, 0]), ("hot_kg", [300, -5]), ("hot_kg", ["300", 5]), ("hot_kg", [300]),
        ("hot_kg", 300), ("hot_kg", [True, 5]), ("hot_kg", [float("nan"), 5]),
        ("hot_kg", [300, float("nan")]), ("fat_mm", [-1, 2]), ("fat_mm", [6, 2, "hearsay", "a page"]),
        ("fat_mm", [6, 2, "read"]), ("fat_mm", [6, 2, ["read"], "x"]), ("ribeye_cm2", [12.8, 2]),
        ("kph_pct", [11, 1]), ("marbling_score", [1001, 10]), ("fat_mm_per_hot_kg", 1.5),
        ("ribeye_cm2_per_hot_kg", "steep"), ("colour", "red"), ("like", "goat"),
    ],
)  # fmt: skip
def test_every_bad_field_is_a_finding_of_its_own(name: str, odd: object) -> None:
    kind, wrong = read_whole(**{name: odd})
    assert kind is None
    assert wrong == [f"kind own, {name}"]


def test_all_bad_fields_are_found_at_once() -> None:
    kind, wrong = read_whole(species="goat", hot_kg=300, hang_days=[9], colour="red")
    assert kind is None
    assert wrong == [f"kind own, {name}" for name in ("species", "hang_days", "hot_kg", "colour")]


def test_a_bad_kind_leaves_the_others() -> None:
    kinds, findings = read('bad = 3\n[worse]\nlike = "goat"\n[good]\nlike = "bison"\n')
    assert set(kinds) == {*KINDS, "good"}
    assert [finding.where for finding in findings] == ["kind bad", "kind worse, like"]
