"""A person erased on request is nowhere any more; the ledger still adds up, and every page still opens."""

from __future__ import annotations

import io
import zipfile
import zlib
from decimal import Decimal

import pytest
from django.apps import apps
from django.db import models
from tests.web.conftest import Cast
from tests.week.cases import at, job, kitchen

from tierwright.price import EntryKind, check_seals
from tierwright.web.access import Door
from tierwright.web.frame.change import work_through
from tierwright.web.frame.desk import pack
from tierwright.web.jobs.models import Job
from tierwright.web.keepsafe.archive import archive_bytes
from tierwright.web.keepsafe.erasing import erase_person
from tierwright.web.models import Audit, Client, Draft, Membership, Version
from tierwright.web.money.ledger import enter, entries_of
from tierwright.web.plans.models import HeldTask, KeptWeek
from tierwright.web.shared.links import link_of, make_link
from tierwright.web.sheet import sheets
from tierwright.week import Settings, plan_jobs, to_json

NAMES = ("Quillon Abernathy", "quillon@post.example", "Zephyrine Locke", "hives from walnuts")


@pytest.fixture
def told(cast: Cast) -> tuple[Cast, Client]:
    client = Client.objects.create(kitchen=cast.kitchen, name=NAMES[0], contact=NAMES[1], health=NAMES[3])
    version = cast.commission.versions.get()
    brief = version.brief | {
        "title": f"Wedding of {NAMES[0]}",
        "client": f"{NAMES[0]}\n{NAMES[1]}",
        "allergies": [{"allergen": "walnut", "count": 1, "severity": "severe", "note": NAMES[3]}],
        "venue": version.brief["venue"] | {"contact": NAMES[2]},
    }
    tried = work_through(brief, version.kitchen, set())
    assert tried.dossier is not None
    row = cast.commission
    packed, words = pack(tried.dossier), f"for {NAMES[0]}"
    Version(commission=row, number=2, brief=brief, kitchen=version.kitchen, dossier=packed, words=words).save()
    row.client, row.head, row.title = client, 2, f"Wedding of {NAMES[0]}"
    row.save()
    Draft.objects.create(kitchen=cast.kitchen, commission=row, user=cast.ada, part="brief", typed={"client": NAMES[0]})
    row.client_questions.create(text=f"{NAMES[0]}, who cuts?", answer=NAMES[2])
    Audit.objects.create(kitchen=cast.kitchen, commission=row, deed="kept", words=f"Wedding of {NAMES[0]}, 2")
    _planned(cast)
    return cast, client


def _planned(cast: Cast) -> None:
    """Plan a week with the commission in it, hold one of its tasks, and ask whether it can be taken."""
    title = cast.commission.title
    owned = kitchen(hands=2, fridge=(600, 500, 2500), freezer=(600, 500, 2000))
    week = plan_jobs(
        (job("c1", at(5, 15), widths=(200.0,), title=title),),
        owned,
        settings=Settings(effort=0.5, rounds=0, polish=0.0),
    )
    assert title in to_json(week).decode()
    KeptWeek.objects.create(
        kitchen=cast.kitchen, monday=at(0, 0).date(), whose=[[cast.commission.pk, 2]], plan=KeptWeek.packed(week),
        moved=[{"label": f"Bake for {title}"}], safe={"late": [title]}, words=f"planned with {title}",
    )  # fmt: skip
    HeldTask.objects.create(
        kitchen=cast.kitchen, monday=at(0, 0).date(), task="c1/bake.1", label=f"Bake for {title}", begins=at(3, 8)
    )
    Job.objects.create(
        kitchen=cast.kitchen, kind="take", key="a", progress={"words": f"placing {title}"}, error=f"{title}: no room",
        result={"causes": [f"{title} is wanted too early"]},
    )  # fmt: skip


def _everywhere(kitchen: int) -> str:
    with zipfile.ZipFile(io.BytesIO(archive_bytes(kitchen))) as archive:
        parts = [archive.read(name) for name in archive.namelist()]
    jobs = [str((row.asked, row.progress, row.result, row.error)) for row in Job.objects.filter(kitchen=kitchen)]
    weeks = [zlib.decompress(row.plan).decode() for row in KeptWeek.objects.filter(kitchen=kitchen)]
    weeks += [str((row.moved, row.safe, row.words)) for row in KeptWeek.objects.filter(kitchen=kitchen)]
    held = [row.label for row in HeldTask.objects.filter(kitchen=kitchen)]
    return "\n".join([*jobs, *weeks, *held]) + "\n".join(
        (zlib.decompress(part) if part[:1] == b"\x78" else part).decode("utf-8", "replace") for part in parts
    )


def test_nothing_of_an_erased_person_is_left(told: tuple[Cast, Client]) -> None:
    cast, client = told
    _link, token = make_link(cast.commission, 7)
    before = _everywhere(cast.kitchen.pk)
    assert all(name in before for name in NAMES)
    assert erase_person(client) == 1
    after = _everywhere(cast.kitchen.pk)
    assert [name for name in NAMES if name in after] == []
    assert link_of(token) is None
    assert KeptWeek.objects.get().read().bars, "the plan itself stands"
    client.refresh_from_db()
    assert client.health_erased_at is not None


def test_every_sheet_of_the_commission_still_opens(told: tuple[Cast, Client]) -> None:
    cast, client = told
    erase_person(client)
    browser = cast.client(cast.ada)
    for sheet in sheets():
        answer = browser.get(cast.url(f"sheet/{sheet}/"))
        assert answer.status_code == 200, sheet
        assert not any(name in answer.content.decode() for name in NAMES)


def test_the_ledger_keeps_what_the_law_asks_for_and_stays_sound(told: tuple[Cast, Client]) -> None:
    cast, client = told
    door = Door(membership=Membership.objects.get(kitchen=cast.kitchen, user=cast.ada), user=cast.ada)
    enter(door, cast.commission, EntryKind.INVOICE, Decimal(900), "the cake")
    enter(door, cast.commission, EntryKind.PAYMENT, Decimal(300), "retainer")
    erase_person(client)
    enter(door, cast.commission, EntryKind.PAYMENT, Decimal(600), "balance")
    entries = list(entries_of(cast.kitchen))
    assert check_seals(entries, entries[0].currency) == 3
    assert [entry.amount for entry in entries] == [900, 300, 600]


def test_another_clients_commission_is_not_touched(told: tuple[Cast, Client]) -> None:
    cast, client = told
    before = archive_bytes(cast.other.pk)
    erase_person(client)
    assert archive_bytes(cast.other.pk) == before


def test_a_name_that_is_a_word_of_the_program_does_not_break_the_dossier(told: tuple[Cast, Client]) -> None:
    cast, client = told
    client.name = "round"
    client.save()
    erase_person(client)
    assert cast.client(cast.ada).get(cast.url("sheet/tiers/")).status_code == 200


def test_every_text_that_a_person_types_is_reached_or_known_not_to_be() -> None:
    """A new table with texts of a commission's has to say how it is erased."""
    erased = {"version", "draft", "clientquestion", "clientlink", "benchentry", "audit", "lookpicture"}
    kept_by_law = {"ledgerentry", "offer", "acceptance", "withdrawal"}
    signed = {"setupentry"}  # what was handed over, to whom, under their name: evidence for both sides
    of_no_person = {"ovenevidence", "workedtime"}
    commission = apps.get_model("web", "commission")
    found = {
        model._meta.model_name
        for model in apps.get_models()
        for field in model._meta.concrete_fields
        if isinstance(field, models.ForeignKey) and field.related_model is commission
    }
    assert found - erased - kept_by_law - signed - of_no_person == set()
