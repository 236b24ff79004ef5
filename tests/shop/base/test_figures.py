"""Figures as a person reads them: against factors written out here, with what is not known shown as a dash."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest
from django.template import Context, Template
from django.utils.translation import override

from gambrel.measures import Estimate, Finding

LB_A_KG, MM_AN_IN, CM2_AN_IN2 = 0.45359237, 25.4, 6.4516
"""Exact factors: International yard and pound agreement, 1959; NIST Special Publication 811, appendix B.8, 2008."""


def shown(tag: str, unit: str = "lb", **values: Any) -> str:
    return Template(f"{{% {tag} %}}").render(Context({"weight_unit": unit, **values}))


@pytest.mark.parametrize(
    ("tag", "value", "lb", "kg"),
    [
        ("weight x", 365.6, ("806.0 lb", "365.6 kg"), ("365.6 kg", "806.0 lb")),
        ("weight x", Decimal("1000.000"), ("2,204.6 lb", "1,000.0 kg"), ("1,000.0 kg", "2,204.6 lb")),
        ("weight x 3", LB_A_KG, ("1.000 lb", "0.454 kg"), ("0.454 kg", "1.000 lb")),
        ("length x", MM_AN_IN / 2, ("0.50 in", "12.7 mm"), ("12.7 mm", "0.50 in")),
        ("metres x", 12 * MM_AN_IN * 10, ("10.0 ft", "3.0 m"), ("3.0 m", "10.0 ft")),
        ("area x", 10 * CM2_AN_IN2, ("10.0 in²", "64.5 cm²"), ("64.5 cm²", "10.0 in²")),
        ("temperature x", 0, ("32 °F", "0.0 °C"), ("0.0 °C", "32 °F")),
        ("temperature x", -40.0, ("-40 °F", "-40.0 °C"), ("-40.0 °C", "-40 °F")),
        ("price x", 400 / LB_A_KG, ("$4.00/lb", "$8.82/kg"), ("$8.82/kg", "$4.00/lb")),
    ],
)
def test_the_unit_one_likes_with_the_other_beside_it(
    tag: str, value: float, lb: tuple[str, str], kg: tuple[str, str]
) -> None:
    for unit, (first, second) in (("lb", lb), ("kg", kg)):
        assert f">{first} <small>{second}</small>" in shown(tag, unit, x=value)


@pytest.mark.parametrize("tag", ["weight x", "length x", "metres x", "area x", "temperature x", "price x", "money x",
                                 "share x", "interval x 'weight'"])  # fmt: skip
@pytest.mark.parametrize("value", [None, {}], ids=["none", "not on the page"])
def test_what_is_not_known_is_a_dash(tag: str, value: Any) -> None:
    values = {} if value == {} else {"x": value}
    assert (
        shown(tag.replace("x", "x.mean", 1) if value == {} else tag, **values)
        == '<span class="none">–</span>'
    )


@pytest.mark.parametrize("value", [float("nan"), float("inf")])
def test_what_cannot_be_counted_is_a_dash(value: float) -> None:
    assert "–" in shown("weight x", x=value) and "nan" not in shown("money x", x=value)


def test_money_and_shares() -> None:
    assert "$1,234.56" in shown("money x", x=123456)
    assert "-$0.05" in shown("money x", x=-5)
    assert "12.5 %" in shown("share x", x=0.125)
    assert "33 %" in shown("share x 0", x=1 / 3)


def test_an_interval_is_said_from_its_ends_and_never_below_nothing() -> None:
    kg = Estimate(mean=10.0, p05=-1.0, p95=21.0)
    assert "0.0–21.0 kg" in shown("interval x 'weight'", "kg", x=kg)
    assert "46.3 lb" in shown("interval x 'weight'", "lb", x=kg), "21 kg / 0.45359237"
    assert "-1–21" in shown("interval x 'score'", x=kg)


def test_findings_say_what_was_given_wanted_and_what_to_do() -> None:
    text = shown("findings x", x=[Finding("<hot weight>", "9000 kg", "60 to 800 kg", "Check the unit.")])
    assert "&lt;hot weight&gt;" in text, "what was typed cannot become part of the page"
    for said in ("given 9000 kg", "wanted 60 to 800 kg", "Check the unit."):
        assert said in text


@pytest.mark.parametrize(
    "markup",
    ["<svg><script>x</script></svg>", "<svg onload='x'></svg>", "<p>no</p>", "<svg><style>a{}</style></svg>",
     "<svg><a href='javascript:x'/></svg>", "<svg><foreignObject/></svg>"],
)  # fmt: skip
def test_a_picture_that_could_run_is_a_mistake(markup: str) -> None:
    with pytest.raises(ValueError, match="not a picture"):
        shown("svg x", x=markup)


def test_a_cut_has_its_name_in_the_language_of_the_page() -> None:
    assert shown("cut_name 'flank-steak'") == "flank steak"
    with override("es"):
        assert shown("cut_name 'ribeye-steak'") == "bistec de ojo de costilla"
    assert shown("cut_name 'never-heard-of'") == "never heard of"
