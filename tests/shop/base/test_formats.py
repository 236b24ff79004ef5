"""Days and decimals in a form stay as a browser takes them, whatever the language of the page."""

from __future__ import annotations

from datetime import date

import pytest
from django import forms
from django.template import Context, Template
from django.test import Client
from django.urls import reverse
from django.utils.translation import override

from gambrel.shop.records.models import Person


class DayForm(forms.Form):
    day = forms.DateField(widget=forms.DateInput(attrs={"type": "date"}))
    hours = forms.FloatField()


@pytest.mark.parametrize("language", ["en", "es"])
def test_a_day_goes_to_the_browser_and_comes_back(language: str) -> None:
    with override(language):
        shown = str(DayForm(initial={"day": date(2026, 3, 9), "hours": 2.5}))
        assert 'value="2026-03-09"' in shown and 'value="2.5"' in shown
        sent = DayForm({"day": "2026-03-09", "hours": "2.5"})
        assert sent.is_valid() and sent.cleaned_data == {"day": date(2026, 3, 9), "hours": 2.5}


@pytest.mark.parametrize("language", ["en", "es"])
def test_decimals_have_a_point(language: str) -> None:
    with override(language):
        assert Template("{{ x|floatformat:1 }} {{ x }}").render(Context({"x": 1234.5})) == "1234.5 1234.5"


@pytest.mark.django_db
@pytest.mark.usefixtures("demo_shop")
@pytest.mark.parametrize("name", ["books", "hang_animal", "plan"])
def test_date_boxes_of_spanish_pages_are_filled(owner_client: Client, name: str) -> None:
    Person.objects.filter(role="owner").update(language="es")
    text = owner_client.get(reverse(name)).content.decode()
    assert 'type="date"' in text and "/2026" not in text and 'value="2026-0' in text
