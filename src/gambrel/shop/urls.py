"""Every address of the shop: each folder of pages has its own list."""

from __future__ import annotations

from django.urls import include, path

from gambrel.shop.access import PROGRAMS
from gambrel.shop.api.interface import api
from gambrel.shop.settings import PAGES

urlpatterns = [
    path(PROGRAMS.lstrip("/"), api.urls),
    *(path("", include(f"gambrel.shop.pages.{name}.urls")) for name in PAGES),
]

handler404 = "gambrel.shop.safety.not_found"
handler500 = "gambrel.shop.safety.gone_wrong"
