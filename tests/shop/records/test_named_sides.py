"""Sides by the names that plans know them by: both halves of each animal that is named, in one query."""

from __future__ import annotations

import pytest

from gambrel.shop.records.models import Side
from gambrel.shop.records.named_sides import sides_of_animals

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("demo_shop")]


def test_both_halves_of_each_animal_are_found_by_name() -> None:
    found = sides_of_animals(["B1", "W1", "B1"])
    assert set(found) == {"B1-left", "B1-right", "W1-left", "W1-right"}
    assert all((side.animal.tag, side.half) == tuple(name.rsplit("-", 1)) for name, side in found.items())


def test_a_tag_with_a_stroke_in_it_is_one_tag() -> None:
    """The half stands behind the last stroke."""
    side = Side.objects.select_related("animal").get(animal__tag="B1", half="left")
    side.animal.tag = "07-14"
    side.animal.save(update_fields=("tag",))
    assert set(sides_of_animals(["07-14"])) == {"07-14-left", "07-14-right"}


def test_nobody_is_found_without_a_name(django_assert_num_queries) -> None:  # type: ignore[no-untyped-def]
    with django_assert_num_queries(1):
        assert sides_of_animals(["no such tag"]) == {}
    assert sides_of_animals([]) == {}
