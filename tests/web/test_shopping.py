"""Shopping for any commissions together: ticked once, received into the book and the pantry, files without formulas."""

from __future__ import annotations

import csv
import io
import json
import uuid
from datetime import timedelta
from typing import Any

import pytest
from django.utils import timezone
from tests.web.conftest import Cast

from tierwright.larder import OwnTimes, norms
from tierwright.web.models import BenchEntry, Commission, Kitchen
from tierwright.web.money.ledger import balance
from tierwright.web.money.models import ShopEntry, ShoppingList, WorkedTime
from tierwright.web.money.shopping import plan_of


def place(cast: Cast, rest: str = "") -> str:
    return f"/k/{cast.kitchen.pk}/shopping/{rest}"


@pytest.fixture
def shopping(cast: Cast) -> ShoppingList:
    # A second commission on the same day shares packs with the first.
    other = Commission.objects.get(pk=cast.commission.pk)
    version = other.versions.get(number=1)
    other.pk = None
    other.save()
    version.pk, version.commission = None, other
    version._state.adding = True
    version.save()
    answer = cast.client(cast.ada).post(
        place(cast), {"commission": [str(cast.commission.pk), str(other.pk)], "from_day": "2027-05-01"}
    )
    assert answer.status_code == 302, answer.content.decode()[:500]
    return ShoppingList.objects.get()


def entry(line: str, what: str, order: int, **value: Any) -> dict[str, Any]:
    return {
        "key": str(uuid.uuid4()), "line": line, "what": what, "order": order, "device": "phone", "value": value,
        "done_at": timezone.now().isoformat(),
    }  # fmt: skip


def send(cast: Cast, shopping: ShoppingList, *entries: dict[str, Any], who: Any = None) -> list[dict[str, Any]]:
    answer = cast.client(who or cast.ben).post(
        place(cast, f"{shopping.pk}/entries/"), json.dumps({"entries": entries}), content_type="application/json"
    )
    assert answer.status_code == 200
    outcomes: list[dict[str, Any]] = answer.json()["outcomes"]
    return outcomes


def test_one_list_for_two_commissions_names_both(cast: Cast, shopping: ShoppingList) -> None:
    plan = plan_of(shopping)
    title = cast.commission.title
    assert {a.commission for line in plan.lines for a in line.for_whom} == {title, f"{title} (2)"}
    page = cast.client(cast.ada).get(place(cast, f"{shopping.pk}/")).content.decode()
    assert page.count('data-line="line.') == len(plan.lines)
    assert "$" in page


def test_ticks_are_kept_once_in_their_order(cast: Cast, shopping: ShoppingList) -> None:
    first, second = entry("line.0", "tick", 1), entry("line.0", "untick", 2)
    assert [one["fate"] for one in send(cast, shopping, first, second, first)] == ["kept", "kept", "had"]
    assert [one["fate"] for one in send(cast, shopping, first)] == ["had"]
    assert [one["fate"] for one in send(cast, shopping, entry("line.0", "tick", 2))] == ["moved"]
    assert [one["fate"] for one in send(cast, shopping, entry("line.999", "tick", 3))] == ["refused"]
    state = cast.client(cast.ben).get(place(cast, f"{shopping.pk}/state/")).json()
    assert state["lines"]["line.0"]["ticked"] is False


def test_what_is_received_goes_into_book_and_pantry_in_one_stroke(cast: Cast, shopping: ShoppingList) -> None:
    plan = plan_of(shopping)
    number, line = next((n, one) for n, one in enumerate(plan.lines) if one.name.startswith("unsalted butter"))
    bought = {
        "packs": 2, "paid": "13,50", "lot": "L 204", "best_before": "2027-09-01", "label_read": True,
        "contains": ["milk"], "may_contain": [],
    }  # fmt: skip
    one = entry(f"line.{number}", "bought", 1, **bought)
    assert [out["fate"] for out in send(cast, shopping, one)] == ["kept"]
    data = Kitchen.objects.get(pk=cast.kitchen.pk).data
    row = data["prices"][int(line.offer[:3]) - 1]
    assert (row["price"], row["label_read"], row["contains"]) == ("6.75", True, ["milk"])
    lot = data["accounts"]["pantry"][-1]
    assert (lot["lot"], lot["best_before"], lot["amount"]) == ("L 204", "2027-09-01", f"{line.content * 2:g} g")
    # The same entry once more, and another receipt of the same line: neither fills the pantry twice.
    assert [out["fate"] for out in send(cast, shopping, one)] == ["had"]
    again = send(cast, shopping, entry(f"line.{number}", "bought", 2, **bought))
    assert again[0]["fate"] == "refused"
    assert len(Kitchen.objects.get(pk=cast.kitchen.pk).data["accounts"]["pantry"]) == len(data["accounts"]["pantry"])
    # The next list finds it on the shelf.
    answer = cast.client(cast.ada).post(place(cast), {"commission": str(cast.commission.pk), "from_day": "2027-05-02"})
    assert answer.status_code == 302
    later = plan_of(ShoppingList.objects.order_by("-pk").first())  # type: ignore[arg-type]
    assert "L 204" in {stock.lot for stock in later.from_stock}


@pytest.mark.parametrize(
    "bad",
    [
        {"packs": 0, "paid": "1"}, {"packs": 1.5, "paid": "1"}, {"packs": 1, "paid": "x"}, {"packs": 1, "paid": "-1"},
        {"packs": 1, "paid": "1", "best_before": "soon"}, {"packs": 1, "paid": "1", "contains": ["love"]},
        {"packs": True, "paid": "1"}, {"packs": 1, "paid": "0.001"},
    ],
)  # fmt: skip
def test_a_receipt_that_cannot_be_changes_nothing(cast: Cast, shopping: ShoppingList, bad: dict[str, Any]) -> None:
    before = Kitchen.objects.get(pk=cast.kitchen.pk).data
    assert send(cast, shopping, entry("line.0", "bought", 1, **bad))[0]["fate"] == "refused"
    assert Kitchen.objects.get(pk=cast.kitchen.pk).data == before
    assert not ShopEntry.objects.exists()


def test_a_helper_shops_without_seeing_prices(cast: Cast, shopping: ShoppingList) -> None:
    plan = plan_of(shopping)
    browser = cast.client(cast.ben)
    page = browser.get(place(cast, f"{shopping.pk}/")).content.decode()
    assert "$" not in page
    prices = {f"{line.price:f}" for line in plan.lines}
    assert not any(f'value="{price}"' in page for price in prices)
    rows = list(csv.DictReader(io.StringIO(browser.get(place(cast, f"{shopping.pk}/list.csv")).content.decode())))
    assert {row["price"] for row in rows} == {""}
    owners = list(
        csv.DictReader(io.StringIO(cast.client(cast.ada).get(place(cast, f"{shopping.pk}/list.csv")).content.decode()))
    )
    assert prices <= {row["price"] for row in owners}
    send(cast, shopping, entry("line.0", "bought", 1, packs=1, paid="4.00", lot="A"))
    state = browser.get(place(cast, f"{shopping.pk}/state/")).json()
    assert "paid" not in state["lines"]["line.0"]["bought"]
    for kind in ("pdf", "xlsx"):
        assert browser.get(place(cast, f"{shopping.pk}/list.{kind}")).status_code == 200


def test_a_title_is_never_a_formula_of_the_spreadsheet(cast: Cast, shopping: ShoppingList) -> None:
    shopping.content["lines"][0]["name"] = "=1+1"
    shopping.content["lines"][0]["for_whom"][0]["commission"] = "@sum"
    shopping.save()
    text = cast.client(cast.ada).get(place(cast, f"{shopping.pk}/list.csv")).content.decode()
    assert ",'=1+1," in text
    assert "'@sum" in text


def test_each_person_at_each_address_of_shopping(cast: Cast, shopping: ShoppingList) -> None:
    for how, rest, helper in (
        ("get", "", 200), ("post", "", 403), ("get", f"{shopping.pk}/", 200), ("get", f"{shopping.pk}/state/", 200),
        ("get", f"{shopping.pk}/list.csv", 200), ("post", f"{shopping.pk}/put-away/", 403),
    ):  # fmt: skip
        answers = [getattr(cast.client(who), how)(place(cast, rest)).status_code for who in (None, cast.ben, cast.cleo)]
        assert answers == [302, helper, 404], rest
        crossed = place(cast, rest).replace(f"/k/{cast.kitchen.pk}/", f"/k/{cast.other.pk}/")
        if rest:
            assert getattr(cast.client(cast.cleo), how)(crossed).status_code == 404


class TestAfter:
    def test_what_a_task_took_teaches_the_book_of_norms(self, cast: Cast) -> None:
        browser = cast.client(cast.ada)
        page = browser.get(cast.url("after/")).content.decode()
        assert "took-coat" in page
        assert browser.post(cast.url("after/"), {"took-coat": "300", "took-design": ""}).status_code == 302
        worked = WorkedTime.objects.get()
        data = Kitchen.objects.get(pk=cast.kitchen.pk).data
        assert data["accounts"]["times"] == [{"task": "coat", "paces": [pytest.approx(300 / worked.usual_min)]}]
        # Kept again it counts once; changed, the old time goes.
        browser.post(cast.url("after/"), {"took-coat": "300"})
        browser.post(cast.url("after/"), {"took-coat": "200"})
        data = Kitchen.objects.get(pk=cast.kitchen.pk).data
        assert data["accounts"]["times"][0]["paces"] == [pytest.approx(200 / worked.usual_min)]
        browser.post(cast.url("after/"), {"took-coat": ""})
        assert Kitchen.objects.get(pk=cast.kitchen.pk).data["accounts"]["times"] == []
        assert not WorkedTime.objects.exists()

    def test_a_slip_of_the_pen_is_refused_and_nothing_is_lost(self, cast: Cast) -> None:
        answer = cast.client(cast.ada).post(cast.url("after/"), {"took-coat": "99999", "took-design": "30"})
        assert answer.status_code == 422
        assert 'value="99999"' in answer.content.decode()
        assert 'value="30"' in answer.content.decode()
        assert not WorkedTime.objects.exists()

    def test_a_helper_sees_hours_and_weights_and_no_money(self, cast: Cast) -> None:
        version = cast.commission.versions.get(number=1)
        moment = timezone.now() - timedelta(hours=3)
        for order, (what, value) in enumerate([("tick", {}), ("weight", {"number": 500, "unit": "g", "g": 500.0})], 1):
            step = "coat-tier-1.weigh"
            BenchEntry.objects.create(
                commission=cast.commission, version=version.number, sheet="coats", step=step, what=what, value=value,
                device="t", order=order, done_at=moment + timedelta(minutes=20 * order),
            )  # fmt: skip
        page = cast.client(cast.ben).get(cast.url("after/")).content.decode()
        assert "20 min" in page
        assert "on the scale" in page
        assert "$" not in page
        assert "an hour brought" not in page.lower()
        owners = cast.client(cast.ada).get(cast.url("after/")).content.decode()
        assert "$" in owners
        assert balance(cast.commission).open == 0

    def test_only_members(self, cast: Cast) -> None:
        answers = [cast.client(who).get(cast.url("after/")).status_code for who in (None, cast.cleo)]
        assert answers == [302, 404]

    def test_the_pace_is_over_the_usual_norm_whatever_was_planned(self) -> None:
        usual = norms()["coat"].minutes(10).value
        assert OwnTimes(task="coat").add(usual * 1.5, usual).paces == (1.5,)
