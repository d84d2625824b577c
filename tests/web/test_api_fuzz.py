"""
The API held against its own description: what is sent by it is answered by it, and nothing breaks the server.

    TIERWRIGHT_API_CASES=10000 python -m pytest tests/web/test_api_fuzz.py

With more cases than by itself it also holds each answer to 2 s of the processor and the process to 500 MB.
"""

from __future__ import annotations

import os
import resource
import time
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from copy import deepcopy
from typing import Any, Final

import hypothesis.strategies as st
import pytest
import schemathesis
from django.core.signals import request_finished, request_started
from django.db import close_old_connections
from django.test import Client
from hypothesis import HealthCheck, Phase, given, settings
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
FEW: Final = 192
"""Cases by itself: eight of every operation each way, and a third as many briefs."""
CASES: Final = int(os.environ.get("TIERWRIGHT_API_CASES", FEW))
LONGEST_S: Final = 2.0
MOST_MB: Final = 500.0
EACH = settings(
    max_examples=CASES // 24, deadline=None, derandomize=True, database=None, phases=[Phase.generate],
    suppress_health_check=list(HealthCheck),
)  # fmt: skip


def mb() -> float:
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024.0


class Watch:
    """Counts cases and answers, the slowest and the memory."""

    def __init__(self) -> None:
        self.statuses: Counter[int] = Counter()
        self.slowest_s = 0.0
        self.begun_mb = 0.0

    @contextmanager
    def over(self, what: str) -> Iterator[None]:
        began = time.process_time()
        yield
        took = time.process_time() - began
        if self.statuses.total() == 50:
            self.begun_mb = mb()
        self.slowest_s = max(self.slowest_s, took)
        assert CASES <= FEW or took <= LONGEST_S, f"{took:.1f} s: {what}"

    def end(self) -> None:
        if CASES > FEW:
            grown = mb() - self.begun_mb
            print(f"\n{self.statuses.total()} cases; {dict(sorted(self.statuses.items()))}")
            print(f"slowest {self.slowest_s:.2f} s; grown by {grown:.0f} MB")
            assert grown < MOST_MB


@pytest.fixture
def kept_open() -> Iterator[None]:
    """Keep the test's own transaction: called without a server, the program closes its connection after an answer."""
    for signal in (request_started, request_finished):
        signal.disconnect(close_old_connections)
    yield
    for signal in (request_started, request_finished):
        signal.connect(close_old_connections)


def kept() -> list[tuple[int, int, int]]:
    """Return each commission with its latest version, and how many it has."""
    return [(row.pk, row.head, row.versions.count()) for row in Commission.objects.order_by("pk")]


@pytest.mark.usefixtures("kept_open")
@pytest.mark.parametrize("mode", list(GenerationMode), ids=str)
def test_every_operation_answers_as_it_is_described(cast: Cast, mode: GenerationMode) -> None:
    schema = schemathesis.openapi.from_wsgi("/api/v1/openapi.json", application)
    headers = {"Authorization": f"Bearer {token_of(cast)}"}
    watch = Watch()
    for path, method in OPERATIONS:
        operation = schema[path][method]

        @EACH
        @given(case=operation.as_strategy(generation_mode=mode), real=st.booleans())
        def send(case: Any, real: bool) -> None:
            if real and "commission" in case.path_parameters:
                case.path_parameters["commission"] = cast.commission.pk
            before = kept()
            with watch.over(repr(case)):
                answer = case.call(headers=headers)
            watch.statuses[answer.status_code] += 1
            key = str(case.path_parameters.get("commission", 1))
            if not (key.isascii() and key.isdigit()):
                # No address of the API: the pages' own answer.
                assert answer.status_code == 404
                return
            case.validate_response(answer, checks=CHECKS)
            if answer.status_code >= 400:
                assert kept() == before

        send()
    watch.end()
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
    watch = Watch()

    @settings(EACH, max_examples=CASES * 5 // 24)
    @given(path=st.sampled_from(where), value=ODD)
    def send(path: tuple[str | int, ...], value: Any) -> None:
        whole: Any = deepcopy(brief)
        at = whole
        for key in path[:-1]:
            at = at[key]
        at[path[-1]] = value
        with watch.over(f"{path}: {value!r}"):
            answer = Client().post(
                "/api/v1/preview", {"brief": whole}, content_type="application/json", headers=headers
            )
        watch.statuses[answer.status_code] += 1
        assert answer.status_code in (200, 422), (path, value, answer.content[:300])

    send()
    watch.end()
    assert Version.objects.count() == 2
