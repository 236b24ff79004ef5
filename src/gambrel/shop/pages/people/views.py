"""Signing in and out, what a person likes, and who works here."""

from __future__ import annotations

from django.contrib import messages
from django.contrib.auth import login, logout, update_session_auth_hash
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect
from django.utils.http import url_has_allowed_host_and_scheme
from django.utils.translation import gettext as _
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_POST

from gambrel.shop.asking import ShopRequest, person_of
from gambrel.shop.pages.base.answers import form_page, get_or_post
from gambrel.shop.pages.people.forms import NewPersonForm, PersonForm, PreferencesForm, SignInForm
from gambrel.shop.preferences import LANGUAGE_COOKIE, THEME_COOKIE, UNIT_COOKIE
from gambrel.shop.records.models import Person
from gambrel.shop.records.services import people as service

A_YEAR_S = 365 * 24 * 3600


@sensitive_post_parameters("password")
@get_or_post
def sign_in(request: ShopRequest) -> HttpResponse:
    """Name and password; too many wrong ones from one place lock that name there for a while."""
    goes_to = request.POST.get("next") or request.GET.get("next") or ""
    form = SignInForm(request, request.POST if request.method == "POST" else None)
    if request.method == "POST" and form.is_valid() and form.person is not None:
        login(request, form.person)
        return redirect(goes_to if _is_ours(request, goes_to) else "home")
    return form_page(request, "people/sign_in.html", {"form": form, "next": goes_to})


def _is_ours(request: ShopRequest, address: str) -> bool:
    """Whether an address lies in this shop: nobody is led away by a link that passed through the sign-in."""
    return bool(address) and url_has_allowed_host_and_scheme(
        address, allowed_hosts={request.get_host()}, require_https=request.is_secure()
    )


@require_POST
def sign_out(request: ShopRequest) -> HttpResponse:
    logout(request)
    return redirect("sign_in")


@get_or_post
def preferences(request: ShopRequest) -> HttpResponse:
    """Language, unit and theme: of the person in the records, of a visitor in cookies."""
    person = person_of(request)
    initial = {"language": request.LANGUAGE_CODE, "weight_unit": request.weight_unit, "theme": request.theme}
    form = PreferencesForm(request.POST or None, initial=initial)
    if request.method == "POST" and form.is_valid():
        answer = redirect("preferences")
        if person is not None:
            service.prefer(person, **form.cleaned_data)
        for cookie, name in (
            (LANGUAGE_COOKIE, "language"),
            (UNIT_COOKIE, "weight_unit"),
            (THEME_COOKIE, "theme"),
        ):
            answer.set_cookie(cookie, form.cleaned_data[name], max_age=A_YEAR_S, samesite="Lax",
                              secure=request.is_secure(), httponly=True)  # fmt: skip
        messages.success(request, _("Kept."))
        return answer
    return form_page(request, "people/preferences.html", {"form": form})


@sensitive_post_parameters("password")
@get_or_post
def people(request: ShopRequest) -> HttpResponse:
    """Everybody who works here, and a form for one more."""
    form = NewPersonForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        made = service.take_on(**form.cleaned_data, by=person_of(request), shop=request.shop)
        messages.success(request, _("%(name)s may sign in now.") % {"name": made.name})
        return redirect("people")
    everybody = Person.objects.order_by("-is_active", "role", "name")
    return form_page(request, "people/people.html", {"form": form, "everybody": everybody})


@sensitive_post_parameters("password")
@get_or_post
def person(request: ShopRequest, person_id: int) -> HttpResponse:
    """One person: role, sign-in, a new password."""
    one = get_object_or_404(Person, pk=person_id)
    initial = {"role": one.role, "is_active": one.is_active}
    form = PersonForm(request.POST or None, initial=initial, person=one)
    if request.method == "POST" and form.is_valid():
        service.change(one, **form.cleaned_data, by=person_of(request))
        if one == request.user:
            update_session_auth_hash(request, one)
        messages.success(request, _("Kept."))
        return redirect("people")
    return form_page(request, "people/person.html", {"form": form, "one": one})
