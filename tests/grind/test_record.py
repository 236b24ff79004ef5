"""Everything that the rule wants of a batch is asked for, all at once."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime

import pytest

from gambrel.grind.names import GROUND_NAMES
from gambrel.grind.record import GrindingRecord, Material

TRIM = Material("80 trim", 12.0, 80.0, "cattle", "M-0000", "26068-3", date(2026, 3, 9))
BOX = Material("50 trim", 4.0, 50.0, "cattle", "M-0001", "K7", date(2026, 3, 2), own=False)
WHOLE = GrindingRecord("G26068-1", "GROUND BEEF", 72.5, (TRIM, BOX), datetime(2026, 3, 9, 10, 0),
                       datetime(2026, 3, 9, 7, 0))  # fmt: skip


def letters(record: GrindingRecord) -> str:
    """The letters of 9 CFR 320.1(b)(4)(i) that are missing."""
    return "".join(sorted({finding.wanted.split("(")[1][0] for finding in record.missing()}))


def test_a_record_with_every_field_lacks_nothing() -> None:
    assert WHOLE.missing() == ()


@pytest.mark.parametrize(
    ("changed", "letter"),
    [
        ({"materials": (replace(TRIM, plant=""), BOX)}, "A"),
        ({"materials": (TRIM, replace(BOX, lot=""))}, "B"),
        ({"materials": (TRIM, replace(BOX, made_on=None))}, "B"),
        ({"materials": ()}, "C"),
        ({"made_at": None}, "D"),
        ({"cleaned_at": None}, "E"),
        ({"cleaned_at": datetime(2026, 3, 9, 10, 1)}, "E"),
        ({"made_at": None, "cleaned_at": None, "materials": (replace(TRIM, plant="", lot=""),)}, "ABDE"),
    ],
)
def test_each_missing_field_is_named_by_its_letter(changed: dict[str, object], letter: str) -> None:
    assert letters(replace(WHOLE, **changed)) == letter  # type: ignore[arg-type]


def test_a_clean_up_at_the_very_minute_is_before_the_batch() -> None:
    assert replace(WHOLE, cleaned_at=WHOLE.made_at).missing() == ()


def test_meat_carried_over_is_named_by_its_batch_and_has_its_papers_there() -> None:
    carried = replace(TRIM, plant="", lot="", made_on=None, carried_from="G26068-0")
    record = replace(WHOLE, materials=(carried, BOX))
    assert record.missing() == ()
    assert record.sources() == {("M-0001", "K7")}


def test_the_lean_of_a_batch_is_the_mean_by_weight() -> None:
    # (12 x 80 + 4 x 50) / 16 = 1160 / 16 = 72.5
    assert (WHOLE.in_kg, WHOLE.lean_pct) == (16.0, 72.5)
    assert replace(WHOLE, materials=()).lean_pct is None


def test_the_same_slip_of_two_tubs_of_an_animal_is_told_once() -> None:
    tubs = (replace(TRIM, plant="", where="B0"), replace(TRIM, plant="", where="B0", weight_kg=3.0))
    assert len(replace(WHOLE, materials=tubs).missing()) == 1


@pytest.mark.parametrize(
    ("name", "kg", "right"),
    [
        ("ground-bison-and-beef", {"bison": 6.0, "cattle": 4.0}, True),
        ("ground-bison-and-beef", {"bison": 4.0, "cattle": 6.0}, False),
        ("ground-bison-and-beef", {"bison": 6.0}, False),
        ("ground-beef", {"cattle": 6.0}, True),
        ("ground-beef", {"cattle": 6.0, "bison": 0.1}, False),
        ("ground-bison", {}, True),
    ],
)
def test_the_name_says_every_species_and_the_larger_share_first(
    name: str, kg: dict[str, float], right: bool
) -> None:
    """Two of them both named, the larger first (from memory); nothing in it is nothing wrong yet."""
    materials = tuple(replace(TRIM, species=one, weight_kg=weight) for one, weight in kg.items())
    record = replace(WHOLE, materials=materials)
    assert list(record.species_kg) == sorted(kg, key=lambda one: -kg[one])
    found = record.misnamed(GROUND_NAMES[name])
    assert (found == ()) == right
    assert all("larger share first" in one.wanted for one in found)


def test_tubs_of_one_species_count_together() -> None:
    record = replace(WHOLE, materials=(replace(TRIM, species="bison", weight_kg=5.0), TRIM, BOX))
    assert record.species_kg == {"cattle": 16.0, "bison": 5.0}


# Left over from 6 kg of bison with 4 kg of cattle: six parts in ten, four parts in ten.
LEFT = replace(TRIM, name="carried over from G26068-0", species="bison", weight_kg=0.5, carried_from="G26068-0",
               mixed=(("bison", 0.6), ("cattle", 0.4)))  # fmt: skip


@pytest.mark.parametrize(
    ("name", "fresh", "kg", "right"),
    [
        # 0.5 kg of it are 0.3 kg of bison and 0.2 kg of cattle, beside 10 kg of fresh trim
        ("ground-bison", "bison", {"bison": 10.3, "cattle": 0.2}, False),
        ("ground-beef", "cattle", {"cattle": 10.2, "bison": 0.3}, False),
        ("ground-bison-and-beef", "bison", {"bison": 10.3, "cattle": 0.2}, True),
        ("ground-beef-and-bison", "bison", {"bison": 10.3, "cattle": 0.2}, False),
        ("ground-beef-and-bison", "cattle", {"cattle": 10.2, "bison": 0.3}, True),
    ],
)
def test_what_a_mixed_batch_left_counts_as_each_of_its_species(
    name: str, fresh: str, kg: dict[str, float], right: bool
) -> None:
    record = replace(WHOLE, materials=(LEFT, replace(TRIM, species=fresh, weight_kg=10.0)))
    assert record.species_kg == pytest.approx(kg) and list(record.species_kg) == list(kg)
    assert (record.misnamed(GROUND_NAMES[name]) == ()) == right
    assert sum(record.species_kg.values()) == pytest.approx(record.in_kg)


def test_the_finding_weighs_every_species_of_what_was_carried_over() -> None:
    record = replace(WHOLE, materials=(LEFT, replace(TRIM, species="bison", weight_kg=10.0)))
    (found,) = record.misnamed(GROUND_NAMES["ground-bison"])
    assert found.given == "10.30 kg bison, 0.20 kg cattle"


def test_trim_of_one_species_is_all_of_that() -> None:
    assert TRIM.species_share == {"cattle": 1.0} and LEFT.species_share == {"bison": 0.6, "cattle": 0.4}
