"""A helper's sheets: no price, no wage, no guest's allergy, and every hazard."""

from __future__ import annotations

import json
import re
from functools import lru_cache

import pytest
from tests.dossier.scenes import commission, kitchen

from tierwright.dossier import Dossier, prepare
from tierwright.sheets.binding import pages_of
from tierwright.sheets.discreet import discreet


@lru_cache(maxsize=1)
def dossier() -> Dossier:
    return prepare(commission(budget="300"), kitchen())


def words(*, prices: bool, health: bool) -> str:
    parts = (pages_of(dossier(), prices=prices, health=health, record=record) for record in (False, True))
    pages = [page for part in parts for page in part]
    # A drawing's measures are no amounts of money.
    return re.sub(r"<svg.*?</svg>", "", json.dumps([[page.sheet, page.data] for page in pages], ensure_ascii=False))


def amounts() -> set[str]:
    """Every amount that the maker alone should read, as a page would say it."""
    priced, plan = dossier().price, dossier().purchase
    money = {priced.floor, priced.asked, priced.wage.quantize(priced.floor), plan.total, plan.goods}
    money |= {amount for _group, amount in priced.cost.groups}
    return {f"{amount:.2f}" for amount in money if amount > 10} | {f"{amount:.0f} USD" for amount in money}


def test_the_owners_sheets_say_what_it_costs() -> None:
    said = words(prices=True, health=True)
    assert "Floor: what it costs" in said
    assert any(amount in said for amount in amounts())


def test_a_helpers_sheets_hold_no_amount_of_money() -> None:
    said = words(prices=False, health=True)
    assert [amount for amount in amounts() if amount in said] == []
    assert not re.search(r"\$\s?\d", said)
    for word in ("Floor", "wage", "budget", "markup", "Overhead", "26.00", "An hour brings"):
        assert word not in said, word


def test_a_helpers_sheets_do_not_say_what_guests_react_to() -> None:
    said = words(prices=False, health=False)
    questions = [question.text for question in discreet(dossier(), prices=False, health=False).notes.questions]
    assert not any("hazelnut" in text for text in questions)
    assert "1 × hazelnut" not in said
    assert "1 × hazelnut" in words(prices=False, health=True)


@pytest.mark.parametrize(("prices", "health"), [(False, True), (True, False), (False, False)])
def test_nobody_is_spared_a_hazard(prices: bool, health: bool) -> None:
    assert discreet(dossier(), prices=prices, health=health).notes.cautions == dossier().notes.cautions
