"""Names of cuts, primals and kinds in the language of the page."""

from __future__ import annotations

import tomllib
from functools import cache
from importlib import resources

from django.utils.translation import get_language

from gambrel.catalog.cuts import shipped_cuts
from gambrel.catalog.kinds import shipped_kinds

OF_BEEF, OF_BISON = "de res", "de bisonte"


def cut_said(slug: str, species: str) -> str:
    """What the counter calls a cut; in Spanish where the list has it, otherwise as the catalogue says."""
    name = _spanish("cuts").get(slug) if _is_spanish() else None
    if name is None:
        return shipped_cuts()[slug].shop_name(species)
    return name.replace(OF_BEEF, OF_BISON) if species == "bison" else name


def primal_said(primal: str) -> str:
    return _spanish("primals").get(primal, primal) if _is_spanish() else primal


def kind_said(name: str) -> str:
    """The name of a kind, given by its slug or as the catalogue says it; a kind of the shop's own stays as it is."""
    slug = next((kind.slug for kind in shipped_kinds().values() if kind.name == name), name)
    if _is_spanish() and slug in _spanish("kinds"):
        return _spanish("kinds")[slug]
    return shipped_kinds()[slug].name if slug in shipped_kinds() else name


def way_said(name: str) -> str:
    """A way of breaking in the language of the page; a shop's own way stays as it is."""
    return _spanish("ways").get(name, name) if _is_spanish() else name


@cache
def spanish_names() -> dict[str, str]:
    """English names, of the catalogue and of its slugs, to Spanish: cuts, primals, ways and kinds."""
    said = _spanish("ways") | _spanish("primals")
    for slug, name in _spanish("cuts").items():
        cut = shipped_cuts().get(slug)
        if cut is not None:
            of_bison = name.replace(OF_BEEF, OF_BISON)
            names = {
                species: (cut.name_for(species), cut.shop_name(species)) for species in ("bison", "cattle")
            }
            said |= dict.fromkeys(names["bison"], of_bison) | dict.fromkeys((*names["cattle"], slug), name)
    for slug, name in _spanish("kinds").items():
        said |= {slug: name, shipped_kinds()[slug].name: name}
    return said


def _is_spanish() -> bool:
    return (get_language() or "en").startswith("es")


@cache
def _spanish(part: str) -> dict[str, str]:
    text = resources.files("gambrel.shop").joinpath("names_es.toml").read_text("utf-8")
    return dict(tomllib.loads(text)[part])
