"""Each reader of tools/fuzz_parsers.py takes any bytes; the engine itself is run by hand."""

from __future__ import annotations

import pytest
from tools.fuzz_parsers import HARNESSES, Harness, tried

from tierwright.errors import BadInput, Problem

ODD = (
    b"",
    b"\x00",
    b"\xff\xfe\xff",
    "½ cup ⅓\n\u202e".encode(),
    b"a,b\n1,2\n" * 40,
    b"[[x]]\nx = 1e999\n",
    b"PK\x03\x04",
)


@pytest.mark.parametrize("name", sorted(HARNESSES.keys() - {"archive"}))
def test_a_reader_takes_its_seeds_and_any_bytes(name: str) -> None:
    harness = HARNESSES[name]()
    assert harness.seeds
    for data in (*harness.seeds[:3], *ODD):
        tried(harness, data)


def test_what_breaks_is_not_taken_for_a_refusal() -> None:
    def broken(data: bytes) -> object:
        raise KeyError(data)

    with pytest.raises(KeyError):
        tried(Harness(seeds=(b"",), read=broken), b"x")
    tried(Harness(seeds=(b"",), read=lambda _data: _refused()), b"x")


def _refused() -> object:
    raise BadInput([Problem(place="a", found="b", expected="c")])
