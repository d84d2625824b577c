"""The compiled march, where numba is installed: made on first use, kept on disk, never needed."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from importlib import import_module
from importlib.util import find_spec
from typing import Any

from tierwright.heat import kernel


@cache
def compiled_available() -> bool:
    """Return whether numba is installed; it is imported only when the first body is computed."""
    return find_spec("numba") is not None


@cache
def compiled_march() -> Callable[..., int]:
    """
    Return the compiled march.

    The first call on a machine compiles for some seconds and writes the result beside the module, or to the user's
    cache directory where that is not writable; later processes load it. The arithmetic keeps its order and its
    treatment of NaN: nothing is compiled with fast-math.
    """
    numba: Any = import_module("numba")
    extending: Any = import_module("numba.extending")
    extending.register_jitable(kernel.link)
    result: Callable[..., int] = numba.njit(cache=True, nogil=True, error_model="numpy")(kernel.cell_march)
    return result
