"""The texts that a compiler reads, where numba is installed: compiled on first use, kept on disk, never needed."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from hashlib import sha256
from importlib import import_module
from importlib.util import find_spec
from inspect import getsourcefile
from pathlib import Path
from typing import Any, Final, ParamSpec, TypeVar

from tierwright import water
from tierwright.heat import films, kernel, march, piece

_ERRORS: Final = "numpy"
"""A division by nought gives infinity, as in arrays."""
_HELPERS: Final = (
    kernel.link,
    films.air_numbers,
    films.still,
    films.moving,
    films.mixed_air_film,
    piece.bounds,
    piece.carry_on,
    water.saturation_unchecked_pa,
    water.latent_unchecked_j_kg,
)

P = ParamSpec("P")
R = TypeVar("R")


@cache
def compiled_available() -> bool:
    """Return whether numba is installed; it is imported only when the first body is computed."""
    return find_spec("numba") is not None


def compiled(function: Callable[P, R], *helpers: Callable[..., Any]) -> Callable[P, R]:
    """
    Return a function compiled, to be kept by whoever asks.

    The first call on a machine compiles for some seconds and writes the result beside the module, or to the user's
    cache directory where that is not writable; later processes load it. The arithmetic keeps its order and its
    treatment of NaN: nothing is compiled with fast-math.

    Parameters
    ----------
    function
        Of plain numbers, arrays and named tuples of both.
    helpers
        What it calls, but for what this room knows already: the march (by ``kernel.py``), pieces, films, water.
    """
    _ready()
    for helper in helpers:
        _told(helper)
    return _compiled(function, *helpers)


@cache
def compiled_march() -> Callable[..., int]:
    """Return the compiled march."""
    _told(kernel.link)
    return _compiled(kernel.cell_march)


def _compiled(function: Callable[P, R], *helpers: Callable[..., Any]) -> Callable[P, R]:
    """Return a function compiled, named after all texts that go into it."""
    # The compiler looks only at the file of the function itself to see whether what it kept of it is still good.
    read: tuple[Any, ...] = (function, *helpers, *_HELPERS, march.march)
    texts = sorted({str(getsourcefile(one)) for one in read})
    digest = sha256(b"".join(Path(text).read_bytes() for text in texts)).hexdigest()[:12]
    function.__qualname__ = f"{function.__name__}_{digest}"
    numba: Any = import_module("numba")
    result: Callable[P, R] = numba.njit(cache=True, nogil=True, error_model=_ERRORS)(function)
    return result


@cache
def _ready() -> None:
    """Tell the compiler of this room's own texts."""
    extending: Any = import_module("numba.extending")
    for helper in _HELPERS:
        _told(helper)

    fast = compiled_march()

    def by_cells(*_types: object) -> Callable[..., int]:
        def run(*values: Any) -> int:
            return fast(*values)

        return run

    extending.overload(march.march, jit_options={"error_model": _ERRORS}, strict=False)(by_cells)


@cache
def _told(helper: Callable[..., Any]) -> None:
    """Tell the compiler that a function may be compiled where another calls it."""
    import_module("numba.extending").register_jitable(error_model=_ERRORS)(helper)
