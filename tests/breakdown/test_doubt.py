"""Weights that are asked about before they are kept, and those that are not."""

from __future__ import annotations

from dataclasses import replace

import pytest

from gambrel.breakdown.doubt import SAME_AGAIN_S, Doubt, Known, doubts_of
from gambrel.measures import Estimate

RIBEYE = Known(Estimate(mean=6.0, p05=5.0, p95=7.0), weighed_kg=0.0, left_kg=150.0)


@pytest.mark.parametrize("weight_kg", [0.4, 3.0, 6.0, 7.0, 9.9])
def test_a_usual_weight_or_a_part_of_it_is_not_asked_about(weight_kg: float) -> None:
    """Up to 7.0 + half of 6.0 in one go, or as little as a steak."""
    assert doubts_of(weight_kg, RIBEYE) == ()


def test_pounds_kept_as_kilograms_are_known_by_their_ratio() -> None:
    """6.0 kg are 13.2 lb."""
    assert doubts_of(13.2, RIBEYE) == (Doubt.POUNDS,)


@pytest.mark.parametrize("weight_kg", [10.1, 60.0])
def test_far_too_much_is_asked_about(weight_kg: float) -> None:
    assert doubts_of(weight_kg, RIBEYE) == (Doubt.TOO_MUCH,)


def test_what_was_weighed_before_counts() -> None:
    known = replace(RIBEYE, weighed_kg=6.0)
    assert doubts_of(3.9, known) == ()
    assert doubts_of(4.1, known) == (Doubt.TOO_MUCH,)


def test_a_whole_piece_once_more_may_be_the_other_sides() -> None:
    known = replace(RIBEYE, weighed_kg=6.1, other_side_lacks_it=True)
    assert doubts_of(6.0, known) == (Doubt.OTHER_SIDE,)
    assert doubts_of(6.0, replace(known, other_side_lacks_it=False)) == (Doubt.TOO_MUCH,)


def test_the_same_weight_at_once_again_may_have_been_sent_twice() -> None:
    known = replace(RIBEYE, weighed_kg=0.4, last_kg=0.4, last_s=3.0)
    assert doubts_of(0.4, known) == (Doubt.AGAIN,)
    assert doubts_of(0.4, replace(known, last_s=SAME_AGAIN_S + 1)) == ()
    assert doubts_of(0.41, known) == ()


def test_a_piece_that_no_way_gives_is_asked_about() -> None:
    assert doubts_of(1.0, replace(RIBEYE, expected=None)) == (Doubt.NOT_HERE,)


def test_more_than_is_left_of_the_side_is_said_first() -> None:
    assert doubts_of(9.0, replace(RIBEYE, left_kg=8.0)) == (Doubt.MORE_THAN_LEFT,)
    assert doubts_of(11.0, replace(RIBEYE, left_kg=8.0)) == (Doubt.MORE_THAN_LEFT, Doubt.TOO_MUCH)
