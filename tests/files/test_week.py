"""The calendar: every side on it, the cutting day where the plan says, rail and hours with their units."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import pytest

from gambrel.files.drawing import say
from gambrel.files.drawing.inputs import HangingSide
from gambrel.files.drawing.week import NAMES, WIDTH, week_pages
from gambrel.measures.estimate import Estimate


def test_every_side_and_every_day_is_there(sample_week, drawn):
    (svg,) = week_pages(sample_week)
    picture = drawn(svg)
    assert len(picture.of_class("side")) == len(sample_week.sides)
    for side in sample_week.sides:
        assert side.side in picture.texts
        assert side.kind in picture.texts
        assert any(text.startswith(f"{side.hung_kg.mean:.1f} · ") for text in picture.texts)
    for day in sample_week.days:
        assert say.day_month(day) in picture.texts
    assert "kg · lb today" in picture.texts
    assert "today" in picture.texts


def test_the_cut_stands_under_its_day(sample_week, drawn):
    picture = drawn(week_pages(sample_week)[0])
    width = (WIDTH - NAMES - 20) / len(sample_week.days)
    marks = [node for node in picture.root.iter("{http://www.w3.org/2000/svg}text")
             if node.text in ("cut", "late") and float(node.get("y")) > 100]  # fmt: skip
    places = [round((float(node.get("x")) - NAMES) / width - 0.5, 3) for node in marks]
    planned = [(side.cut_on - sample_week.days[0]).days for side in sample_week.sides if side.cut_on]
    assert places == planned


def test_a_day_outside_the_window_is_said_in_words(sample_week, drawn):
    texts = drawn(week_pages(sample_week)[0]).texts
    assert texts.count("late") == 2  # the legend, and side 06-left
    early = replace(sample_week.sides[7], cut_on=sample_week.today)
    assert "early" in drawn(week_pages(replace(sample_week, sides=(early,)))[0]).texts


def test_a_side_that_is_not_cut_shows_its_latest_day(sample_week, drawn):
    assert "not cut; latest 31 Mar" in drawn(week_pages(sample_week)[0]).texts


def test_rail_and_hours_are_given_with_what_there_is(sample_week, drawn):
    picture = drawn(week_pages(sample_week)[0])
    assert len(picture.of_class("strip")) == 2
    assert "9.6" in picture.texts and "of 9.0 m" in picture.texts
    assert "knife hours" in picture.texts and "of 8.0 h" in picture.texts
    assert "6.3" in picture.texts  # 380 minutes
    assert "none, 0 h" in picture.texts  # Sunday


def test_more_than_there_is_has_another_colour(sample_week, drawn):
    picture = drawn(week_pages(sample_week)[0])
    over = [
        node.text
        for node in picture.root.iter("{http://www.w3.org/2000/svg}text")
        if node.get("fill") == "#b23a12"
    ]
    assert over == ["9.6"]


def test_many_sides_and_days_run_on_to_more_pictures(sample_week, drawn):
    days = tuple(sample_week.today + timedelta(days=i) for i in range(30))
    sides = tuple(replace(sample_week.sides[i % 10], side=f"{i:02d}-left") for i in range(45))
    pages = [drawn(svg) for svg in week_pages(replace(sample_week, days=days, sides=sides))]
    assert len(pages) == 9
    for page in pages[::3]:
        assert page.title.endswith("of 9)")
    shown = {text for page in pages for text in page.texts if text.endswith("-left")}
    assert shown == {side.side for side in sides}
    assert all(len(page.of_class("side")) <= 18 for page in pages)


def test_a_cut_on_another_page_is_named(sample_week, drawn):
    days = tuple(sample_week.today + timedelta(days=i) for i in range(28))
    side = replace(sample_week.sides[8], cut_on=days[20])
    first, second = (drawn(svg) for svg in week_pages(replace(sample_week, days=days, sides=(side,))))
    assert f"cut {say.day(days[20])}" in first.texts
    assert second.texts.count("cut") == 2


def test_an_empty_rail_says_so(sample_week, drawn):
    assert "nothing hangs" in drawn(week_pages(replace(sample_week, sides=()))[0]).texts


def test_a_calendar_without_days_or_with_gaps_is_refused(sample_week):
    with pytest.raises(ValueError, match="at least one day"):
        week_pages(replace(sample_week, days=()))
    with pytest.raises(ValueError, match="follow one another"):
        week_pages(replace(sample_week, days=sample_week.days[::2]))


def test_a_window_out_of_order_is_refused(sample_week):
    day = sample_week.today
    wrong = HangingSide("x", "bison", Estimate.exact(1.0), day, day - timedelta(days=1), day)
    with pytest.raises(ValueError, match="out of order"):
        week_pages(replace(sample_week, sides=(wrong,)))


def test_one_day_is_a_calendar_too(sample_week, drawn):
    picture = drawn(week_pages(replace(sample_week, days=sample_week.days[:1]))[0])
    assert len(picture.of_class("side")) == len(sample_week.sides)


def test_hostile_names_are_only_shown(sample_week, drawn):
    side = replace(sample_week.sides[0], side='<a href="x">', kind="&lt;")
    picture = drawn(week_pages(replace(sample_week, sides=(side,), title="<b>"))[0])
    assert '<a href="x">' in picture.texts
    assert not picture.tags() & {"a", "b"}


def test_the_description_tells_the_plan(sample_week, drawn):
    desc = drawn(week_pages(sample_week)[0]).desc
    assert (
        "01-left (bison, 150.0 kg · 330.7 lb): ready Sat 7 Mar to Thu 12 Mar, best Mon 9 Mar, cut Tue 10 Mar"
        in desc
    )
    assert "no cutting day" in desc
