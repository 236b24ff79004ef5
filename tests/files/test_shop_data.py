"""A shop's own kinds and ways files: what is good is laid over the shipped ones, what is wrong is said in words."""

from __future__ import annotations

from pathlib import Path

import pytest

from gambrel.catalog.kinds import shipped_kinds
from gambrel.catalog.ways import LOSS, shipped_tree
from gambrel.files.shop_data import own_kinds, own_tree
from gambrel.measures import CannotDo, Finding


def written(folder: Path, text: str, *, encoding: str = "utf-8") -> Path:
    path = folder / "own.toml"
    path.write_bytes(text.encode(encoding))
    return path


def refused_kinds(path: Path) -> list[Finding]:
    with pytest.raises(CannotDo) as refusal:
        own_kinds(path)
    return list(refusal.value.findings)


def refused_tree(path: Path) -> list[Finding]:
    with pytest.raises(CannotDo) as refusal:
        own_tree(path)
    return list(refusal.value.findings)


LODGE = """
[lodge-bison]
like = "bison"
name = "bison of the lodge"
hang_days = [4, 6, 9]
hot_kg = [250.0, 30.0]
"""

NEW_STEAK = """
[[way]]
piece = "flank-steak"
name = "thin strips"
out = { stir-fry-beef = 0.90, trim-85 = 0.095, loss = 0.005 }
minutes_per_100kg = { knife = 45, packer = 50 }
"""


def test_without_a_file_the_shipped_ones_stand() -> None:
    assert own_kinds(None) == shipped_kinds()
    assert own_tree(None) is shipped_tree()


def test_a_kind_that_leans_on_another_takes_what_it_leaves_out(tmp_path: Path) -> None:
    kinds = own_kinds(written(tmp_path, LODGE))
    lodge, bison = kinds["lodge-bison"], kinds["bison"]
    assert (lodge.name, lodge.hang_days) == ("bison of the lodge", (4, 6, 9))
    assert (lodge.hot_kg.mean, lodge.hot_kg.mark) == (250.0, "shop")
    assert (lodge.species, lodge.rib_pairs, lodge.ribbed_between) == ("bison", 14, (13, 14))
    assert lodge.ribeye_cm2 == bison.ribeye_cm2
    assert lodge.like == "bison"
    assert set(kinds) == {*shipped_kinds(), "lodge-bison"}


def test_a_shipped_kind_may_be_given_other_figures(tmp_path: Path) -> None:
    path = written(tmp_path, '[wagyu]\nlike = "wagyu"\nhang_days = [20, 28, 45]\n')
    kinds = own_kinds(path)
    assert kinds["wagyu"].hang_days == (20, 28, 45)
    assert shipped_kinds()["wagyu"].hang_days != (20, 28, 45)
    assert kinds["bison"] == shipped_kinds()["bison"]


@pytest.mark.parametrize("encoding", ["utf-8-sig", "latin-1", "utf-16"])
def test_files_of_other_editors_are_read(tmp_path: Path, encoding: str) -> None:
    text = LODGE.replace("of the lodge", "de la señora").replace("\n", "\r\n")
    assert own_kinds(written(tmp_path, text, encoding=encoding))["lodge-bison"].name == "bison de la señora"
    assert "thin strips" in own_tree(written(tmp_path, NEW_STEAK, encoding=encoding)).ways["flank-steak"]


@pytest.mark.parametrize(
    ("change", "where", "word"),
    [
        ('like = "bisson"', "like", "bison"),
        ("hang_days = [9, 6, 4]", "hang_days", "order"),
        ("hang_days = [4, 6]", "hang_days", "3 whole numbers"),
        ("ribbed_between = [12, 14]", "ribbed_between", "neighbouring"),
        ("ribbed_between = [14, 15]", "ribbed_between", "14"),
        ("rib_pairs = 20", "rib_pairs", "15"),
        ("hot_kg = [5000.0, 30.0]", "hot_kg", "900"),
        ("hot_kg = [250.0, 0.0]", "hot_kg", "sd above 0"),
        ("hot_kg = [250.0]", "hot_kg", "[mean, sd]"),
        ('hot_kg = "250kg"', "hot_kg", "[mean, sd]"),
        ('sexes = ["bulls"]', "sexes", "bull"),
        ('species = "yak"', "species", "bison"),
        ("hump = true", "hump", "not known"),
        ("usual_age_months = 0", "usual_age_months", "1"),
    ],
)
def test_a_slip_in_a_kind_is_named_with_its_field(tmp_path: Path, change: str, where: str, word: str) -> None:
    field = change.split(" = ")[0]
    lines = [line for line in LODGE.strip().splitlines() if not line.startswith(f"{field} =")]
    (finding,) = refused_kinds(written(tmp_path, "\n".join([*lines, change]) + "\n"))
    assert finding.where == f"kind lodge-bison, {where}"
    assert word in finding.sentence()


def test_a_new_kind_without_a_model_must_give_every_field(tmp_path: Path) -> None:
    findings = refused_kinds(written(tmp_path, '[longhorn]\nname = "longhorn"\nspecies = "cattle"\n'))
    missing = {finding.where.removeprefix("kind longhorn, ") for finding in findings}
    assert {"finish", "rib_pairs", "ribbed_between", "hang_days", "hot_kg", "fat_mm", "ribeye_cm2"} <= missing
    assert all(finding.given == "nothing" for finding in findings)


def test_all_slips_of_all_kinds_are_told_at_once(tmp_path: Path) -> None:
    text = '[a]\nlike = "bison"\nrib_pairs = 99\n[b]\nlike = "wagyu"\nspecies = "yak"\n'
    assert {f.where for f in refused_kinds(written(tmp_path, text))} == {
        "kind a, rib_pairs",
        "kind b, species",
    }


def test_a_kind_that_is_no_table(tmp_path: Path) -> None:
    (finding,) = refused_kinds(written(tmp_path, 'wagyu = "better"\n'))
    assert finding.where == "kind wagyu"
    assert "[wagyu]" in finding.do


def test_a_way_is_added_beside_the_shipped_ones(tmp_path: Path) -> None:
    tree = own_tree(written(tmp_path, NEW_STEAK))
    shipped = shipped_tree().ways["flank-steak"]
    assert set(tree.ways["flank-steak"]) == {*shipped, "thin strips"}
    way = tree.ways["flank-steak"]["thin strips"]
    assert dict(way.shares) == pytest.approx({"stir-fry-beef": 0.90, "trim-85": 0.095, LOSS: 0.005})
    assert (way.mark, way.species) == ("shop", "any")
    assert "thin strips" not in shipped


def test_a_way_of_a_shipped_name_takes_its_place(tmp_path: Path) -> None:
    path = written(tmp_path, NEW_STEAK.replace("thin strips", "stir-fry"))
    tree = own_tree(path)
    assert tree.ways["flank-steak"]["stir-fry"].shares["trim-85"] == pytest.approx(0.095)
    assert shipped_tree().ways["flank-steak"]["stir-fry"].shares["trim-85"] == pytest.approx(0.076)
    assert tree.ways["rib-primal"] == shipped_tree().ways["rib-primal"]


def test_a_style_of_its_own_is_laid_over_a_shipped_one(tmp_path: Path) -> None:
    path = written(tmp_path, NEW_STEAK + '\n[style.boneless]\nflank-steak = "thin strips"\n')
    tree = own_tree(path)
    assert tree.style("boneless", "cattle")["flank-steak"] == "thin strips"
    others = {piece: way for piece, way in shipped_tree().style("boneless", "cattle").items()
              if piece != "flank-steak"}  # fmt: skip
    assert others.items() <= tree.style("boneless", "cattle").items()


@pytest.mark.parametrize(("trim", "off"), [(0.195, "-0.1000"), (0.085, "+0.0100"), (0.094, "+0.0010")])
def test_shares_that_do_not_balance_are_told_by_how_much(tmp_path: Path, trim: float, off: str) -> None:
    (finding,) = refused_tree(written(tmp_path, NEW_STEAK.replace("0.095", str(trim))))
    assert "flank-steak: thin strips" in finding.where
    assert f"add to {0.905 + trim:.4f}" in finding.given
    assert off in finding.do


def test_shares_within_the_tolerance_are_made_exact(tmp_path: Path) -> None:
    """Shares are written to four places; what is left over by that is spread, never lost."""
    tree = own_tree(written(tmp_path, NEW_STEAK.replace("0.095", "0.0953")))
    assert sum(tree.ways["flank-steak"]["thin strips"].shares.values()) == pytest.approx(1.0, abs=1e-12)


def test_a_slug_that_no_catalogue_has(tmp_path: Path) -> None:
    (finding,) = refused_tree(written(tmp_path, NEW_STEAK.replace("stir-fry-beef", "stir-fried-yak")))
    assert finding.where == "flank-steak: thin strips"
    assert finding.given == "stir-fried-yak"
    assert "catalogue" in finding.wanted


def test_a_piece_that_nothing_gives(tmp_path: Path) -> None:
    findings = refused_tree(written(tmp_path, NEW_STEAK.replace('"flank-steak"', '"tongue-of-yak"')))
    assert any("tongue-of-yak" in finding.sentence() for finding in findings)


def test_a_circle_is_seen_before_anything_is_forecast(tmp_path: Path) -> None:
    """A steak that gives back the primal it came from would be cut for ever."""
    circle = NEW_STEAK.replace("stir-fry-beef = 0.90", "flank-primal = 0.90")
    findings = refused_tree(written(tmp_path, circle))
    (finding,) = [one for one in findings if "circle" in one.given]
    assert "flank-primal" in finding.given and "flank-steak" in finding.given


def test_a_bison_way_without_its_hump(tmp_path: Path) -> None:
    text = """
[[way]]
piece = "forequarter"
name = "no hump"
species = "bison"
out = { chuck-square-cut = 0.7, rib-primal = 0.295, loss = 0.005 }
"""
    findings = refused_tree(written(tmp_path, text))
    assert any("bison-hump" in finding.sentence() for finding in findings)
    assert any("ribs" in finding.where or "ribs" in finding.given for finding in findings)


@pytest.mark.parametrize(
    ("old", "new", "word"),
    [
        ("0.90", "1.90", "at most 1"),
        ("0.90", '"0.90kg"', "share"),
        ('name = "thin strips"', "", "name"),
        ("knife = 45", "hatchet = 45", "hatchet"),
        ("knife = 45", "knife = -45", "at least 0"),
        ('name = "thin strips"', 'name = "thin strips"\nspecies = "yak"', "species"),
        ('name = "thin strips"', 'name = "thin strips"\ncolour = "red"', "colour"),
        ("out = {", "outt = {", "outt"),
    ],
)
def test_a_slip_in_a_way_is_named(tmp_path: Path, old: str, new: str, word: str) -> None:
    findings = refused_tree(written(tmp_path, NEW_STEAK.replace(old, new, 1)))
    assert any(word in finding.sentence() for finding in findings)
    assert all("way 1" in finding.where for finding in findings)


def test_a_way_given_twice(tmp_path: Path) -> None:
    findings = refused_tree(written(tmp_path, NEW_STEAK + NEW_STEAK))
    assert any("once" in finding.wanted for finding in findings)


def test_a_style_with_a_way_there_is_not(tmp_path: Path) -> None:
    (finding,) = refused_tree(written(tmp_path, '[style.ours]\nflank-steak = "thick strips"\n'))
    assert finding.given == "thick strips"
    assert "stir-fry" in finding.wanted


@pytest.mark.parametrize("read", [own_kinds, own_tree])
def test_no_such_file_and_broken_writing(tmp_path: Path, read: object) -> None:
    for path in (tmp_path / "none.toml", tmp_path, written(tmp_path, "[[way]\n")):
        with pytest.raises(CannotDo) as refusal:
            read(path)  # type: ignore[operator]
        assert str(path) in refusal.value.findings[0].where
