"""The interface keeps to its own description, whatever is sent: no mistake of ours, every answer as it is described."""

from __future__ import annotations

from collections.abc import Iterator
from decimal import Decimal
from typing import Any
from uuid import uuid4

import pytest
import schemathesis
from django.core.signals import request_finished, request_started
from django.core.wsgi import get_wsgi_application
from django.db import close_old_connections
from django.test import Client
from hypothesis import HealthCheck, given, settings
from schemathesis import GenerationMode
from schemathesis.checks import not_a_server_error
from schemathesis.specs.openapi.checks import (
    content_type_conformance,
    response_headers_conformance,
    response_schema_conformance,
    status_code_conformance,
)  # fmt: skip

from gambrel.shop.records.models import Side
from gambrel.shop.records.services import block, devices

CHECKS = [not_a_server_error, status_code_conformance, content_type_conformance, response_schema_conformance,
          response_headers_conformance]  # fmt: skip
ADDRESS = "/api/openapi.json"


@pytest.fixture
def described(demo_shop: Any) -> Iterator[Any]:
    """The description as it is served, and a device's key; some side is on the block."""
    _, key = devices.make("Fuzz", may_write=True, by=None)
    side = Side.objects.select_related("animal")[0]
    block.begin(side, weight_kg=Decimal(150), typed="150 kg", ways={}, by=None, key=uuid4())
    for signal in (
        request_started,
        request_finished,
    ):  # they would end the test's own transaction on PostgreSQL
        signal.disconnect(close_old_connections)
    try:
        schema = schemathesis.openapi.from_wsgi(ADDRESS, get_wsgi_application())
        schema.config.update(headers={"X-Device-Key": key})
        yield schema
    finally:
        for signal in (request_started, request_finished):
            signal.connect(close_old_connections)


@pytest.mark.django_db
def test_the_description_is_served_and_names_the_key(visitor_client: Client) -> None:
    said = visitor_client.get(ADDRESS).json()
    assert said["components"]["securitySchemes"]["DeviceKey"]["name"] == "X-Device-Key"
    assert all(one.get("security") for path in said["paths"].values() for one in path.values())
    assert len(said["paths"]) >= 10


@pytest.mark.django_db
def test_the_page_about_it_loads_nothing_from_elsewhere(visitor_client: Client) -> None:
    text = visitor_client.get("/api/docs").content.decode()
    assert "ninja/swagger-ui-bundle.js" in text and "http" not in text.replace("http://testserver", "")


@pytest.mark.django_db
@pytest.mark.parametrize(
    "mode", [GenerationMode.POSITIVE, GenerationMode.NEGATIVE], ids=["as-described", "otherwise"]
)
def test_every_answer_is_as_described(described: Any, mode: GenerationMode) -> None:
    tried = 0
    for found in described.get_all_operations():
        operation = found.ok()
        told = operation.definition.raw
        if mode is GenerationMode.NEGATIVE and not (told.get("parameters") or told.get("requestBody")):
            continue  # nothing can be sent otherwise where nothing is sent

        @settings(max_examples=15, deadline=None, suppress_health_check=list(HealthCheck), derandomize=True)
        @given(case=operation.as_strategy(generation_mode=mode))
        def answered(case: Any) -> None:
            nonlocal tried
            tried += 1
            case.call_and_validate(checks=CHECKS)

        answered()
    assert tried > 100
