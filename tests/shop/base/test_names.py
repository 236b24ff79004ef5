"""Spanish names: every cut has one, none is said twice, and nothing of a bison is called beef."""

from __future__ import annotations

from collections import Counter

import pytest
from django.template import Context, Template
from django.test import Client
from django.urls import reverse
from django.utils.translation import override

from gambrel.catalog.cuts import shipped_cuts
from gambrel.catalog.kinds import shipped_kinds
from gambrel.shop import names
from gambrel.shop.records.models import Person


def test_every_cut_has_one_name_of_its_own() -> None:
    with override("es"):
        said = {slug: names.cut_said(slug, "cattle") for slug in shipped_cuts()}
    assert set(names._spanish("cuts")) == set(shipped_cuts()), "none is missing, none is left over"
    assert [name for name, count in Counter(said.values()).items() if count > 1] == []


def test_nothing_of_a_bison_is_called_beef() -> None:
    """9 CFR 352 (from memory), as in the catalogue: bison is named bison."""
    with override("es"):
        assert names.cut_said("ground-beef-90", "bison") == "carne molida de bisonte, 90 % magra"
        assert [slug for slug in shipped_cuts() if "de res" in names.cut_said(slug, "bison")] == []
    assert names.cut_said("stew-beef", "bison") == "stew bison"


@pytest.mark.parametrize("slug", sorted(shipped_kinds()))
def test_a_kind_is_known_by_its_slug_and_by_its_name(slug: str) -> None:
    with override("es"):
        by_slug = names.kind_said(slug)
        assert by_slug == names.kind_said(shipped_kinds()[slug].name) == names._spanish("kinds")[slug]
    with override("en"):
        assert names.kind_said(slug) == shipped_kinds()[slug].name


def test_a_kind_of_the_shops_own_stays_as_it_is_named() -> None:
    with override("es"):
        assert names.kind_said("highland cross") == "highland cross"


def test_every_primal_has_a_name() -> None:
    primals = {cut.primal for cut in shipped_cuts().values()}
    with override("es"):
        assert {primal for primal in primals if primal not in names._spanish("primals")} == set()
        assert names.primal_said("chuck") == "aguja y paleta"
    assert names.primal_said("chuck") == "chuck"


def test_a_template_says_a_kind_in_its_language() -> None:
    template = Template("{{ name|kind_said }}")
    with override("es"):
        assert template.render(Context({"name": "bison"})) == "bisonte"
    assert template.render(Context({"name": "bison"})) == "bison"


@pytest.mark.django_db
@pytest.mark.usefixtures("demo_shop")
@pytest.mark.parametrize("name", ["rail", "animals", "books", "setup", "hang_animal", "new_order"])
def test_spanish_pages_name_the_kinds_in_spanish(owner_client: Client, name: str) -> None:
    Person.objects.filter(role="owner").update(language="es")
    text = owner_client.get(reverse(name)).content.decode()
    assert "bovino terminado con pasto" in text and "grass-finished cattle" not in text
