"""The client's page, and the maker's page of links, questions put and answers given."""

from __future__ import annotations

from typing import Any, Final

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils import timezone, translation
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from tierwright.dossier import Dossier
from tierwright.web.access import Door, anybody, language_of, owner, zone_of
from tierwright.web.dates import day_words
from tierwright.web.frame.desk import MOMENT, Desk, dossier_of, draw, lay_out
from tierwright.web.frame.reading import page
from tierwright.web.look.making import picture_for
from tierwright.web.models import ClientLink, ClientQuestion, Commission, Version
from tierwright.web.money.offers import offer_standing
from tierwright.web.shared.known import allergens_of, tier_words
from tierwright.web.shared.links import DAYS, link_of, make_link, open_questions
from tierwright.working import Severity

LONGEST: Final = 2000
MOST_QUESTIONS: Final = 30


def _back(desk: Desk) -> HttpResponseRedirect:
    return HttpResponseRedirect(desk.url("shared-desk"))


def _page(request: HttpRequest, desk: Desk, **more: Any) -> HttpResponse:
    taken = set(open_questions(desk.commission))
    offered = [q for q in desk.questions if q.severity >= Severity.ASK and q.key not in taken]
    context = {
        "links": desk.commission.client_links.all(),
        "asked": desk.commission.client_questions.filter(withdrawn_at=None),
        "offered": offered,
        "days": DAYS,
        "now": timezone.now(),
    }
    answer = page(request, desk, "shared/desk.html", "client", **(context | more))
    answer["Cache-Control"] = "no-store"
    return answer


@require_http_methods(["GET", "HEAD", "POST"])
@owner
def desk(request: HttpRequest, door: Door, commission: int) -> HttpResponse:
    """Show the client's links, the questions put and their answers; make a link."""
    laid = lay_out(door, commission)
    if request.method != "POST":
        answer = _page(request, laid)
        # What stands on the page now has been read.
        ClientQuestion.objects.filter(commission=laid.commission, seen_at=None).exclude(answered_at=None).update(
            seen_at=timezone.now()
        )
        return answer
    days = request.POST.get("days", "")
    if days not in {str(known) for known in DAYS}:
        return _refused(request, laid, _("Choose how long the link lasts."))
    link, token = make_link(laid.commission, int(days))
    door.note("link made", f"{laid.commission.title}, until {link.expires_at:%Y-%m-%d}", laid.commission)
    address = request.build_absolute_uri(reverse("shared", kwargs={"token": token}))
    # The token is shown once, on this page: only its digest is kept.
    return _page(request, laid, fresh=address, fresh_until=link.expires_at)


def _refused(request: HttpRequest, laid: Desk, words: str, **more: Any) -> HttpResponse:
    answer = _page(request, laid, wrong=words, **more)
    answer.status_code = 422
    return answer


@require_POST
@owner
def withdraw(request: HttpRequest, door: Door, commission: int, link: int) -> HttpResponse:
    """Withdraw a link: it opens nothing from now on."""
    laid = lay_out(door, commission)
    found = get_object_or_404(ClientLink, commission=laid.commission, pk=link)
    if found.withdrawn_at is None:
        found.withdrawn_at = timezone.now()
        found.save(update_fields=["withdrawn_at"])
        door.note("link withdrawn", laid.commission.title, laid.commission)
    messages.success(request, _("The link is withdrawn."))
    return _back(laid)


@require_POST
@owner
def ask(request: HttpRequest, door: Door, commission: int) -> HttpResponse:
    """Put open questions of the dossier, and one in the maker's own words, to the client."""
    laid = lay_out(door, commission)
    taken = set(open_questions(laid.commission))
    wanted = set(request.POST.getlist("question"))
    put = [(q.key, q.text[:1000]) for q in laid.questions if q.key in wanted and q.key not in taken]
    own = request.POST.get("own", "").strip()
    if len(own) > 1000:
        return _refused(request, laid, _("At most 1,000 characters."), own=own)
    if own:
        put.append(("", own))
    if not put:
        return _refused(request, laid, _("Choose a question, or write one."), own=own)
    if laid.commission.client_questions.filter(withdrawn_at=None).count() + len(put) > MOST_QUESTIONS:
        return _refused(request, laid, _("At most 30 questions at a time: take some back first."), own=own)
    for key, text in put:
        ClientQuestion.objects.create(commission=laid.commission, key=key, text=text, asked_by=door.user)
    door.note("asked the client", laid.commission.title, laid.commission)
    return _back(laid)


@require_POST
@owner
def unask(request: HttpRequest, door: Door, commission: int, question: int) -> HttpResponse:
    """Take a question back, or put it to the client again."""
    laid = lay_out(door, commission)
    found = get_object_or_404(ClientQuestion, commission=laid.commission, pk=question)
    if found.withdrawn_at is not None:
        found.withdrawn_at = None
    else:
        found.withdrawn_at = timezone.now()
        again = laid.url("shared-unask", question=found.pk)
        messages.success(request, _("The question is taken back."), extra_tags=f"undo {again}")
    found.save(update_fields=["withdrawn_at"])
    return _back(laid)


def sealed(answer: HttpResponse) -> HttpResponse:
    """Keep a client's page out of caches and search engines; the address itself is told to no other site."""
    answer["Cache-Control"] = "no-store, private"
    answer["X-Robots-Tag"] = "noindex, nofollow, noarchive"
    answer["Referrer-Policy"] = "same-origin"
    return answer


def _cakes(dossier: Dossier) -> list[tuple[str, str, int]]:
    """Return every tier and kitchen cake with its flavour and its portions."""
    flavours = [flavour.name for flavour in dossier.commission.cake.flavours]
    stack = dossier.sizing.stack
    cakes = [
        (tier_words(tier.name), tier.flavour, 0 if tier.keepsake or tier.cutting is None else tier.cutting.portions)
        for tier in stack.tiers
    ]
    hidden = _("kitchen cake, cut out of sight")
    cakes += [(hidden, cake.flavour, cake.count * cake.cutting.portions) for cake in stack.kitchen_cakes]
    return [
        (name, flavours[flavour] if 0 <= flavour < len(flavours) else "", portions) for name, flavour, portions in cakes
    ]


def _opened(token: str) -> tuple[ClientLink, Commission, Version]:
    link = link_of(token)
    if link is None:
        # Withdrawn, ended or never made: the same answer.
        raise Http404
    commission = link.commission
    number = commission.quoted or commission.head
    return link, commission, get_object_or_404(Version, commission=commission, number=number)


@require_safe
@never_cache
@anybody
def shared(request: HttpRequest, token: str) -> HttpResponse:
    """Show the client their cake: picture, portions, what is known of allergens, questions to answer."""
    return _shared(request, token)


def _shared(
    request: HttpRequest, token: str, typed: dict[int, str] | None = None, wrong: dict[int, str] | None = None
) -> HttpResponse:
    link, commission, version = _opened(token)
    kitchen = commission.kitchen
    with translation.override(language_of(kitchen)), timezone.override(zone_of(kitchen)):
        dossier = dossier_of(version)
        questions = [
            {
                "row": question,
                "text": (typed or {}).get(question.pk, question.answer),
                "wrong": (wrong or {}).get(question.pk, ""),
            }
            for question in commission.client_questions.filter(withdrawn_at=None)
        ]
        context = {
            "token": token,
            "link": link,
            "commission": commission,
            "kitchen_name": kitchen.name,
            "brief": dossier.commission,
            "cutting": day_words(dossier.commission.cutting_at, MOMENT),
            "cakes": _cakes(dossier),
            "portions": dossier.sizing.stack.portions,
            "drawing": draw(dossier),
            "picture": picture_for(commission, dossier),
            "allergens": allergens_of(dossier),
            "questions": questions,
            "quoted": commission.quoted == version.number,
            "offered": offer_standing(commission),
        }
        return sealed(render(request, "shared/client.html", context, status=422 if wrong else 200))


@require_POST
@never_cache
@anybody
def reply(request: HttpRequest, token: str) -> HttpResponse:
    """Take the client's answers; an answer may be changed as long as the link opens."""
    link, commission, _version = _opened(token)
    typed: dict[int, str] = {}
    wrong: dict[int, str] = {}
    questions = list(commission.client_questions.filter(withdrawn_at=None))
    with translation.override(language_of(commission.kitchen)):
        for question in questions:
            text = request.POST.get(f"answer-{question.pk}")
            if text is None:
                continue
            typed[question.pk] = text.replace("\r\n", "\n").strip()
            if len(typed[question.pk]) > LONGEST:
                wrong[question.pk] = _("At most 2,000 characters.")
        if wrong:
            return _shared(request, token, typed, wrong)
        for question in questions:
            text = typed.get(question.pk, question.answer)
            if text != question.answer:
                question.answer, question.answered_at = text, timezone.now()
                question.answered_by, question.seen_at = link, None
                question.save(update_fields=["answer", "answered_at", "answered_by", "seen_at"])
        messages.success(request, _("Thank you. Your answers are with the maker."))
    return sealed(HttpResponseRedirect(reverse("shared", kwargs={"token": token})))
