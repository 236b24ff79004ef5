"""Addresses of signing in and of people."""

from __future__ import annotations

from gambrel.shop.access import EVERYBODY, OWNER_ONLY, page
from gambrel.shop.pages.people import views

urlpatterns = [
    page("sign-in/", views.sign_in, name="sign_in", roles=EVERYBODY),
    page("sign-out/", views.sign_out, name="sign_out", roles=EVERYBODY),
    page("preferences/", views.preferences, name="preferences", roles=EVERYBODY, without_shop=True),
    page("people/", views.people, name="people", roles=OWNER_ONLY),
    page("people/<int:person_id>/", views.person, name="person", roles=OWNER_ONLY),
]
