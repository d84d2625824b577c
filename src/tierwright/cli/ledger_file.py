"""Keep a ledger in a file: one line an entry, on the disk before it counts."""

from __future__ import annotations

import os
from pathlib import Path

from tierwright.errors import BadInput, Problem
from tierwright.price import Ledger, from_lines, to_line, whole_bytes


def read_ledger(path: Path, currency: str) -> Ledger:
    """
    Read a ledger's file; one that is not there yet is an empty ledger.

    Raises
    ------
    BadInput
        The file cannot be read, or somebody has changed it.
    """
    try:
        data = path.read_bytes()
    except FileNotFoundError:
        return Ledger(currency=currency)
    except OSError as error:
        raise BadInput([Problem(place=str(path), found=str(error), expected="a ledger that can be read")]) from None
    return from_lines(data, currency)


def append(path: Path, before: Ledger, after: Ledger) -> None:
    """
    Write the entries that a ledger has gained.

    A line counts once its end is on the disk: what a crash left of a line without one is cut off first, and each
    new line is flushed to the disk before this returns.

    Raises
    ------
    BadInput
        The file holds other entries than ``before``: somebody else has written to it since.
    """
    if after.entries[: len(before.entries)] != before.entries:
        raise BadInput([Problem(place=str(path), found="another past", expected="the ledger that was read, and more")])
    if read_ledger(path, before.currency) != before:
        raise BadInput([Problem(place=str(path), found="new entries", expected="the ledger as it was read")])
    flags = os.O_RDWR | os.O_CREAT
    handle = os.open(path, flags, 0o600)
    try:
        whole = whole_bytes(path.read_bytes())
        os.ftruncate(handle, whole)
        os.lseek(handle, whole, os.SEEK_SET)
        for entry in after.entries[len(before.entries) :]:
            line = to_line(entry)
            while line:
                line = line[os.write(handle, line) :]
            os.fsync(handle)
    finally:
        os.close(handle)
