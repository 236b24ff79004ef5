"""Every page of the invented shop: few queries, light, and no mistake of ours; times are for the bench."""

from __future__ import annotations

from typing import Any

import page_times
import pytest

LARGEST_KB = 150.0
PICTURES = (".jpg", ".png", ".pdf", ".zip", ".xlsx")
"""Addresses that end so give a picture or a file, not a page: the file of everything asks once for every table."""


@pytest.fixture
def pages(demo_shop: Any) -> list[page_times.PageTime]:
    found = [page_times.timed(*address, times=1) for address in page_times.addresses()]
    return [one for one in found if one.said not in (page_times.FORMS_ONLY, page_times.NO_RECORD)]


@pytest.mark.django_db
def test_pages_answer_with_few_queries_and_little_weight(pages: list[page_times.PageTime]) -> None:
    assert len(pages) >= 10
    assert [f"{one.name}: {one.said}" for one in pages if one.said not in ("", "status 404")] == []
    shown = [one for one in pages if not one.path.endswith(PICTURES)]
    assert [f"{one.name}: {one.queries}" for one in shown if one.queries > page_times.MOST_QUERIES] == []
    assert [f"{one.name}: {one.kilobytes:.0f} kB" for one in shown if one.kilobytes > LARGEST_KB] == []
