"""Every sentence of the pages is said in Spanish, and the tool that looks after it sees what is wrong."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import polib
import pytest
import translations
from django.utils.translation import gettext, override

LISTS = translations.read_lists()


def folder_with(tmp_path: Path, template: str, code: str = "") -> Path:
    (tmp_path / "page.html").write_text(template)
    (tmp_path / "views.py").write_text(code)
    return tmp_path


def test_nothing_is_missing_left_over_or_at_odds() -> None:
    assert translations.problems(LISTS) == []


def test_the_compiled_lists_are_those_of_the_text() -> None:
    assert translations.stale(LISTS) == [], "run `python tools/translations.py`"


@pytest.mark.parametrize(
    ("template", "sentences"),
    [
        ("""{% translate "Hang it" %} {% trans 'Weigh' %}""", {"Hang it", "Weigh"}),
        ("{% blocktranslate with a=b %}Side {{ a }} hangs.{% endblocktranslate %}", {"Side %(a)s hangs."}),
        ("{% include 'x.html' with title=_('Rails') %}", {"Rails"}),
        ("<p>Not asked for</p>{# translate nothing #}", set()),
        ('{% translate "It\'s 50 % fat" %}', {"It's 50 %% fat"}),
    ],
)
def test_sentences_of_a_template_are_found(tmp_path: Path, template: str, sentences: set[str]) -> None:
    assert translations.sentences(folder_with(tmp_path, template)) == sentences


def test_sentences_of_code_are_found(tmp_path: Path) -> None:
    code = 'a = _("Hang it")\nb = translation.gettext("Weigh " "it")\nc = _(name)\nd = other("No")\n'
    assert translations.sentences(folder_with(tmp_path, "", code)) == {"Hang it", "Weigh it"}


@pytest.mark.parametrize(
    ("entry", "said"),
    [
        ({"msgid": "Keep", "msgstr": ""}, "no Spanish"),
        ({"msgid": "Keep", "msgstr": "Guardar", "flags": ["fuzzy"]}, "in doubt"),
        ({"msgid": "Nowhere used", "msgstr": "En ninguna parte"}, "left over"),
        ({"msgid": "%(rail)s is there now.", "msgstr": "%(riel)s ya está."}, "other places"),
        ({"msgid": "Keep", "msgstr": "Quedarse"}, "'Guardar' in"),
    ],
)
def test_what_is_wrong_with_a_list_is_said(entry: dict[str, Any], said: str) -> None:
    setup = translations.PAGES / "setup"
    others = [one for one in LISTS[setup] if one.msgid != entry["msgid"]]
    changed = polib.POFile()
    changed.extend([*others, polib.POEntry(**entry)])
    found = translations.problems({**LISTS, setup: changed})
    assert [one for one in found if said in one], found


def test_a_list_that_was_changed_and_not_compiled_is_stale() -> None:
    people = translations.PAGES / "people"
    changed = polib.POFile()
    changed.extend([*LISTS[people], polib.POEntry(msgid="New", msgstr="Nuevo")])
    assert translations.stale({people: changed}) == [people]


def test_the_pages_speak_spanish() -> None:
    with override("es"):
        assert gettext("Sign in") == "Entrar"
        assert gettext("Rooms and rails") == "Cámaras y rieles"
    with override("en"):
        assert gettext("Sign in") == "Sign in"
