"""The same brief gives the same bytes, whatever processor, thread count, hash seed and solver it is worked out with."""

from __future__ import annotations

import os
import subprocess
import sys
from dataclasses import dataclass
from decimal import Decimal
from math import nextafter
from pathlib import Path
from typing import Final, NamedTuple

from hypothesis import given
from hypothesis import strategies as st

from tierwright.dossier.settling import settled

ROOT: Final = Path(__file__).resolve().parents[2]

# Worked out in processes of their own, because libraries read these settings once, when they are loaded.
WORK: Final = """
import sys
from hashlib import sha256
from importlib import util

if "without numba" in sys.argv:
    found = util.find_spec
    util.find_spec = lambda name, package=None: None if name == "numba" else found(name, package)

from tests.dossier.scenes import commission, kitchen
from tierwright.dossier import prepare, to_json
from tierwright.heat.compiled import compiled_available
from tierwright.larder import pans

assert not ("without numba" in sys.argv and compiled_available())
hearts = [{"pan": pan.key, "count": 3} for pan in pans().values() if pan.outline.shape.value == "heart"]
briefs = (
    (commission(), kitchen()),
    (commission(cake={"shape": "heart", "tiers": 2}), kitchen(pans=hearts)),
    (commission(cake={"tiers": 2}, guests={"invited": 260, "attending": "220 to 240"}), kitchen(altitude="0 m")),
)
for wanted, owned in briefs:
    text = to_json(prepare(wanted, owned))
    print(len(text), sha256(text).hexdigest())
"""

# What a processor without wide vectors and fused multiply-add has of OpenBLAS, NumPy and the C library.
OLD_PROCESSOR: Final = {
    "OPENBLAS_CORETYPE": "Nehalem",
    "NPY_DISABLE_CPU_FEATURES": "AVX512F AVX512CD AVX512_SKX AVX512_CLX AVX512_CNL AVX512_ICL AVX2 FMA3",
    "GLIBC_TUNABLES": "glibc.cpu.hwcaps=-AVX2,-FMA,-AVX,-FMA4",
}
MACHINES: Final[tuple[tuple[dict[str, str], tuple[str, ...]], ...]] = (
    ({"PYTHONHASHSEED": "0", "OPENBLAS_NUM_THREADS": "1", "NUMBA_NUM_THREADS": "1"}, ()),
    ({"PYTHONHASHSEED": "random", "OPENBLAS_NUM_THREADS": "4", "TZ": "Pacific/Auckland", "LC_ALL": "C"}, ()),
    ({"PYTHONHASHSEED": "1", "OPENBLAS_NUM_THREADS": "1", **OLD_PROCESSOR}, ("without numba",)),
)


def test_a_brief_gives_the_same_bytes_on_every_machine() -> None:
    running = [
        subprocess.Popen(
            [sys.executable, "-c", WORK, *said],
            cwd=ROOT,
            env=os.environ | {"PYTHONPATH": str(ROOT)} | settings,
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
        )
        for settings, said in MACHINES
    ]
    answers = []
    for process in running:
        out, wrong = process.communicate()
        # NumPy says in a warning which of the features it was asked to go without this processor never had.
        assert process.returncode == 0, wrong
        answers.append(out.splitlines())
    assert len(answers[0]) == 3
    assert len(set(answers[0])) == 3, "three briefs, three dossiers"
    for answer in answers[1:]:
        assert answer == answers[0]


class Pair(NamedTuple):
    low: float
    high: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    mass_g: float
    spans: tuple[Pair, ...]
    named: dict[str, float]
    price: Decimal
    count: int
    carried: bool
    text: str


def test_what_differs_between_machines_is_cut() -> None:
    def answer(mass_g: float) -> Answer:
        return Answer(
            mass_g=mass_g,
            spans=(Pair(mass_g / 3, mass_g),),
            named={"cream": mass_g * 7},
            price=Decimal("3.1234567890123"),
            count=12,
            carried=True,
            text="1.23456789012345",
        )

    one, other = answer(100 / 7), answer(nextafter(100 / 7, 20.0))
    assert one != other
    assert settled(one) == settled(other)
    kept = settled(one)
    assert kept.mass_g == 14.2857143
    assert kept.spans == (Pair(4.76190476, 14.2857143),)
    assert kept.named == {"cream": 100.0}
    assert (kept.price, kept.count, kept.carried, kept.text) == (one.price, 12, True, one.text)


def test_what_is_left_of_nought_is_nought() -> None:
    assert str(settled((-1e-17, -0.0, 9.9e-13, 1.1e-12))) == "(0.0, 0.0, 0.0, 1.1e-12)"


def test_what_holds_no_more_digits_is_kept_as_it_is() -> None:
    answer = Pair(1.5, 2.25)
    assert settled(answer) is answer


@given(st.lists(st.floats(allow_nan=False, allow_infinity=False, width=64), min_size=1, max_size=6))
def test_settling_keeps_order_and_settles_once(figures: list[float]) -> None:
    once = settled(sorted(figures))
    assert once == sorted(once), "a low end stays below its high end"
    assert settled(once) == once
    for figure, kept in zip(sorted(figures), once, strict=True):
        assert abs(kept - figure) <= 5.1e-9 * abs(figure) or abs(figure) < 1e-12


def test_a_long_tuple_is_settled_once_and_what_can_change_in_its_place_each_time() -> None:
    outline = tuple((n / 3.0, n / 7.0) for n in range(40))
    first = settled(outline)
    assert settled(outline) is first
    assert settled(first) is first, "what it was settled to is known, too"
    equal = tuple((n / 3.0, n / 7.0) for n in range(40))
    assert settled(equal) == first, "another one that says the same is settled for itself"
    course = [n / 3.0 for n in range(40)]
    held = (course,) * 12
    assert settled(held)[0][1] == 0.333333333
    course[1] = 2.0 / 3.0
    assert settled(held)[0][1] == 0.666666667
    # However many come, the first is answered alike, remembered or not.
    for n in range(7000):
        settled(tuple(float(n + i) for i in range(8)))
    assert settled(outline) == first
