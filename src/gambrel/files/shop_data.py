"""A shop's own kinds and ways, laid over those that come with the package."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from gambrel.catalog.check import check_tree
from gambrel.catalog.cuts import shipped_cuts
from gambrel.catalog.kinds import Kind, read_kinds, shipped_kinds
from gambrel.catalog.ways import Tree, read_tree, shipped_tree
from gambrel.files.reading import read_toml
from gambrel.measures import Findings


def own_kinds(path: Path | None) -> Mapping[str, Kind]:
    """The four kinds, with those of the file at `path` added; `CannotDo` when it is wrong."""
    if path is None:
        return shipped_kinds()
    findings = Findings()
    kinds = read_kinds(read_toml(path), shipped_kinds(), findings)
    findings.stop_if_any()
    return kinds


def own_tree(path: Path | None) -> Tree:
    """The package's ways, with those of the file at `path` added; `CannotDo` when they do not balance or fit."""
    if path is None:
        return shipped_tree()
    findings = Findings()
    tree = read_tree([(str(path), read_toml(path))], findings, base=shipped_tree())
    findings.stop_if_any()
    Findings(check_tree(tree, shipped_cuts())).stop_if_any()
    return tree
