"""Addresses that belong to no step: the first page, and what makes the shop installable on a phone."""

from __future__ import annotations

from gambrel.shop.access import EVERYBODY, page
from gambrel.shop.pages.base import views

urlpatterns = [
    page("", views.home, name="home", roles=EVERYBODY),
    page("app.webmanifest", views.manifest, name="manifest", roles=EVERYBODY, without_shop=True),
    page("worker.js", views.worker, name="worker", roles=EVERYBODY, without_shop=True),
    page("offline/", views.offline, name="offline", roles=EVERYBODY, without_shop=True),
]
