"""What the pantry gives: what is left of a lot, on which days it is there, and whose label nobody has read."""

from __future__ import annotations

from datetime import timedelta

import pytest
from tests.purchase.shopping import DAY, item, use

from tierwright.errors import UnknownName
from tierwright.larder import Allergen
from tierwright.purchase import Lot
from tierwright.purchase.model import AllergenStatus
from tierwright.purchase.stock import take_stock
from tierwright.purchase.tables import buying_rule

HAZELNUT = Allergen("hazelnut")


def lot(key: str, amount: float, **changes: object) -> Lot:
    return Lot(**{"key": key, "item": "butter", "amount": amount, **changes})  # type: ignore[arg-type]


def taken(lots: list[Lot], *wanted: float) -> tuple[dict[str, float], float]:
    """Return what is left of every lot that gave something, and what has still to be bought."""
    uses = [use("butter", amount, commission=f"c{n}") for n, amount in enumerate(wanted)]
    remaining, given = take_stock({"butter": item("butter")}, uses, lots)
    return {one.lot: one.left for one in given}, sum(one.amount for one in remaining)


def test_what_a_lot_gives_is_gone_from_it() -> None:
    assert taken([lot("a", 500)], 120, 130) == ({"a": 250}, 0)
    assert taken([lot("a", 500)], 300, 300) == ({"a": 0}, 100)
    assert taken([lot("a", 500), lot("b", 70)], 540) == ({"a": 0, "b": 30}, 0)


def test_a_lot_used_up_to_the_gram_asks_for_no_more() -> None:
    remaining, given = take_stock({"butter": item("butter")}, [use("butter", 500)], [lot("a", 500), lot("b", 500)])
    assert remaining == ()
    assert [one.lot for one in given] == ["a"], "the second is not opened"


@pytest.mark.parametrize(("days", "gives"), [(-1, False), (0, True), (1, True)])
def test_a_lot_is_used_up_to_its_last_day_and_not_after(days: int, gives: bool) -> None:
    left, short = taken([lot("a", 500, best_before=DAY + timedelta(days=days))], 100)
    assert (left == {"a": 400}, short) == (gives, 0 if gives else 100)


@pytest.mark.parametrize(("days", "gives"), [(-1, True), (0, True), (1, False)])
def test_a_lot_is_used_from_the_day_it_is_there(days: int, gives: bool) -> None:
    left, short = taken([lot("a", 500, from_day=DAY + timedelta(days=days))], 100)
    assert (left == {"a": 400}, short) == (gives, 0 if gives else 100)


def test_what_another_job_left_comes_first_and_then_what_expires_first() -> None:
    soon, later = DAY + timedelta(days=2), DAY + timedelta(days=9)
    lots = [
        lot("z", 10),
        lot("y", 10, best_before=later),
        lot("x", 10, best_before=soon),
        lot("w", 10, by_product=True),
    ]
    for amount, opened in ((10, ["w"]), (20, ["w", "x"]), (30, ["w", "x", "y"]), (40, ["w", "x", "y", "z"])):
        _, given = take_stock({"butter": item("butter")}, [use("butter", amount)], lots)
        assert [one.lot for one in given] == opened


def test_an_unread_label_is_said_for_the_guest_who_minds() -> None:
    chocolate = item("chocolate", ask_about=(HAZELNUT, Allergen("milk")))
    uses = [use("chocolate", 100, commission="a"), use("chocolate", 100, commission="b", avoid=(HAZELNUT,))]
    unread = Lot(key="open", item="chocolate", amount=500)
    read = Lot(key="open", item="chocolate", amount=500, status=AllergenStatus.READ)
    for one, said in ((unread, (HAZELNUT,)), (read, ())):
        _, given = take_stock({"chocolate": chocolate}, uses, [one])
        assert given[0].label_unread == said
    _, alone = take_stock({"chocolate": chocolate}, uses[:1], [unread])
    assert alone[0].label_unread == (), "nobody of that commission minds"


def test_a_group_that_no_table_knows_is_refused_with_what_is_known() -> None:
    with pytest.raises(UnknownName) as refused:
        buying_rule("dairie")
    assert "dairy" in str(refused.value)
