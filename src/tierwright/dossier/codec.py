"""A dossier to JSON and back, exactly."""

from __future__ import annotations

from functools import lru_cache

from pydantic import TypeAdapter, ValidationError

from tierwright.dossier.model import Dossier
from tierwright.errors import BadInput, Problem


@lru_cache(maxsize=1)
def _adapter() -> TypeAdapter[Dossier]:
    return TypeAdapter(Dossier)


def to_json(dossier: Dossier) -> bytes:
    """Write a dossier as JSON; the same dossier gives the same bytes."""
    return _adapter().dump_json(dossier, by_alias=True)


def from_json(text: bytes | str, place: str = "dossier") -> Dossier:
    """
    Read a dossier back; ``from_json(to_json(d)) == d``.

    Raises
    ------
    BadInput
        The text is no dossier of this program's format, with every fault in it.
    """
    try:
        return _adapter().validate_json(text)
    except ValidationError as error:
        raise BadInput(
            Problem(
                place=f"{place}: {'.'.join(str(step) for step in entry['loc'])}",
                found=repr(entry["input"])[:60],
                expected=entry["msg"],
            )
            for entry in error.errors(include_url=False)
        ) from None


def is_dossier(text: str) -> bool:
    """Say whether a JSON text is a dossier rather than a brief."""
    return '"sizing"' in text and '"coating"' in text and '"kitchen"' in text
