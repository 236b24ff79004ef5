"""What the core says is put into Spanish by its sentence, its figures kept; what is in no list stays as it is."""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from datetime import datetime, timedelta
from pathlib import Path

import core_sentences
import pytest
from django.utils.translation import override
from hypothesis import given
from hypothesis import strategies as st

from gambrel.hang.cooler import check_holding
from gambrel.hang.readings import Reading
from gambrel.measures import Finding
from gambrel.shop import core_words
from gambrel.shop.core_words import finding_in_words_of_page, in_words_of_page

SPANISH = core_sentences.spanish()


@pytest.fixture
def in_spanish() -> Iterator[None]:
    with override("es"):
        yield


@pytest.fixture
def own_lists(monkeypatch: pytest.MonkeyPatch, in_spanish: None) -> None:
    """Lists of this test's own."""
    said = {"{1} of {2}": "{1} de {2}", "{1} hangs on {2}": "en {2} cuelga {1}", "the rail": "el riel",
            "no more than {1}": "a lo sumo {1}", "{1} is {1}": "{1} es {1}", "weighed {1}": "pesado {1}",
            "Mon": "lun", "Mar": "mar"}  # fmt: skip
    whole = {english: spanish for english, spanish in said.items() if "{" not in english}
    by_word: dict[str, list[core_words._Pattern]] = {}
    for english, spanish in said.items():
        if "{" in english:
            pattern = core_words._pattern(english, spanish)
            by_word.setdefault(pattern.word, []).append(pattern)
    monkeypatch.setattr(core_words, "_lists", lambda: (whole, by_word))
    core_words._in_spanish.cache_clear()
    monkeypatch.setattr(core_words, "_in_spanish", core_words._in_spanish.__wrapped__)


@pytest.mark.usefixtures("own_lists")
@pytest.mark.parametrize(
    ("english", "spanish"),
    [
        ("the rail", "el riel"),
        ("The rail", "El riel"),
        (" the rail ", " el riel "),
        ("B07-left hangs on the rail", "en el riel cuelga B07-left"),
        ("no more than 3 of 4", "a lo sumo 3 de 4"),
        ("3 of 4", "3 de 4"),
        ("the end of summer", "the end of summer"),
        ("the rail, weighed 4.5 kg", "el riel, pesado 4.5 kg"),
        ("the rail and weighed 9 lb", "el riel y pesado 9 lb"),
        ("7 is 7", "7 es 7"),
        ("7 is 8", "7 is 8"),
        ("weighed Mon 9 Mar 2026", "pesado lun 9 mar 2026"),
        ("Marta", "Marta"),
        ("12.5", "12.5"),
        ("", ""),
    ],
)
def test_a_sentence_is_known_by_what_stands_around_its_figures(english: str, spanish: str) -> None:
    assert in_words_of_page(english) == spanish


@pytest.mark.usefixtures("own_lists")
@given(value=st.text(min_size=1, max_size=30).filter(lambda text: text.strip() == text))
def test_whatever_a_person_typed_stands_as_it_was_typed(value: str) -> None:
    listed = {"the rail", "The rail", "Mon", "Mar"}
    said = in_words_of_page(f"no more than {value}")
    assert said.startswith("a lo sumo ")
    if value.isascii() and value.isalnum() and value not in listed:
        assert said == f"a lo sumo {value}"


def test_in_english_nothing_is_touched() -> None:
    with override("en"):
        assert in_words_of_page("no rail") == "no rail"
        assert [one for one in SPANISH if in_words_of_page(one) != one] == []


@pytest.mark.usefixtures("in_spanish")
@pytest.mark.parametrize("english", sorted(one for one in SPANISH if "{1}" in one))
def test_a_sentence_with_figures_keeps_each_where_its_spanish_has_it(english: str) -> None:
    """Figures that stand in no list go in, and come out in the places of the Spanish."""
    figures = {str(n): f"{n}{n}.{n}" for n in range(1, 10)}
    filled = core_words._PLACE.sub(lambda place: figures[place[1]], english.strip())
    said = in_words_of_page(filled)
    for place in set(core_words._PLACE.findall(english)):
        assert figures[place] in said, said
    if len(core_words._LETTERS.findall(core_words._PLACE.sub("", english))) >= core_words.FEWEST_LETTERS:
        assert said != filled or SPANISH[english] == english


@pytest.mark.usefixtures("in_spanish")
def test_a_log_with_a_gap_is_told_in_spanish() -> None:
    """The finding of the core itself, from its readings on."""
    noon = datetime(2026, 3, 2, 12)
    readings = [Reading(noon, "line 1", air_c=2.0), Reading(noon + timedelta(hours=30), "line 2", air_c=2.0)]
    (gap,) = [one for one in check_holding(readings) if "without a reading" in one.given]
    said = finding_in_words_of_page(gap)
    assert said.given == "30.0 h sin lectura"
    assert said.where.startswith("bitácora de la cámara, 2026-03-02 12:00:00 a 2026-03-03")
    assert said.do == "Diga en la bitácora por qué; nadie sabe qué hizo la cámara."


@pytest.mark.usefixtures("in_spanish")
def test_names_of_cuts_and_kinds_within_a_sentence_are_said_too() -> None:
    said = finding_in_words_of_page(Finding("ribeye steak", "nothing", "bison", "Weigh it again."))
    assert said.where == "bistec de ojo de costilla" and said.wanted == "bisonte"
    assert said.given == "nada" and said.do == "Péselo otra vez."


def test_no_two_lists_have_the_same_sentence(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "a.toml").write_text('"one" = "uno"\n')
    (tmp_path / "b.toml").write_text('"one" = "una"\n')
    monkeypatch.setattr(core_sentences, "LISTS", tmp_path)
    with pytest.raises(ValueError, match="two lists"):
        core_sentences.spanish()


def test_the_lists_are_plain_tables_of_text() -> None:
    for path in core_sentences.LISTS.iterdir():
        found = tomllib.loads(path.read_text("utf-8"))
        assert all(isinstance(said, str) and said.strip() for said in found.values()), path.name


@pytest.mark.usefixtures("in_spanish")
@pytest.mark.parametrize(
    ("english", "spanish"),
    [
        ("strip-steak (wagyu) at $106.44 a kg in week 1 is sold out",
         "bistec de lomo angosto (wagyu) a $106.44 el kg se agota en la semana 1"),
        ("knife hours on Mon 2026-03-09", "horas de cuchillo el lun 2026-03-09"),
        ("blocks on Mon 2026-03-09", "mesas de corte el lun 2026-03-09"),
        ("order 17 is met", "el pedido 17 se cumple"),
        ("9 CFR 310.22 applied as to cattle", "9 CFR 310.22 se aplica como al ganado vacuno"),
        ("Short by 3.0 kg. All the trim that may go in is 9.0 kg: get more or order less.",
         "Falta 3.0 kg. Todo el recorte que puede entrar es 9.0 kg: consiga más o pida menos."),
        ("of 16.8 m", "de 16.8 m"),
        ("$3.99 to $53.99/lb", "$3.99 a $53.99/lb"),
        ("no one knows this sentence", "no one knows this sentence"),
    ],
)  # fmt: skip
def test_what_plans_sheets_and_batches_say(english: str, spanish: str) -> None:
    """Sentences as the shop met them, with the names and figures of a plan, a law, a batch and a drawing."""
    assert in_words_of_page(english) == spanish


@pytest.mark.usefixtures("in_spanish")
@pytest.mark.parametrize(
    ("english", "spanish"),
    [
        (
            "grain-finished, 380.1 kg hot, killed 2026-03-01, 2 of 2 sides, state inspection, chuck not boneless",
            "bovino terminado con grano, 380.1 kg caliente, matado el 2026-03-01, 2 de 2 medias canales, "
            "inspección estatal, aguja y paleta no sin hueso",
        ),
        (
            "80 % lean, 12.0 kg at $9.00, 5.0 kg at $8.00, then $1.00 a kg, keeps 7 days, $3.00 a kg kept frozen",
            "80 % magro, 12.0 kg a $9.00, 5.0 kg a $8.00, después $1.00 el kg, dura 7 días, "
            "$3.00 el kg guardado congelado",
        ),
        (
            "5.0 kg of strip-steak (bison) by 2026-03-12, at $9.00 a kg, must be met, keeps 5 days, out of state",
            "5.0 kg de bistec de lomo angosto (bisonte) para el 2026-03-12, a $9.00 el kg, debe cumplirse, "
            "dura 5 días, fuera del estado",
        ),
        (
            "0.5 of C1 for Ada, bone-in, rib-primal goes boneless, by 2026-03-12, $5.00 a kg hot",
            "0.5 de C1 para Ada, con hueso, costillar primario va sin hueso, para el 2026-03-12, $5.00 el kg caliente",
        ),
        ("$26.50 an hour", "$26.50 la hora"),
        ("mon, wed, fri", "lun, mié, vie"),
    ],
)
def test_what_is_different_between_two_weeks_is_said_part_by_part(english: str, spanish: str) -> None:
    """Each a sentence that `week_changes` puts together, for which `tests/plan/test_week_changes.py` stands."""
    assert in_words_of_page(english) == spanish
