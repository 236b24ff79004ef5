"""The plan as a calendar: days across, each side a bar to its cutting day, rail and hours below."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from gambrel.files.drawing import say
from gambrel.files.drawing.colours import CUT, FAINT, INK, LINE, OVER, PAPER, QUIET, READY, TARGET, WAIT
from gambrel.files.drawing.day_strip import STRIP_HEIGHT, Cell, strip
from gambrel.files.drawing.inputs import HangingSide, WeekPlan
from gambrel.files.drawing.svg import Markup, box, element, fitted, group, label, line, picture, shortened
from gambrel.files.speech import spoken
from gambrel.measures.units import lb_from_kg

WIDTH = 1240.0
NAMES = 330.0
TOP = 150.0
ROW = 40.0
STRIP = STRIP_HEIGHT


@dataclass(frozen=True, slots=True)
class _Columns:
    """The days of one page and where they stand."""

    days: tuple[date, ...]

    @property
    def width(self) -> float:
        return (WIDTH - NAMES - 20) / len(self.days)

    def left(self, day: date) -> float:
        """Left edge of a day, also of one that is not on the page."""
        return NAMES + (day - self.days[0]).days * self.width

    def clipped(self, first: date, last: date) -> tuple[float, float] | None:
        """From the left edge of `first` to the right edge of `last`, as far as the page shows them."""
        begin, end = max(first, self.days[0]), min(last, self.days[-1])
        return None if begin > end else (self.left(begin), self.left(end) + self.width)


def week_pages(week: WeekPlan, *, sides_per_page: int = 18, days_per_page: int = 14) -> list[str]:
    """SVG pictures 1240 wide; more sides or days than fit run on to further pictures, days first.

    `week.days` must follow one another without gaps; `ValueError` otherwise or when there are none.
    """
    _check(week)
    spans = [week.days[i : i + days_per_page] for i in range(0, len(week.days), days_per_page)]
    starts = range(0, max(1, len(week.sides)), sides_per_page)
    blocks = [week.sides[i : i + sides_per_page] for i in starts]
    pages = [(span, block) for block in blocks for span in spans]
    many = len(pages) > 1
    return [_page(week, span, block, f" ({number} of {len(pages)})" if many else "")
            for number, (span, block) in enumerate(pages, 1)]  # fmt: skip


def _check(week: WeekPlan) -> None:
    if not week.days:
        raise ValueError("a calendar needs at least one day")
    if any(
        later - earlier != timedelta(days=1) for earlier, later in zip(week.days, week.days[1:], strict=False)
    ):
        raise ValueError("the days of a calendar follow one another")
    for side in week.sides:
        if not side.earliest <= side.target <= side.latest:
            raise ValueError(f"side {side.side}: earliest, target and latest are out of order")


def _page(week: WeekPlan, days: tuple[date, ...], sides: Sequence[HangingSide], count: str) -> str:
    columns = _Columns(days)
    foot = TOP + ROW * max(1, len(sides)) + 8
    rows = [_row(side, TOP + ROW * index, week.today, columns) for index, side in enumerate(sides)]
    if not sides:
        rows = [label(24, TOP + 26, "nothing hangs", size=17, fill=QUIET)]
    strips = _strips(week, columns, foot + 14)
    height = foot + 14 + STRIP * len(strips) + 40
    note = "The shop's own plan; the inspector in charge and the food-safety plan come first. " + week.note
    title = week.title + count
    return picture(
        WIDTH, height,
        label(24, 38, shortened(title, WIDTH - 48, 25), size=25, bold=True),
        _legend(),
        _heads(columns, week.today, foot),
        *rows, *strips,
        label(24, height - 16, shortened(note.strip(), WIDTH - 48, 15), size=15, fill=QUIET),
        title=title, desc=_in_words(week, sides),
    )  # fmt: skip


def _in_words(week: WeekPlan, sides: Sequence[HangingSide]) -> str:
    told = []
    for side in sides:
        cut = spoken(f"cut {say.day(side.cut_on)}" if side.cut_on else "no cutting day")
        window = spoken(
            f"ready {say.day(side.earliest)} to {say.day(side.latest)}, best {say.day(side.target)}"
        )
        told.append(f"{side.side} ({spoken(side.kind)}, {say.kg_lb(side.hung_kg.mean)}): {window}, {cut}")
    return spoken(f"Calendar from {say.day_year(week.today)}.") + " " + "; ".join(told)


def _legend() -> Markup:
    y = 70.0
    return group(
        box(24, y - 13, 34, 14, fill=READY, radius=3),
        label(66, y, "ready window", size=16),
        line((208, y - 14), (208, y + 2), stroke=TARGET, width=4),
        label(218, y, "target day", size=16),
        box(326, y - 9, 34, 6, fill=WAIT, radius=3),
        label(368, y, "on the rail until cut", size=16),
        box(548, y - 15, 42, 20, fill=CUT, radius=4),
        label(569, y, "cut", size=15, bold=True, anchor="middle", fill=PAPER),
        label(598, y, "cutting day", size=16),
        box(716, y - 15, 48, 20, fill=OVER, radius=4),
        label(740, y, "late", size=15, bold=True, anchor="middle", fill=PAPER),
        label(772, y, "outside its window", size=16),
    )


def _heads(columns: _Columns, today: date, foot: float) -> Markup:
    parts: list[Markup] = []
    size = 16 if columns.width >= 56 else 13
    for day in columns.days:
        x = columns.left(day)
        middle = x + columns.width / 2
        if day == today or day.weekday() >= 5:
            parts.append(box(x, 88, columns.width, foot - 88, fill=FAINT))
        parts.append(label(middle, 109, say.weekday(day), size=size, anchor="middle", bold=True))
        parts.append(label(middle, 129, say.day_month(day), size=size, anchor="middle", fill=QUIET))
        parts.append(line((x, 92), (x, foot), stroke=LINE))
        if day == today:
            parts.append(label(middle, 144, "today", size=13, anchor="middle", bold=True, fill=TARGET))
    parts.append(line((16, TOP - 2), (WIDTH - 20, TOP - 2), stroke=QUIET))
    return group(*parts, label(24, 129, "side", size=16, fill=QUIET),
                 label(NAMES - 14, 129, "kg · lb today", size=16, anchor="end", fill=QUIET))  # fmt: skip


def _row(side: HangingSide, top: float, today: date, columns: _Columns) -> Markup:
    middle = top + ROW / 2
    weight = f"{say.plain(side.hung_kg.mean)} · {say.plain(lb_from_kg(side.hung_kg.mean), 0)}"
    kind, size = fitted(side.kind, 190, 14)
    parts = [
        label(24, middle - 2, shortened(side.side, 150, 17), size=17, bold=True),
        label(24, middle + 15, kind, size=size, fill=QUIET),
        label(NAMES - 14, middle + 5, weight, size=17, anchor="end", fill=INK),
        line((16, top + ROW - 1), (WIDTH - 20, top + ROW - 1), stroke=FAINT),
    ]
    waiting = columns.clipped(today, side.cut_on or columns.days[-1])
    window = columns.clipped(side.earliest, side.latest)
    if waiting:
        parts.append(box(waiting[0] + 2, middle - 3, waiting[1] - waiting[0] - 4, 6, fill=WAIT, radius=3))
    if window:
        parts.append(box(window[0] + 2, middle - 11, window[1] - window[0] - 4, 22, fill=READY, radius=4))
    if side.target in columns.days:
        x = columns.left(side.target) + 7
        parts.append(line((x, middle - 11), (x, middle + 11), stroke=TARGET, width=4))
    parts.append(_cut_mark(side, middle, columns))
    return group(*parts, class_="side")


def _cut_mark(side: HangingSide, middle: float, columns: _Columns) -> Markup:
    """A box on the cutting day, in words and in another colour when it falls outside the window."""
    if side.cut_on is None or side.cut_on not in columns.days:
        text = (
            f"cut {say.day(side.cut_on)}" if side.cut_on else f"not cut; latest {say.day_month(side.latest)}"
        )
        return label(WIDTH - 28, middle + 5, text, size=15, anchor="end")
    word = "early" if side.cut_on < side.earliest else "late" if side.cut_on > side.latest else "cut"
    x = columns.left(side.cut_on) + columns.width / 2
    return group(
        element(
            "rect",
            x=x - 24,
            y=middle - 12,
            width=48,
            height=24,
            rx=4,
            fill=CUT if word == "cut" else OVER,
            stroke=PAPER,
            stroke_width=1.5,
        ),
        label(x, middle + 5, word, size=15, bold=True, anchor="middle", fill=PAPER),
    )


def _strips(week: WeekPlan, columns: _Columns, top: float) -> list[Markup]:
    """Rail, then each sort of work in the order it first comes."""
    series = [("rail in use", {day.day: Cell(day.used_m, day.capacity_m) for day in week.rail}, "m")]
    for work in dict.fromkeys(day.work for day in week.work):
        cells = {
            day.day: Cell(day.used_min / 60, day.available_min / 60) for day in week.work if day.work == work
        }
        series.append((f"{work} hours", cells, "h"))
    places = {day: columns.left(day) for day in columns.days}
    shown = [one for one in series if one[1]]
    return [strip(name, unit, cells, places, columns.width, top + STRIP * index, NAMES)
            for index, (name, cells, unit) in enumerate(shown)]  # fmt: skip
