"""The compiled march, where numba is installed; the same text as ``march.py``, compiled once and kept on disk."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from importlib import import_module
from importlib.util import find_spec
from typing import Any

from tierwright.heat import march as plain


def compiled_available() -> bool:
    """Return whether numba is installed; it is imported only when the first body is computed."""
    return find_spec("numba") is not None


@cache
def compiled_march() -> Callable[..., int]:
    """
    Return the compiled march.

    The first call on a machine compiles for some seconds and writes the result beside the module, or to the user's
    cache directory where that is not writable; later processes load it.
    """
    numba: Any = import_module("numba")
    extending: Any = import_module("numba.extending")
    for function in plain.JITABLE:
        extending.register_jitable(function)

    # Not strict: the two sides of an overload are annotated differently. The unsplit reference is never run compiled,
    # so its branch only has to have the right type.
    extending.overload(plain.tridiagonal, strict=False)(lambda lower, diagonal, upper, right: thomas)  # noqa: ARG005
    extending.overload(plain.direct, strict=False)(lambda capacity, g_r, g_z, g_b, right, theta: plain.sweeps)  # noqa: ARG005
    result: Callable[..., int] = numba.njit(cache=True, error_model="numpy")(plain.march)
    return result


def thomas(lower: Any, diagonal: Any, upper: Any, right: Any) -> Any:
    """Solve a tridiagonal system in every row by elimination."""
    rows, size = diagonal.shape
    answer = right.copy()
    factor = diagonal.copy()
    for i in range(rows):
        for j in range(1, size):
            weight = lower[i, j] / factor[i, j - 1]
            factor[i, j] -= weight * upper[i, j - 1]
            answer[i, j] -= weight * answer[i, j - 1]
        answer[i, size - 1] /= factor[i, size - 1]
        for j in range(size - 2, -1, -1):
            answer[i, j] = (answer[i, j] - upper[i, j] * answer[i, j + 1]) / factor[i, j]
    return answer
