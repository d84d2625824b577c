"""The API held against its own description: what is sent by it is answered by it, and nothing breaks the server."""

from __future__ import annotations

from collections.abc import Iterator
from copy import deepcopy
from typing import Any

import hypothesis.strategies as st
import pytest
import schemathesis
from django.core.signals import request_finished, request_started
from django.db import close_old_connections
from django.test import Client
from hypothesis import HealthCheck, given, settings
from schemathesis import GenerationMode
from schemathesis.checks import not_a_server_error
from schemathesis.specs.openapi.checks import (
    content_type_conformance,
    response_schema_conformance,
    status_code_conformance,
)
from tests.web.conftest import Cast
from tests.web.test_api import token_of

from tierwright.web.api.service import api
from tierwright.web.models import Commission, Version
from tierwright.web.wsgi import application

PATHS = api.get_openapi_schema()["paths"]
OPERATIONS = sorted((path, method) for path, methods in PATHS.items() for method in methods)
CHECKS = [not_a_server_error, content_type_conformance, response_schema_conformance, status_code_conformance]
EACH = settings(max_examples=8, deadline=None, derandomize=True, database=None, suppress_health_check=list(HealthCheck))


@pytest.fixture
def kept_open() -> Iterator[None]:
    """Keep the test's own transaction: called without a server, the program closes its connection after an answer."""
    for signal in (request_started, request_finished):
        signal.disconnect(close_old_connections)
    yield
    for signal in (request_started, request_finished):
        signal.connect(close_old_connections)


@pytest.mark.usefixtures("kept_open")
@pytest.mark.parametrize("mode", list(GenerationMode), ids=str)
def test_every_operation_answers_as_it_is_described(cast: Cast, mode: GenerationMode) -> None:
    schema = schemathesis.openapi.from_wsgi("/api/v1/openapi.json", application)
    headers = {"Authorization": f"Bearer {token_of(cast)}"}
    for path, method in OPERATIONS:
        operation = schema[path][method]

        @EACH
        @given(case=operation.as_strategy(generation_mode=mode), real=st.booleans())
        def send(case: Any, real: bool) -> None:
            if real and "commission" in case.path_parameters:
                case.path_parameters["commission"] = cast.commission.pk
            before = Version.objects.count()
            answer = case.call(headers=headers)
            key = str(case.path_parameters.get("commission", 1))
            if not (key.isascii() and key.isdigit()):
                # No address of the API: the pages' own answer.
                assert answer.status_code == 404
                return
            case.validate_response(answer, checks=CHECKS)
            if answer.status_code >= 400:
                assert Version.objects.count() == before

        send()
    assert len(OPERATIONS) == 8
    assert Commission.objects.get(pk=cast.others_commission.pk).head == 1


ODD = st.one_of(
    st.none(), st.booleans(), st.integers(), st.floats(allow_nan=False), st.text(max_size=30), st.just([]), st.just({}),
    st.lists(st.integers(), max_size=3), st.dictionaries(st.text(max_size=5), st.integers(), max_size=2),
    st.sampled_from(["1/0", "9" * 400, "\x00", "2026-02-30", "-3", "1e400", "nan", "0", "1 kg", "400 C", "½"]),
)  # fmt: skip


def places(data: Any, path: tuple[str | int, ...] = ()) -> list[tuple[str | int, ...]]:
    inside = data.items() if isinstance(data, dict) else enumerate(data) if isinstance(data, list) else ()
    return [path, *(found for key, value in inside for found in places(value, (*path, key)))]


def test_a_brief_spoilt_anywhere_is_worked_or_refused(cast: Cast) -> None:
    headers = {"Authorization": f"Bearer {token_of(cast)}"}
    brief = Version.objects.get(commission=cast.commission).brief
    where = [path for path in places(brief) if path]

    @settings(EACH, max_examples=40)
    @given(path=st.sampled_from(where), value=ODD)
    def send(path: tuple[str | int, ...], value: Any) -> None:
        whole: Any = deepcopy(brief)
        at = whole
        for key in path[:-1]:
            at = at[key]
        at[path[-1]] = value
        answer = Client().post("/api/v1/preview", {"brief": whole}, content_type="application/json", headers=headers)
        assert answer.status_code in (200, 422), (path, value, answer.content[:300])

    send()
    assert Version.objects.count() == 2
