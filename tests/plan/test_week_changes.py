"""What is told of two weeks: whatever a person can change in the file is told, by itself and with its words."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from gambrel.plan import Week
from gambrel.plan.questions.week_changes import week_changes

Read = Callable[[str], Week]

FILE = """
[shop]
name = "Cottonwood Bend"
start = 2026-03-09
days = 14
cutting_days = ["mon", "wed", "fri"]
rail = "6m"
rail_per_side = "0.6m"
waste = "0.10/kg"
hanging_on = "1.00/kg"
trim = "close"
srm_policy_bison = "as_cattle"

[hours]
knife = "8h"
saw = "3h"

[wages]
per_hour = "$24.00"

[grinding]
grinder = 6

[[animal]]
id = "C1"
kind = "grain-finished"
sex = "steer"
age_months = 18
hot = "360kg"
killed = 2026-02-27
fat = "12mm"
sides = ["left", "right"]
hang_days = [10, 14, 21]
ways_allowed = { forequarter = ["bone-in", "boneless"] }
ways_forbidden = { hindquarter = ["boneless"] }
pin = { day = 2026-03-13, ways = { forequarter = "boneless" } }

[[demand]]
cut = "chuck-roll"
kind = "grain-finished"
steps = [{ upto = "20kg", price = "20.00/kg" }, { upto = "40kg", price = "12.00/kg" }]
salvage = "8.00/kg"
shelf_days = 6

[[ground]]
name = "ground-beef-80"
kind = "grain-finished"
lean = 80
steps = [{ upto = "30kg", price = "15.00/kg" }]

[[order]]
id = "17"
cut = "short-ribs"
kind = "grain-finished"
weight = "20kg"
by = 2026-03-16
price = "21.00/kg"
must = true
shelf_days = 5
out_of_state = false
"""

CHANGES = [
    ("days = 14", "days = 10", "days of the plan", "10 from 2026-03-09 instead of 14 from 2026-03-09"),
    ("start = 2026-03-09", "start = 2026-03-10", "days of the plan", "14 from 2026-03-10 instead of 14 from"),
    ('["mon", "wed", "fri"]', '["mon", "wed"]', "days cutting", "mon, wed instead of mon, wed, fri"),
    ('rail = "6m"', 'rail = "4.5m"', "rail in all", "4.50 m instead of 6.00 m"),
    ('rail = "6m"\n', "", "rail in all", "no limit instead of 6.00 m"),
    ('"0.6m"', '"0.55m"', "rail a side", "0.55 m instead of 0.60 m"),
    ('waste = "0.10/kg"', 'waste = "0.25/kg"', "money hauling", "$0.25 a kg instead of $0.10 a kg"),
    ('"1.00/kg"\ntrim', '"1.50/kg"\ntrim', "money hanging on", "$1.50 a kg instead of $1.00 a kg"),
    ('"$24.00"', '"$26.50"', "money wages", "$26.50 an hour instead of $24.00 an hour"),
    ('knife = "8h"', 'knife = "450min"', "hours knife", "7.5 h a day instead of 8.0 h a day"),
    ('trim = "close"', 'trim = "light"', "settled trim of every side", "light instead of close"),
    ("as_cattle", "not_applied", "settled rule for bison past 30 months", "not_applied instead of as_cattle"),
    ("grinder = 6", "grinder = 9", "hours grinder, grinding", "9 min for 100 kg instead of 6"),
    ('hot = "360kg"', 'hot = "352.5kg"', "animal C1", "352.5 kg hot"),
    ('fat = "12mm"', 'fat = "8mm"', "animal C1", "8.0 mm of fat"),
    ('hang_days', 'inspected = "state"\nhang_days', "animal C1", "state inspection"),
    ('hang_days', 'style = "boneless"\nhang_days', "animal C1", "style boneless"),
    ("killed = 2026-02-27", "killed = 2026-02-26", "animal C1", "killed 2026-02-26"),
    ('sides = ["left", "right"]', 'sides = ["right"]', "animal C1", "1 of 2 sides"),
    ('kind = "grain-finished"\nsex', 'kind = "grass-finished"\nsex', "animal C1", "grass"),
    ("age_months = 18", "age_months = 31", "animal C1", "31 months"),
    ("[10, 14, 21]", "[10, 14, 28]", "animal C1", "hangs 10 to 28 days, best 14"),
    ('"bone-in", "boneless"] }', '"boneless"] }', "animal C1", "forequarter boneless only"),
    ('hindquarter = ["boneless"]', 'hindquarter = ["bone-in"]', "animal C1", "hindquarter not bone-in"),
    ("day = 2026-03-13,", "day = 2026-03-11,", "settled C1", "day 2026-03-11, forequarter goes boneless"),
    ('ways = { forequarter = "boneless" }', 'ways = { forequarter = "bone-in" }', "settled C1", "goes bone-in"),
    ('"20kg", price', '"25kg", price', "counter chuck-roll (grain-finished)", "25.0 kg at $20.00, 40.0 kg at $12.00"),
    ("20.00/kg", "19.00/kg", "counter chuck-roll (grain-finished)", "20.0 kg at $19.00"),
    ('"8.00/kg"', '"7.00/kg"', "counter chuck-roll (grain-finished)", "then $7.00 a kg"),
    ("shelf_days = 6", "shelf_days = 8", "counter chuck-roll (grain-finished)", "keeps 8 days"),
    ("lean = 80", "lean = 85", "counter ground-beef-80 (grain-finished)", "85 % lean"),
    ('weight = "20kg"', 'weight = "18kg"', "promise 17", "18.0 kg of short-ribs"),
    ("by = 2026-03-16", "by = 2026-03-18", "promise 17", "by 2026-03-18"),
    ("21.00/kg", "22.00/kg", "promise 17", "at $22.00 a kg"),
    ("must = true", "must = false", "promise 17", "may be left"),
    ("shelf_days = 5", "shelf_days = 9", "promise 17", "keeps 9 days"),
    ("out_of_state = false", "out_of_state = true", "promise 17", "out of state"),
    ('cut = "short-ribs"', 'cut = "top-round"', "promise 17", "of top-round"),
]  # fmt: skip


@pytest.mark.parametrize(("was", "now", "of", "words"), CHANGES, ids=lambda one: str(one)[:40].strip())
def test_one_change_in_the_file_is_told_once_with_its_words(
    was: str, now: str, of: str, words: str, read: Read
) -> None:
    assert was in FILE
    before, after = read(FILE), read(FILE.replace(was, now))
    (change,) = week_changes(before, after)
    assert f"{change.what} {change.of}".strip() == of
    assert words in change.sentence()
    (back,) = week_changes(after, before)
    assert (back.before, back.after) == (change.after, change.before)


def test_changes_come_in_the_order_of_the_file_and_each_only_once(read: Read) -> None:
    was, now = FILE, FILE
    for old, new, _, _ in CHANGES:
        now = now.replace(old, new, 1)  # where two would change the same words, the first stands
    found = week_changes(read(was), read(now))
    told = [(one.what, one.of) for one in found]
    assert len(set(told)) == len(told)
    order = ["animal", "settled", "promise", "counter", "hours", "rail", "days", "money"]
    assert [what for what, _ in told] == sorted((what for what, _ in told), key=order.index)
    assert {what for what, _ in told} == set(order)
