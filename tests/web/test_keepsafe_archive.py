"""A kitchen's archive: the same after the way there and back, and nothing written where anything is wrong."""

from __future__ import annotations

import hashlib
import io
import json
import zipfile
import zlib
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from django.apps import apps
from django.contrib.auth.models import User
from django.db.models import ForeignKey, Model
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from tests.web.conftest import Cast

from tierwright.errors import BadInput
from tierwright.web.jobs.models import Job
from tierwright.web.keepsafe.archive import archive_bytes, read_archive, write_archive
from tierwright.web.keepsafe.tables import LEFT_OUT, kitchen_tables, label, own_tables, way_to_kitchen
from tierwright.web.models import (
    ApiToken,
    Audit,
    BenchEntry,
    BookFormula,
    Client,
    ClientLink,
    Draft,
    Kitchen,
    OvenEvidence,
    Version,
)
from tierwright.web.money.models import ShoppingList
from tierwright.web.plans.models import HeldTask, KeptWeek
from tierwright.web.shared.links import make_link


@pytest.fixture
def full(cast: Cast) -> Cast:
    client = Client.objects.create(kitchen=cast.kitchen, name="Nadia Ferro", health="hazelnuts", contact="a@b.example")
    cast.commission.client = client
    cast.commission.save()
    make_link(cast.commission, 7)
    Draft.objects.create(kitchen=cast.kitchen, user=cast.ben, part="enquiry", typed={"b": 1, "a": ["ü", None, 0.1]})
    BenchEntry.objects.create(
        commission=cast.commission, version=1, sheet="bakes", step="1", what="tick", device="d", order=1,
        done_at=datetime(2026, 3, 1, 2, 30, 0, 123456, tzinfo=UTC), user=cast.ben,
    )  # fmt: skip
    OvenEvidence.objects.create(kitchen=cast.kitchen, oven="Oven", mode="fan", key="k", evidence={"t": 31.5})
    ApiToken.objects.create(kitchen=cast.kitchen, user=cast.ada, name="till", digest="d" * 64)
    mine = cast.commission.pk
    ShoppingList.objects.create(
        kitchen=cast.kitchen, whose=[{"pk": mine, "title": "c1"}], content={}, from_day="2026-03-01"
    )  # fmt: skip
    plan = zlib.compress(json.dumps({"tasks": {f"c{mine}/bake/1": f"c{mine}"}}).encode())
    job = Job.objects.create(kitchen=cast.kitchen, kind="week", key="k")
    KeptWeek.objects.create(kitchen=cast.kitchen, monday="2026-03-02", whose=[[mine, 1]], plan=plan, job=job)
    HeldTask.objects.create(
        kitchen=cast.kitchen, monday="2026-03-02", task=f"c{mine}/bake/1", label="x", begins="2026-03-01T10:00Z"
    )  # fmt: skip
    Audit.objects.create(kitchen=cast.kitchen, user=None, deed="quoted", words="é" * 100)
    return cast


def test_every_table_of_the_house_is_kept_or_left_out_for_a_reason() -> None:
    lost = {label(model) for model in own_tables() if way_to_kitchen(model) is None}
    assert lost == set(), "a table whose rows belong to no kitchen is in no archive"
    assert set(LEFT_OUT) <= {label(model) for model in apps.get_models()}


def test_there_and_back_is_the_same_to_the_byte(full: Cast, tmp_path: Path) -> None:
    first = tmp_path / "first.zip"
    rows = write_archive(full.kitchen.pk, first)
    assert rows["web.version"] == 1
    assert rows["web.client"] == rows["web.draft"] == rows["web.benchentry"] == 1
    read = read_archive(first)
    assert read.pk != full.kitchen.pk
    assert archive_bytes(read.pk) == first.read_bytes()
    link = ClientLink.objects.get(commission__kitchen=read)
    assert link.digest != ClientLink.objects.get(commission__kitchen=full.kitchen).digest
    assert not ApiToken.objects.filter(kitchen=read).exists()
    old, new = (Version.objects.get(commission__kitchen=kitchen) for kitchen in (full.kitchen, read))
    assert bytes(old.dossier) == bytes(new.dossier)
    assert old.made_at == new.made_at


def test_what_names_a_commission_by_its_number_names_the_new_one(full: Cast, tmp_path: Path) -> None:
    file = tmp_path / "kitchen.zip"
    write_archive(full.kitchen.pk, file)
    # Numbers differ there: a commission of the other kitchen has the next one by then.
    read = read_archive(file)
    new = read.commissions.get().pk
    assert new != full.commission.pk
    assert ShoppingList.objects.get(kitchen=read).whose == [{"pk": new, "title": "c1"}]
    week = KeptWeek.objects.get(kitchen=read)
    assert week.whose == [[new, 1]]
    assert json.loads(zlib.decompress(bytes(week.plan))) == {"tasks": {f"c{new}/bake/1": f"c{new}"}}
    assert week.job is None
    assert HeldTask.objects.get(kitchen=read).task == f"c{new}/bake/1"


def test_a_table_that_points_at_what_is_left_out_can_do_without(cast: Cast) -> None:
    for model in kitchen_tables():
        for column in model._meta.concrete_fields:
            if isinstance(column, ForeignKey) and label(column.related_model) in LEFT_OUT:
                assert column.null, f"{label(model)}.{column.name}"


def test_the_other_kitchen_stays_out_of_it(full: Cast) -> None:
    Client.objects.create(kitchen=full.other, name="Somebody Else", health="kept from everybody")
    text = archive_bytes(full.kitchen.pk)
    with zipfile.ZipFile(io.BytesIO(text)) as archive:
        everything = b"".join(archive.read(name) for name in archive.namelist())
    assert b"Somebody Else" not in everything
    assert b"cleo" not in everything
    assert b"hazelnuts" in everything


def test_people_new_here_cannot_sign_in_until_they_are_given_a_password(full: Cast, tmp_path: Path) -> None:
    file = tmp_path / "kitchen.zip"
    write_archive(full.kitchen.pk, file)
    User.objects.filter(username="ben").update(username="benedict")
    read = read_archive(file)
    ben = User.objects.get(username="ben")
    assert not ben.has_usable_password()
    assert read.memberships.get(user=ben).role == "helper"


def _changed(content: bytes, change: Callable[[dict[str, bytes]], None], mend: bool = True) -> bytes:
    """Change an archive's entries; mend the digests, so that what is checked is what stands in them."""
    with zipfile.ZipFile(io.BytesIO(content)) as archive:
        entries = {name: archive.read(name) for name in archive.namelist()}
    change(entries)
    if mend and "archive.json" in entries:
        manifest = json.loads(entries["archive.json"])
        for name, listed in manifest["tables"].items():
            if f"tables/{name}.json" in entries:
                listed["sha256"] = hashlib.sha256(entries[f"tables/{name}.json"]).hexdigest()
        manifest["people"]["sha256"] = hashlib.sha256(entries.get("people.json", b"")).hexdigest()
        entries["archive.json"] = json.dumps(manifest).encode()
    with io.BytesIO() as out:
        with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
            for name, data in entries.items():
                archive.writestr(name, data)
        return out.getvalue()


def _edit(name: str, edit: Callable[[Any], Any]) -> Callable[[dict[str, bytes]], None]:
    def change(entries: dict[str, bytes]) -> None:
        data = json.loads(entries[name])
        entries[name] = json.dumps(edit(data) or data).encode()

    return change


def _counts() -> dict[str, int]:
    tables: list[type[Model]] = [*kitchen_tables(), User]
    return {label(model): model._base_manager.count() for model in tables}


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (lambda entries: entries.pop("archive.json"), "archive.json"),
        (lambda entries: entries.update({"../../etc/passwd": b"x"}), "only entries that belong"),
        (lambda entries: entries.update({"/files/" + "0" * 64: b"x"}), "only entries that belong"),
        (lambda entries: entries.update({"tables/auth.user.json": b"[]"}), "only tables that archive.json lists"),
        (lambda entries: entries.pop("tables/web.version.json"), "tables/web.version.json"),
        (lambda entries: entries.update({"tables/web.ovenevidence.json": b"0" * 30_000_000}), "squeezed at most"),
        (lambda entries: entries.update({"tables/web.ovenevidence.json": b"[" * 3_000}), "a list of rows"),
        (lambda entries: entries.update({"tables/web.ovenevidence.json": b'[{"id": NaN}]'}), "a list of rows"),
        (_edit("archive.json", lambda data: data.update(format=2)), "found 2; expected 1"),
        (_edit("archive.json", lambda data: data["schema"].update(web="9999_later")), "bring the program up to date"),
        (_edit("archive.json", lambda data: data["schema"].update(web={})), "bring the program up to date"),
        (_edit("archive.json", lambda data: data["tables"].update({"auth.user": {}})), "auth.user"),
        (_edit("tables/web.kitchen.json", lambda data: data + data), "numbered from 1"),
        (_edit("tables/web.membership.json", lambda data: data[0].update(user=99)), "membership.json: 1: user"),
        (_edit("tables/web.membership.json", lambda data: data[0].update(role="god")), "membership.json: 1: role"),
        (_edit("tables/web.membership.json", lambda data: data[0].update(is_superuser=True)), "is_superuser"),
        (_edit("tables/web.version.json", lambda data: data[0].update(made_at="soon")), "version.json: 1: made_at"),
        (_edit("tables/web.version.json", lambda data: data[0].update(dossier={"file": "0" * 64})), "files/000"),
        (_edit("tables/web.commission.json", lambda data: data[0].update(head=10**30)), "commission.json: 1: head"),
        (_edit("people.json", lambda data: data[0].update(username="x" * 151)), "at most 150"),
    ],
)
def test_an_archive_that_is_not_right_is_named_and_leaves_nothing(
    full: Cast, tmp_path: Path, change: Callable[[dict[str, bytes]], None], words: str
) -> None:
    before = _counts()
    file = tmp_path / "kitchen.zip"
    file.write_bytes(_changed(archive_bytes(full.kitchen.pk), change))
    with pytest.raises(BadInput, match=words.replace("[", r"\[")):
        read_archive(file)
    assert _counts() == before


def test_everything_wrong_is_told_at_once(full: Cast, tmp_path: Path) -> None:
    def change(entries: dict[str, bytes]) -> None:
        _edit("tables/money.shoppinglist.json", lambda data: data[0].update(from_day="never"))(entries)
        _edit("tables/web.client.json", lambda data: data[0].update(name=""))(entries)

    file = tmp_path / "kitchen.zip"
    file.write_bytes(_changed(archive_bytes(full.kitchen.pk), change))
    with pytest.raises(BadInput) as caught:
        read_archive(file)
    assert {problem.place for problem in caught.value.problems} == {
        "tables/money.shoppinglist.json: 1: from_day",
        "tables/web.client.json: 1: name",
    }


def test_an_older_archive_may_name_a_table_that_is_gone_only_while_it_is_empty(full: Cast, tmp_path: Path) -> None:
    def older(content: bytes) -> Callable[[dict[str, bytes]], None]:
        def change(entries: dict[str, bytes]) -> None:
            entries["tables/web.lot.json"] = content
            _edit("archive.json", lambda data: data["tables"].update({"web.lot": {"rows": 0}}))(entries)

        return change

    file = tmp_path / "kitchen.zip"
    file.write_bytes(_changed(archive_bytes(full.kitchen.pk), older(b"[]")))
    assert archive_bytes(read_archive(file).pk) == archive_bytes(full.kitchen.pk)
    file.write_bytes(_changed(archive_bytes(full.kitchen.pk), older(b'[{"id": 1, "ingredient": "butter"}]')))
    with pytest.raises(BadInput, match=r"web\.lot"):
        read_archive(file)


def test_a_file_whose_content_was_changed_is_refused(full: Cast, tmp_path: Path) -> None:
    def change(entries: dict[str, bytes]) -> None:
        name = next(name for name in entries if name.startswith("files/"))
        entries[name] = entries[name][:-1] + b"!"

    file = tmp_path / "kitchen.zip"
    file.write_bytes(_changed(archive_bytes(full.kitchen.pk), change))
    with pytest.raises(BadInput, match="other content"):
        read_archive(file)


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_no_damage_of_bytes_brings_it_down_or_leaves_half_a_kitchen(
    full: Cast, tmp_path: Path, data: st.DataObject
) -> None:
    content = bytearray(archive_bytes(full.kitchen.pk))
    for _ in range(data.draw(st.integers(1, 4))):
        at = data.draw(st.integers(0, len(content) - 1))
        cut = data.draw(st.sampled_from(["flip", "cut", "double"]))
        if cut == "flip":
            content[at] ^= data.draw(st.integers(1, 255))
        elif cut == "cut":
            del content[at : at + data.draw(st.integers(1, 400))]
        else:
            content[at:at] = content[at : at + 60]
        content = content or bytearray(b"x")
    before = Kitchen.objects.count(), BookFormula.objects.count(), Version.objects.count()
    file = tmp_path / "kitchen.zip"
    file.write_bytes(content)
    try:
        read = read_archive(file)
    except BadInput:
        assert (Kitchen.objects.count(), BookFormula.objects.count(), Version.objects.count()) == before
    else:
        # What was damaged was not content: dates or comments of the ZIP itself.
        assert archive_bytes(read.pk) == archive_bytes(full.kitchen.pk)
        read.delete()


def test_a_kitchen_that_is_not_there_is_said(cast: Cast, tmp_path: Path) -> None:
    with pytest.raises(BadInput, match=f"{cast.kitchen.pk} "):
        write_archive(10**6, tmp_path / "none.zip")
    assert not list(tmp_path.iterdir())
