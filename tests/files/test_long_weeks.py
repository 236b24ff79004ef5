"""Calendars of sixty days and sixty sides: every day on one page, every mark on its day."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest

from gambrel.files.drawing import say
from gambrel.files.drawing.inputs import HangingSide, RailDay, WorkDay
from gambrel.files.drawing.week import NAMES, WIDTH, week_pages
from gambrel.measures.estimate import Estimate

START = date(2026, 3, 9)
SVG = "{http://www.w3.org/2000/svg}"


def day(number: int) -> date:
    return START + timedelta(days=number)


def side(name: str, first: int, best: int, last: int, cut: int | None = None) -> HangingSide:
    return HangingSide(name, "bison", Estimate.exact(150.0), day(first), day(best), day(last),
                       None if cut is None else day(cut))  # fmt: skip


@pytest.fixture
def sixty_days(sample_week):
    days = tuple(day(number) for number in range(60))
    rail = tuple(RailDay(one, 2.0 + number % 5, 9.0) for number, one in enumerate(days))
    work = tuple(WorkDay(one, "knife", 60.0, 480.0) for one in days)
    return replace(sample_week, today=START, days=days, rail=rail, work=work)


def days_of(picture) -> list[str]:
    """The day of the month under each weekday, from left to right."""
    return [node.text for node in picture.root.iter(f"{SVG}text") if node.get("y") == "129"
            and node.get("text-anchor") == "middle"]  # fmt: skip


def test_sixty_days_are_five_pages_with_each_day_once(sixty_days, drawn):
    pages = [drawn(svg) for svg in week_pages(sixty_days)]
    assert [len(days_of(page)) for page in pages] == [14, 14, 14, 14, 4]
    assert [text for page in pages for text in days_of(page)] == [
        say.day_month(one) for one in sixty_days.days
    ]
    for number, page in enumerate(pages, 1):
        assert page.title.endswith(f"({number} of 5)")
        assert len(page.of_class("side")) == len(sixty_days.sides)


def test_today_is_marked_on_its_own_page_only(sixty_days, drawn):
    pages = [drawn(svg) for svg in week_pages(sixty_days)]
    assert ["today" in page.texts for page in pages] == [True, False, False, False, False]


def test_a_cut_is_marked_on_its_own_page_and_told_on_the_others(sixty_days, drawn):
    week = replace(sixty_days, sides=(side("07-left", 30, 35, 40, 37),))
    pages = [drawn(svg) for svg in week_pages(week)]
    told = [f"cut {say.day(day(37))}" in page.texts for page in pages]
    marked = [page.texts.count("cut") == 2 for page in pages]  # the legend has one
    assert marked == [False, False, True, False, False]
    assert told == [True, True, False, True, True]


def test_a_window_over_a_page_end_goes_on_with_the_next(sixty_days, drawn):
    """Days 10 to 17: four columns of the first page, four of the second, and none of the third."""
    week = replace(sixty_days, sides=(side("07-left", 10, 13, 17, 15),), rail=(), work=())
    widths = []
    for svg in week_pages(week)[:3]:
        (row,) = drawn(svg).of_class("side")
        bars = [float(node.get("width")) for node in row.iter(f"{SVG}rect") if node.get("height") == "22"]
        widths.append(sum(bars))
    column = (WIDTH - NAMES - 20) / 14
    assert widths == [pytest.approx(4 * column - 4, abs=0.1)] * 2 + [0]


def test_dates_outside_the_calendar_draw_no_bar_and_break_nothing(sixty_days, drawn):
    sides = (
        side("long ago", -90, -80, -70),
        side("far ahead", 100, 110, 120, 115),
        side("around", -30, 5, 300),
    )
    pages = [drawn(svg) for svg in week_pages(replace(sixty_days, sides=sides))]
    for page in pages:
        for row, bars in zip(page.of_class("side"), (0, 0, 1), strict=True):
            windows = [node for node in row.iter(f"{SVG}rect") if node.get("height") == "22"]
            assert len(windows) == bars
        for node in page.root.iter(f"{SVG}rect"):
            assert 0 <= float(node.get("x")) <= WIDTH
            assert float(node.get("x")) + float(node.get("width")) <= WIDTH
    assert f"cut {say.day(day(115))}" in pages[0].texts
    assert f"not cut; latest {say.day_month(day(-70))}" in pages[0].texts


def test_every_bar_of_rail_and_hours_stands_in_its_strip(sixty_days, drawn):
    for svg in week_pages(sixty_days):
        strips = drawn(svg).of_class("strip")
        assert len(strips) == 2
        for strip in strips:
            tops = [float(node.get("y")) for node in strip.iter(f"{SVG}rect")]
            feet = [float(node.get("y")) + float(node.get("height")) for node in strip.iter(f"{SVG}rect")]
            assert max(feet) - min(tops) <= 50.1
            assert max(feet) == pytest.approx(min(feet), abs=0.02)


def test_sixty_sides_are_all_there_once(sample_week, drawn):
    sides = tuple(side(f"{number:02d}", 0, 3, 9, number % 9) for number in range(60))
    pages = [drawn(svg) for svg in week_pages(replace(sample_week, sides=sides))]
    assert [len(page.of_class("side")) for page in pages] == [18, 18, 18, 6]
    shown = [text for page in pages for text in page.texts if text.isdigit() and len(text) == 2]
    assert sorted(shown) == [f"{number:02d}" for number in range(60)]


@pytest.mark.parametrize(("cut", "word"), [(-1, "early"), (0, "cut"), (9, "cut"), (10, "late")])
def test_the_ends_of_the_window_still_belong_to_it(cut, word, sample_week, drawn):
    days = tuple(day(number) for number in range(-1, 13))
    week = replace(sample_week, today=days[0], days=days, sides=(side("07", 0, 3, 9, cut),), rail=(), work=())
    texts = drawn(week_pages(week)[0]).of_class("side")[0].itertext()
    assert word in list(texts)
