"""The operations: the same rooms as the pages, over JSON, for one kitchen at a time."""

from __future__ import annotations

import zlib
from copy import deepcopy
from typing import Annotated, Any, Final

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe
from ninja import Field, NinjaAPI, Router, Status
from ninja.errors import ValidationError

from tierwright.brief import parse_commission, parse_kitchen
from tierwright.compare import Consequences, consequences
from tierwright.dossier import Dossier, prepare
from tierwright.errors import BadInput, TierwrightError
from tierwright.web.access import Admits, Door
from tierwright.web.api.forms import (
    Asked,
    Changes,
    CommissionLine,
    CommissionPage,
    CommissionWhole,
    Kept,
    Moves,
    Preview,
    Refusal,
    Shift,
    VersionLine,
    Wrong,
)
from tierwright.web.api.tokens import KitchenToken
from tierwright.web.frame.change import Overtaken, Tried, begin, keep
from tierwright.web.frame.desk import dossier_of
from tierwright.web.models import Commission, Version
from tierwright.working import Question

MOST: Final = 100
router = Router(auth=KitchenToken(), tags=["commissions"])


def door_of(request: HttpRequest) -> Door:
    """Return the person and kitchen of the token."""
    door: Door = request.auth  # type: ignore[attr-defined]
    return door


def _line(row: Commission) -> dict[str, Any]:
    return {
        "id": row.pk, "title": row.title, "enquired_at": row.enquired_at, "handover_at": row.handover_at,
        "cutting_at": row.cutting_at, "last_slice_at": row.last_slice_at, "timezone": row.timezone,
        "version": row.head, "quoted": row.quoted, "portions": row.portions, "open_questions": row.questions,
        "gravest": row.gravest, "put_away_at": row.put_away_at,
    }  # fmt: skip


def _asked(questions: tuple[Question, ...]) -> list[Asked]:
    return [
        Asked(key=q.key, severity=int(q.severity), sheet=q.sheet, text=q.text, reason=q.reason, figure=q.figure,
              change=q.change)
        for q in questions
    ]  # fmt: skip


def _moves(found: Consequences) -> Moves:
    shifts = [
        Shift(key=m.key, label=m.label, sheet=m.sheet, unit=m.unit, before=m.before, after=m.after) for m in found.moves
    ]
    return Moves(figures=shifts, opened=_asked(found.opened), closed=_asked(found.closed))


@router.get("/commissions", response=CommissionPage, url_name="api-commissions", summary="List commissions by date")
def commissions(
    request: HttpRequest,
    put_away: bool = False,
    start: Annotated[int, Field(ge=0, le=1_000_000)] = 0,
    limit: Annotated[int, Field(ge=1, le=MOST)] = 20,
) -> CommissionPage:
    """List the kitchen's commissions, the next to be cut first; those put away only when asked for."""
    rows = Commission.objects.filter(kitchen=door_of(request).kitchen, put_away_at__isnull=not put_away)
    found = list(rows.order_by("last_slice_at", "pk")[start : start + limit + 1])
    more = len(found) > limit
    lines = [CommissionLine(**_line(row)) for row in found[:limit]]
    return CommissionPage(commissions=lines, next_from=start + limit if more else None)


@router.post(
    "/commissions",
    response={201: CommissionLine, 422: Refusal},
    url_name="api-commissions",
    summary="Begin a commission from a brief",
)
def create(request: HttpRequest, sent: Changes) -> Any:
    """Work a whole brief through and keep it as the first version of a new commission."""
    door = door_of(request)
    if sent.brief is None:
        return Status(422, Refusal(reason="a new commission needs a whole brief"))
    kitchen = door.kitchen.data
    answer = _worked(sent.brief, kitchen)
    if isinstance(answer, Refusal):
        return Status(422, answer)
    row = begin(door, Tried(brief=sent.brief, dossier=answer), kitchen, "over the API")
    return Status(201, CommissionLine(**_line(row)))


@router.get(
    "/commissions/{int:commission}", response=CommissionWhole, url_name="api-commission", summary="Read a commission"
)
def commission(request: HttpRequest, commission: int) -> CommissionWhole:
    """Return a commission with its latest brief and the list of its versions."""
    door = door_of(request)
    row = door.commission(commission)
    versions = Version.objects.filter(commission=row).only("number", "words", "made_at")
    lines = [VersionLine(number=v.number, words=v.words, made_at=v.made_at) for v in versions]
    return CommissionWhole(**_line(row), brief=door.version(row).brief, versions=lines)


@router.get("/commissions/{int:commission}/dossier", url_name="api-dossier", summary="Read everything worked out")
def dossier(request: HttpRequest, commission: int, version: int | None = None) -> HttpResponse:
    """Return the dossier of a version, the latest unless a number is given, as the command line writes it."""
    door = door_of(request)
    row = door.commission(commission)
    found = door.version(row, version)
    door.note("downloaded", f"{row.title}, {found.number}, over the API", row)
    return HttpResponse(zlib.decompress(found.dossier), content_type="application/json")


@router.get(
    "/commissions/{int:commission}/compare", response=Moves, url_name="api-compare", summary="Compare two versions"
)
def compare(request: HttpRequest, commission: int, before: int, after: int) -> Moves:
    """Return every figure that moved between two versions, and the questions that opened and closed."""
    door = door_of(request)
    row = door.commission(commission)
    first, second = (dossier_of(door.version(row, number)) for number in (before, after))
    return _moves(consequences(first.notes, second.notes))


@router.post(
    "/commissions/{int:commission}/preview",
    response={200: Preview, 422: Refusal},
    url_name="api-preview",
    summary="See what a change would move",
)
def preview(request: HttpRequest, commission: int, sent: Changes) -> Any:
    """Work a changed brief through and return what would move against the latest version; nothing is kept."""
    door = door_of(request)
    version = door.version(door.commission(commission))
    answer = _changed(version, sent)
    if isinstance(answer, Refusal):
        return Status(422, answer)
    assert answer.dossier is not None
    return _preview(answer, _moves(consequences(dossier_of(version).notes, answer.dossier.notes)))


@router.post(
    "/preview", response={200: Preview, 422: Refusal}, url_name="api-preview-new", summary="Work a new brief through"
)
def preview_new(request: HttpRequest, sent: Changes) -> Any:
    """Work a whole brief through with the kitchen as it stands; nothing is kept."""
    if sent.brief is None:
        return Status(422, Refusal(reason="a new commission needs a whole brief"))
    answer = _worked(sent.brief, door_of(request).kitchen.data)
    if isinstance(answer, Refusal):
        return Status(422, answer)
    return _preview(Tried(brief=sent.brief, dossier=answer), None)


@router.post(
    "/commissions/{int:commission}/versions",
    response={201: VersionLine, 409: Refusal, 422: Refusal},
    url_name="api-versions",
    summary="Keep a change as the next version",
)
def keep_version(request: HttpRequest, commission: int, sent: Kept) -> Any:
    """Keep a changed brief as the next version; refused where another version has been kept since ``base``."""
    door = door_of(request)
    row = door.commission(commission)
    version = door.version(row)
    answer = _changed(version, sent)
    if isinstance(answer, Refusal):
        return Status(422, answer)
    try:
        kept = keep(door, row, sent.base, answer, version.kitchen, sent.words or "over the API")
    except Overtaken:
        return Status(409, Refusal(reason=f"the latest version is {row.head}, not {sent.base}"))
    return Status(201, VersionLine(number=kept.number, words=kept.words, made_at=kept.made_at))


def _changed(version: Version, sent: Changes) -> Tried | Refusal:
    if (sent.brief is None) == (sent.changes is None):
        return Refusal(reason="expected either a whole brief or changes")
    brief = sent.brief if sent.brief is not None else merged(version.brief, sent.changes or {})
    answer = _worked(brief, version.kitchen)
    return answer if isinstance(answer, Refusal) else Tried(brief=brief, dossier=answer)


def merged(whole: dict[str, Any], changes: dict[str, Any]) -> dict[str, Any]:
    """Return a table with changes laid over it, as RFC 7396 has it; neither of the two is touched."""
    result = deepcopy(whole)
    for name, value in changes.items():
        if value is None:
            result.pop(name, None)
        elif isinstance(value, dict):
            old = result.get(name)
            result[name] = merged(old if isinstance(old, dict) else {}, value)
        else:
            result[name] = deepcopy(value)
    return result


def _worked(brief: dict[str, Any], kitchen: dict[str, Any]) -> Dossier | Refusal:
    try:
        return prepare(parse_commission(brief, "brief"), parse_kitchen(kitchen, "kitchen"))
    except BadInput as bad:
        wrong = [Wrong(place=p.place, found=p.found, expected=p.expected, nearest=p.nearest) for p in bad.problems]
        return Refusal(reason="the brief cannot stand", problems=wrong)
    except TierwrightError as error:
        return Refusal(reason=str(error))


def _preview(tried: Tried, moves: Moves | None) -> Preview:
    assert tried.dossier is not None
    found = tried.dossier
    return Preview(portions=found.sizing.stack.portions, questions=_asked(found.notes.questions), moves=moves)


def _refusals() -> dict[str, Any]:
    """Return what any operation may answer besides what it is asked for, for the description."""
    said = {"type": "object", "properties": {"detail": {"type": "string"}}, "required": ["detail"]}
    refusal = {"$ref": "#/components/schemas/Refusal"}
    answers = (
        ("400", "what was sent is no JSON", said),
        ("401", "no token, or one that opens nothing", said),
        ("404", "this kitchen has no such commission or version", said),
        ("422", "what was sent cannot stand", refusal),
    )
    return {
        "responses": {
            code: {"description": words, "content": {"application/json": {"schema": schema}}}
            for code, words, schema in answers
        }
    }


for _place in router.path_operations.values():
    for _operation in _place.operations:
        _operation.openapi_extra = _refusals()

api = NinjaAPI(
    title="Tierwright",
    version="1",
    description="Commissions of one kitchen. Send the token of the kitchen as `Authorization: Bearer ...`.",
    urls_namespace="api",
    docs_url=None,
)
api.add_router("", router)


@api.exception_handler(ValidationError)
def _misread(request: HttpRequest, error: ValidationError) -> HttpResponse:
    wrong = [
        Wrong(place=".".join(str(step) for step in one.get("loc", ())), found="", expected=one["msg"], nearest="")
        for one in error.errors
    ]
    return api.create_response(request, Refusal(reason="the request cannot be read", problems=wrong), status=422)


def admit_all() -> tuple[list[Any], str, str]:
    """Return the addresses; each operation asks for its token itself, and the description holds nothing private."""
    urls: tuple[list[Any], str, str] = api.urls
    patterns, app, namespace = urls
    for pattern in patterns:
        if pattern.name == "openapi-json":
            pattern.callback = require_safe(pattern.callback)
        pattern.callback.admits = Admits.ANYBODY
    return patterns, app, namespace
