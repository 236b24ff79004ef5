"""Signing in, what a person likes, and who works here."""

from __future__ import annotations

from typing import Any

from django import forms
from django.contrib.auth import authenticate
from django.contrib.auth.password_validation import validate_password
from django.http import HttpRequest
from django.utils.translation import gettext_lazy as _

from gambrel.shop.access import COUNTER, CUTTER, OWNER
from gambrel.shop.records.models import Person

ROLES_SAID = [(OWNER, _("owner")), (CUTTER, _("cutter")), (COUNTER, _("counter"))]
LANGUAGES_SAID = [("en", "English"), ("es", "Español")]


def password_field(label: Any, *, new: bool, **more: Any) -> forms.CharField:
    kept = "new-password" if new else "current-password"
    widget = forms.PasswordInput(attrs={"autocomplete": kept})
    return forms.CharField(label=label, strip=False, widget=widget, max_length=200, **more)


class SignInForm(forms.Form):
    username = forms.CharField(
        label=_("Name"), max_length=60, widget=forms.TextInput(attrs={"autocomplete": "username"})
    )
    password = password_field(_("Password"), new=False)

    def __init__(self, request: HttpRequest, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.request = request
        self.person: Person | None = None

    def clean(self) -> dict[str, Any]:
        said = super().clean() or {}
        if said.get("username") and said.get("password"):
            self.person = authenticate(self.request, username=said["username"], password=said["password"])
            if self.person is None:
                raise forms.ValidationError(_("Name and password do not belong together."))
        return said


class PreferencesForm(forms.Form):
    """What a person, or a visitor, likes to read."""

    language = forms.ChoiceField(label=_("Language"), choices=LANGUAGES_SAID)
    weight_unit = forms.ChoiceField(
        label=_("Weights first in"), choices=[("lb", _("pounds (lb)")), ("kg", _("kilograms (kg)"))]
    )
    theme = forms.ChoiceField(
        label=_("Light or dark"),
        choices=[("auto", _("as the device has it")), ("light", _("light")), ("dark", _("dark"))],
    )


class NewPersonForm(forms.Form):
    name = forms.CharField(
        label=_("Name"), max_length=60, widget=forms.TextInput(attrs={"autocomplete": "off"})
    )
    role = forms.ChoiceField(label=_("Role"), choices=ROLES_SAID, initial=CUTTER)
    password = password_field(_("Password (10 characters or more)"), new=True)

    def clean_name(self) -> str:
        name = " ".join(str(self.cleaned_data["name"]).split())
        if Person.objects.filter(name__iexact=name).exists():
            raise forms.ValidationError(_("Somebody of this name is here already."))
        return name

    def clean_password(self) -> str:
        password = str(self.cleaned_data["password"])
        validate_password(password)
        return password


class PersonForm(forms.Form):
    """Role, whether they may sign in, and a new password where one is given."""

    role = forms.ChoiceField(label=_("Role"), choices=ROLES_SAID)
    is_active = forms.BooleanField(label=_("May sign in"), required=False)
    password = password_field(_("New password (leave empty to keep the old one)"), new=True, required=False)

    def __init__(self, *args: Any, person: Person, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.person = person

    def clean_password(self) -> str:
        password = str(self.cleaned_data["password"])
        if password:
            validate_password(password, self.person)
        return password

    def clean(self) -> dict[str, Any]:
        said = super().clean() or {}
        stays = said.get("role") == OWNER and said.get("is_active")
        others = Person.objects.filter(role=OWNER, is_active=True).exclude(pk=self.person.pk)
        if self.person.role == OWNER and self.person.is_active and not stays and not others.exists():
            raise forms.ValidationError(
                _("The shop needs an owner who may sign in: make somebody else one first.")
            )
        return said
