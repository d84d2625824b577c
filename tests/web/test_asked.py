"""What is asked in SQL of our own answers as Django's own questions do."""

from __future__ import annotations

import re
from datetime import timedelta

import pytest
from django.contrib.auth.models import User
from django.db import models
from django.utils import timezone
from tests.web.conftest import Cast

from tierwright.web.access import place_in
from tierwright.web.models import Commission, Draft, Kitchen, Membership
from tierwright.web.people.local import the_maker


def columns(row: models.Model) -> dict[str, object]:
    return {field.attname: getattr(row, field.attname) for field in row._meta.concrete_fields}


def test_a_place_in_a_kitchen_is_what_django_finds(cast: Cast) -> None:
    Membership.objects.filter(user=cast.ben).update(sees_health=True)
    for user, kitchen in ((cast.ada, cast.kitchen), (cast.ben, cast.kitchen), (cast.cleo, cast.other)):
        found = place_in(kitchen.pk, user)
        assert found is not None
        assert columns(found) == columns(Membership.objects.get(user=user, kitchen=kitchen))
        assert columns(found.kitchen) == columns(Kitchen.objects.get(pk=kitchen.pk))
        assert not found._state.adding
    assert place_in(cast.other.pk, cast.ada) is None
    assert place_in(10**9, cast.ada) is None


@pytest.mark.django_db
def test_the_maker_is_the_first_person() -> None:
    assert the_maker() is None
    first = User.objects.create_user("first", email="first@boathouse.example")
    User.objects.create_user("second")
    found = the_maker()
    assert found is not None
    assert columns(found) == columns(User.objects.get(pk=first.pk))


def test_each_list_holds_its_own_in_its_order(cast: Cast) -> None:
    now = timezone.now()
    for number in range(24):
        at = now + timedelta(days=number - 11.5)
        Commission.objects.create(
            kitchen=cast.kitchen, title=f"Supper {number}", enquired_at=now - timedelta(days=40), handover_at=at,
            cutting_at=at, last_slice_at=at, timezone="UTC", head=1,
            put_away_at=now - timedelta(hours=number) if number % 3 == 0 else None,
        )  # fmt: skip
    Commission.objects.create(
        kitchen=cast.other, title="Supper elsewhere", enquired_at=now, handover_at=now, cutting_at=now,
        last_slice_at=now, timezone="UTC", head=1,
    )  # fmt: skip
    browser = cast.client(cast.ada)
    kept = Commission.objects.filter(kitchen=cast.kitchen)
    expected = {
        "coming": kept.filter(put_away_at=None, last_slice_at__gte=now).order_by("last_slice_at", "pk"),
        "past": kept.filter(put_away_at=None, last_slice_at__lt=now).order_by("-last_slice_at", "-pk"),
        "put-away": kept.exclude(put_away_at=None).order_by("-put_away_at", "-pk"),
    }
    for shown, found in expected.items():
        page = browser.get(f"/k/{cast.kitchen.pk}/?show={shown}").content.decode()
        keys = [int(key) for key in re.findall(r'<th scope="row"><a href="/k/\d+/c/(\d+)/"', page)]
        assert keys == list(found.values_list("pk", flat=True)), shown
        later = browser.get(f"/k/{cast.kitchen.pk}/?show={shown}&from=3").content.decode()
        assert len(re.findall(r'<th scope="row"><a href="/k/\d+/c/(\d+)/"', later)) == len(keys) - 3


def test_only_ones_own_half_written_enquiry_is_offered(cast: Cast) -> None:
    said = "half written"
    Draft.objects.create(kitchen=cast.other, user=cast.ada, part="enquiry", typed={})
    Draft.objects.create(kitchen=cast.kitchen, user=cast.cleo, part="enquiry", typed={})
    Draft.objects.create(kitchen=cast.kitchen, commission=cast.commission, user=cast.ada, part="enquiry", typed={})
    browser = cast.client(cast.ada)
    assert said not in browser.get(f"/k/{cast.kitchen.pk}/").content.decode()
    Draft.objects.create(kitchen=cast.kitchen, user=cast.ada, part="enquiry", typed={})
    assert said in browser.get(f"/k/{cast.kitchen.pk}/").content.decode()
