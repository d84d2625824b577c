"""A small cast: Ada owns the kitchen, Ben helps in it, Cleo owns another one and must be kept out."""

from __future__ import annotations

import json
import zlib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from types import ModuleType

import pytest
from django.contrib.auth.models import User
from django.test import Client
from django.utils import translation

from tierwright.dossier import Dossier, from_json, settled
from tierwright.sheets import Book, Page
from tierwright.web.frame import change, desk
from tierwright.web.frame.desk import DOSSIERS, pack
from tierwright.web.models import Commission, Kitchen, Membership, Role
from tierwright.web.serve import Example, lay_down, read_example

EXAMPLE = Path(__file__).resolve().parents[2] / "examples" / "centenary"
PASSWORD = "four unlike words here"


@lru_cache(maxsize=1)
def example() -> Example:
    return read_example(EXAMPLE)


@lru_cache(maxsize=1)
def unpacked() -> Dossier:
    """What the example's version says, read from what is kept as any version is; once for all tests."""
    return from_json(zlib.decompress(packed()))


@lru_cache(maxsize=1)
def packed() -> bytes:
    return pack(settled(example().tried.dossier))  # type: ignore[arg-type]


def lay(maker: User) -> Kitchen:
    """Lay the example down for a maker; it is worked through and packed once for all tests."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(change, "pack", lambda _dossier: packed())
        patch.setattr(change, "settled", lambda dossier: dossier)
        return lay_down(example(), maker)


@pytest.fixture(autouse=True)
def _quick_and_forgetful(settings: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    # Argon2 is slow on purpose; one test says that it is the one in use.
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]  # type: ignore[attr-defined]
    DOSSIERS.clear()
    read = desk._unpacked
    monkeypatch.setattr(
        desk, "_unpacked", lambda version: unpacked() if bytes(version.dossier) == packed() else read(version)
    )
    yield
    DOSSIERS.clear()
    # A page read in Spanish leaves the thread in Spanish.
    translation.deactivate()


@dataclass
class Cast:
    ada: User
    ben: User
    cleo: User
    kitchen: Kitchen
    other: Kitchen
    commission: Commission
    others_commission: Commission

    def url(self, rest: str = "") -> str:
        return f"/k/{self.kitchen.pk}/c/{self.commission.pk}/{rest}"

    def client(self, who: User | None) -> Client:
        browser = Client()
        if who is not None:
            browser.force_login(who, backend="django.contrib.auth.backends.ModelBackend")
        return browser


@pytest.fixture
def cast(db: None) -> Cast:
    ada, ben, cleo = (User.objects.create_user(name, password=PASSWORD) for name in ("ada", "ben", "cleo"))
    kitchen, other = lay(ada), lay(cleo)
    Membership.objects.create(kitchen=kitchen, user=ben, role=Role.HELPER)
    return Cast(
        ada=ada,
        ben=ben,
        cleo=cleo,
        kitchen=kitchen,
        other=other,
        commission=Commission.objects.get(kitchen=kitchen),
        others_commission=Commission.objects.get(kitchen=other),
    )


def press_in(monkeypatch: pytest.MonkeyPatch, module: ModuleType) -> list[str]:
    """
    Have a press in a module that takes no time and prints what it is given as it stands.

    Returns
    -------
    set_
        What it was asked to set, in order; grows with every press.
    """
    set_: list[str] = []

    def press(pages: Sequence[Page], _book: Book) -> bytes:
        set_.append(json.dumps([[page.sheet, page.data] for page in pages]))
        return b"%PDF-" + set_[-1].encode()

    monkeypatch.setattr(module, "render_pdf", press)
    return set_
