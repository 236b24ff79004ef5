"""What the command says of its answers: money, spans and promises in words, from figures given here."""

from __future__ import annotations

import json
from datetime import date

import pytest

from gambrel.cli.plan_answers import Answers, answer_lines, answers_json, clash_json
from gambrel.measures import Finding
from gambrel.plan import PlanResult
from gambrel.plan.questions.clash_set import Promise
from gambrel.plan.questions.compare import Comparison, SideChange, WayChange
from gambrel.plan.questions.relax import Eased
from gambrel.plan.questions.safety import SafePlan
from gambrel.plan.questions.since import PutBack, Since
from gambrel.plan.questions.tried import PromiseTried, Tried
from gambrel.plan.questions.why import WhyNot, Worth

NO_PLAN = PlanResult("no-plan", 0, 0.0, 0.0)
SHORT = Finding("order 17", "26.0 kg at most", "40.0 kg of short-ribs", "Agree on less.")
TURNED = Comparison(
    -6000, (SideChange("C1-left", date(2026, 3, 9), date(2026, 3, 9), (WayChange("rib", "boneless", "bone-in"),)),),
    (), (), (), {"counter_cents": -6000},
)  # fmt: skip


def tried(kept: float, *, over_min: float = 0.0, short_kg: float = 2.5) -> Tried:
    promise = PromiseTried("17", "short-ribs", 25.0, kept, short_kg, True)
    return Tried(200, (90_000, 100_000, 110_000), 100_100, (promise,), kept, over_min, (0, 1), (200,))


def lines(found: Answers) -> list[str]:
    return list(answer_lines(found))


def test_nothing_asked_is_nothing_said() -> None:
    assert lines(Answers()) == [] and answers_json(Answers()) == {}


@pytest.mark.parametrize(
    ("worth", "words"),
    [
        (Worth(-6000, -6000, -6000), "-$60.00"),  # both plans proven: no span
        (Worth(-6000, -7050, -5999), "-$60.00 (between -$70.50 and -$59.99)"),
        (Worth(0, 0, 120), "$0.00 (between $0.00 and $1.20)"),
        (Worth(123_456, 100_000, 150_000), "$1,234.56 (between $1,000.00 and $1,500.00)"),
    ],
)
def test_a_worth_is_told_with_its_span_where_there_is_one(worth: Worth, words: str) -> None:
    one = Eased("hours", "knife", "one hour more of knife work on each cutting day", worth)
    assert lines(Answers(relaxed=(one,)))[-1] == f"  one hour more of knife work on each cutting day: {words}"
    (told,) = answers_json(Answers(relaxed=(one,)))["relaxed"]
    assert told["worth_cents"] == {"found": worth.cents, "low": worth.low_cents, "high": worth.high_cents}


def test_why_not_tells_the_way_to_it_and_what_turns() -> None:
    one = WhyNot("C1", "rib bone-in", NO_PLAN, Worth(-6000, -6000, -6000), TURNED, {"side": "quarters"})
    assert lines(Answers(why=(one,))) == [
        "",
        "Why not C1, rib bone-in? It would bring -$60.00.",
        "  for it to come about at all, side goes quarters",
        "  C1-left: rib goes bone-in instead of boneless",
        "  together the counter $60.00 less",
    ]
    (told,) = answers_json(Answers(why=(one,)))["why"]
    assert told["also"] == {"side": "quarters"} and len(told["changes"]) == 2


def test_where_no_plan_is_left_the_promise_is_named_and_no_money() -> None:
    one = WhyNot("C1", "rib bone-in", NO_PLAN, None, None, {}, (SHORT,))
    (_, said) = lines(Answers(why=(one,)))
    assert said == f"Why not C1, rib bone-in? No plan then ({SHORT.sentence()})."
    back = PutBack(("C1-left",), None, (SHORT,))
    since = lines(Answers(since=Since(TURNED, back, (back,))))
    assert since[-2:] == [
        f"  all of it as it was: no plan then ({SHORT.sentence()})",
        f"  C1-left alone as it was: no plan then ({SHORT.sentence()})",
    ]
    assert "$" not in said + "".join(since[-2:])
    (told,) = answers_json(Answers(why=(one,)))["why"]
    assert told["worth_cents"] is None and told["findings"][0]["where"] == "order 17"


def test_what_changed_comes_before_what_going_back_brings() -> None:
    back = PutBack(("C1-left", "C1-right"), Worth(-100, -100, -100), ())
    assert lines(Answers(since=Since(TURNED, back, ()))) == [
        "",
        "Since the last plan: $60.00 less",
        "  C1-left: rib goes bone-in instead of boneless",
        "  together the counter $60.00 less",
        "  all of it as it was would bring -$1.00",
    ]
    unchanged = answers_json(Answers(since=Since(TURNED, None, ())))["since_last"]
    assert unchanged["going_back"] == [] and unchanged["profit_cents"] == -6000


def test_a_try_tells_shortness_and_overtime_only_where_there_is_some() -> None:
    said = "\n".join(lines(Answers(tried=tried(0.75, over_min=12.4))))
    assert "$900.00 in the poorest of twenty" in said and "$1,100.00 in the best of twenty" in said
    assert "order 17, 25.0 kg of short-ribs: kept in 75%, short by 2.5 kg where it is not" in said
    assert "may run over by 12 minutes" in said
    sure = "\n".join(lines(Answers(tried=tried(1.0, over_min=0.9, short_kg=0.0))))
    assert "kept in 100%" in sure and "short by" not in sure and "run over" not in sure


def test_a_promise_broken_now_and_then_is_never_said_to_be_kept_always() -> None:
    """199 of 200 draws are 99.5 %: rounded they would read 100 %."""
    said = lines(Answers(tried=tried(0.995)))
    assert any("kept in 99%" in line and "short by 2.5 kg" in line for line in said)
    assert not any("100%" in line for line in said)


def test_safety_tells_its_price_and_the_reserve() -> None:
    safe = SafePlan(NO_PLAN, tried(0.95), 0.9, 1_250, {"17": 4.25}, ())
    said = lines(Answers(safe=safe))
    assert said[1] == "Promises kept with probability 0.9: the mean earns $12.50 less than without."
    assert said[2] == "  order 17: 4.2 kg more of its cut is made than promised"
    told = answers_json(Answers(safe=safe))["safety"]
    assert told == {
        "share": 0.9,
        "safe": True,
        "costs_cents": 1250,
        "reserve_kg": {"17": 4.25},
        "findings": [],
    }


def test_all_answers_together_are_plain_json() -> None:
    found = Answers(tried=tried(0.5), safe=SafePlan(NO_PLAN, tried(0.5), 0.9, 0, {}, (SHORT,)))
    assert json.loads(json.dumps(answers_json(found)))["tried"]["promises"][0]["order"] == "17"
    clash = (Promise("order", "17", "order 17, 40.0 kg", lambda week: week),)
    assert clash_json(clash) == [{"what": "order", "of": "17", "promise": "order 17, 40.0 kg"}]
