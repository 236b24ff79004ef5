"""`gambrel breakdown`: the contract's JSON, the law, bad input all at once."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from hypothesis import given, settings
from hypothesis import strategies as st

from gambrel.cli.main import main

CASE = {
    "kind": '"grain-finished"',
    "sex": '"steer"',
    "age_months": "17",
    "hot": '"806lb"',
    "days_hung": "14",
    "fat": '"0.5in"',
    "ribeye": '"12.6in2"',
    "kph": "2.5",
    "style": '"boneless"',
    "draws": "800",
    "seed": "1",
}


def write(folder: Path, fields: dict[str, str], tail: str = "") -> str:
    path = folder / "case.toml"
    path.write_text(
        "\n".join(f"{name} = {value}" for name, value in fields.items()) + "\n" + tail, encoding="utf-8"
    )
    return str(path)


def run(*arguments: str) -> Result:
    result = CliRunner().invoke(main, ["breakdown", *arguments])
    assert result.exception is None or isinstance(result.exception, SystemExit), result.exception
    return result


def answer(folder: Path, tail: str = "", **changes: str | None) -> dict:
    fields = {name: value for name, value in {**CASE, **changes}.items() if value is not None}
    result = run(write(folder, fields, tail), "--json")
    assert result.exit_code == 0, result.output
    return json.loads(result.stdout)


def test_json_as_in_the_contract(tmp_path: Path) -> None:
    value = answer(tmp_path)
    assert {"hung_kg", "pieces", "totals", "primals", "balance_error_kg"} <= set(value)
    assert set(value["totals"]) == {"saleable_kg", "ground_kg", "trim_fat_kg", "bone_kg", "loss_kg"}
    for piece in value["pieces"]:
        assert {"slug", "imps", "name", "use", "kg"} <= set(piece)
        assert piece["kg"]["p05"] <= piece["kg"]["mean"] <= piece["kg"]["p95"]
    assert value["balance_error_kg"] < 1e-9
    whole = sum(piece["kg"]["mean"] for piece in value["pieces"]) + value["totals"]["loss_kg"]["mean"]
    assert whole == pytest.approx(value["hung_kg"], abs=1e-6)
    assert sum(value["primals"].values()) == pytest.approx(1.0, abs=0.01)
    assert value["official"] is False
    # A carcass loses 4 to 6 % of its hot weight to day 14 (freezer-beef notes, in reference table 6.2).
    assert 0.94 <= value["hung_kg"] / 365.6 <= 0.96


def test_a_side_is_half_its_carcass(tmp_path: Path) -> None:
    carcass, side = answer(tmp_path), answer(tmp_path, hot=None, side_hot='"403lb"')
    assert side["basis"] == "side" and carcass["basis"] == "carcass"
    assert side["hung_kg"] == pytest.approx(carcass["hung_kg"] / 2, rel=0.01)


def test_a_weighed_hung_weight_is_taken_as_it_is(tmp_path: Path) -> None:
    assert answer(tmp_path, hung='"340kg"')["hung_kg"] == pytest.approx(340.0)


def test_only_the_kind_is_needed_and_the_interval_widens(tmp_path: Path) -> None:
    known = answer(tmp_path)
    unknown = answer(tmp_path, **{name: None for name in CASE if name not in ("kind", "draws", "seed")})

    def width(value: dict) -> float:
        return (value["totals"]["saleable_kg"]["p95"] - value["totals"]["saleable_kg"]["p05"]) / value[
            "hung_kg"
        ]

    assert width(unknown) > 1.5 * width(known)


@pytest.mark.parametrize("age", ["30", "31", None])
def test_an_older_or_undated_animal_gets_the_boneless_alternative(tmp_path: Path, age: str | None) -> None:
    # 9 CFR 310.22: vertebral column is specified risk material from 30 months on; unknown counts as older.
    value = answer(tmp_path, style='"bone-in"', age_months=age)
    slugs = {piece["slug"] for piece in value["pieces"]}
    assert not slugs & {
        "t-bone-steak",
        "porterhouse-steak",
        "blade-roast",
        "seven-bone-roast",
        "sirloin-steak-bone-in",
    }
    assert value["findings"] and all("310.22" in finding["wanted"] for finding in value["findings"])
    assert "boneless" in " ".join(finding["do"] for finding in value["findings"])
    assert "loss" not in value["not_food"] and "neck-bones" in value["not_food"]


def test_a_young_animal_keeps_its_t_bones(tmp_path: Path) -> None:
    value = answer(tmp_path, style='"bone-in"', age_months="29")
    assert "t-bone-steak" in {piece["slug"] for piece in value["pieces"]}
    assert value["findings"] == [] and value["not_food"] == []


def test_an_unlawful_way_asked_for_outright_is_refused(tmp_path: Path) -> None:
    path = write(
        tmp_path,
        {**CASE, "age_months": "40", "style": '"bone-in"'},
        '[ways]\nshort-loin-short-cut = "t-bones"\n',
    )
    result = run(path)
    assert result.exit_code == 1 and "310.22" in result.stderr and "boneless" in result.stderr


def test_bison_shows_its_hump_and_fourteen_ribs_worth_of_rib(tmp_path: Path) -> None:
    bison = answer(
        tmp_path,
        kind='"bison"',
        sex='"bull"',
        fat=None,
        ribeye=None,
        kph=None,
        hot='"680lb"',
        age_months="28",
    )
    beef = answer(tmp_path)
    assert any("hump" in piece["slug"] for piece in bison["pieces"])
    assert bison["primals"]["rib"] > beef["primals"]["rib"]
    assert (
        bison["primals"]["round"] < beef["primals"]["round"]
    )  # Koch et al., 1995: less hindquarter than cattle


def test_everything_wrong_is_listed_at_once(tmp_path: Path) -> None:
    fields = {
        "kind": '"bisn"',
        "hot": "806",
        "fat": '"-3mm"',
        "ribeye": '"300in2"',
        "style": '"x"',
        "draws": "3",
        "foo": "1",
    }
    result = run(write(tmp_path, fields, '[ways]\nribb = "a"\n'), "--json")
    assert result.exit_code == 1
    found = {finding["where"] for finding in json.loads(result.stdout)["findings"]}
    assert {"kind", "hot", "fat", "ribeye", "style", "draws", "foo", "ways, ribb"} <= found


@pytest.mark.parametrize(
    "hot", ['"9000lb"', '"-5kg"', '"0lb"', '"806"', '"806in"', '"nan kg"', "true", "[]", '""']
)
def test_absurd_weights_are_findings(tmp_path: Path, hot: str) -> None:
    result = run(write(tmp_path, {**CASE, "hot": hot}))
    if hot == '""':  # blank counts as not given
        assert result.exit_code == 0
    else:
        assert result.exit_code == 1 and "hot" in result.stderr and "Traceback" not in result.output


def test_a_way_of_the_shops_own_that_does_not_balance_is_refused(tmp_path: Path) -> None:
    ways = tmp_path / "ways.toml"
    ways.write_text(
        '[[way]]\npiece = "rib-primal"\nname = "ours"\nout = { ribeye-roll = 0.6, rib-bones = 0.3 }\n',
        encoding="utf-8",
    )
    result = run(write(tmp_path, CASE), "--ways", str(ways))
    assert result.exit_code == 1 and "0.9000" in result.stderr and "+0.1000" in result.stderr


def test_a_way_of_the_shops_own_is_used(tmp_path: Path) -> None:
    ways = tmp_path / "ways.toml"
    ways.write_text(
        '[[way]]\npiece = "rib-primal"\nname = "ours"\nspecies = "cattle"\n'
        "out = { ribeye-roll = 0.5, rib-bones = 0.25, trim-fat = 0.24, loss = 0.01 }\n",
        encoding="utf-8",
    )
    result = run(write(tmp_path, CASE, '[ways]\nrib-primal = "ours"\n'), "--ways", str(ways), "--json")
    assert result.exit_code == 0, result.output
    assert json.loads(result.stdout)["ways"]["rib-primal"] == "ours"


def test_missing_and_empty_files(tmp_path: Path) -> None:
    (tmp_path / "empty.toml").write_bytes(b"\xef\xbb\xbf")
    for name in ("none.toml", "empty.toml"):
        result = run(str(tmp_path / name))
        assert result.exit_code == 1 and "error:" in result.stderr


@settings(max_examples=40, deadline=None)
@given(text=st.text(max_size=200))
def test_junk_never_ends_in_a_traceback(tmp_path_factory: pytest.TempPathFactory, text: str) -> None:
    path = tmp_path_factory.mktemp("junk") / "case.toml"
    path.write_text(text, encoding="utf-8", errors="surrogatepass")
    assert run(str(path)).exit_code in (0, 1)
