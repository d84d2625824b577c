"""Signing in and out, turning sign-in on, the people of a kitchen, and the record of what they did."""

from __future__ import annotations

from typing import Any

from django import forms
from django.conf import settings
from django.contrib import messages
from django.contrib.auth import login
from django.contrib.auth.models import User
from django.contrib.auth.password_validation import validate_password
from django.contrib.auth.views import LoginView, LogoutView
from django.core.exceptions import PermissionDenied, ValidationError
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from tierwright.brief.kitchen import UnitChoice
from tierwright.units import English, LengthUnit, MassUnit, TemperatureUnit
from tierwright.web.access import Admits, Door, anybody, owner
from tierwright.web.models import Audit, Membership, Role
from tierwright.web.people.deeds import deed_words
from tierwright.web.people.local import comes_from_this_machine, sign_in_is_on, the_maker

LANGUAGES = (("en", gettext_lazy("English")), ("es", gettext_lazy("Spanish")))
UNITS: dict[str, tuple[Any, ...]] = {
    "mass": (gettext_lazy("Weights"),
             ((MassUnit.METRIC, "g, kg"), (MassUnit.US, "oz, lb"), (MassUnit.BOTH, gettext_lazy("both")))),
    "length": (gettext_lazy("Lengths"), tuple((one, one.value) for one in LengthUnit)),
    "temperature": (gettext_lazy("Temperatures"),
                    ((TemperatureUnit.C, "°C"), (TemperatureUnit.F, "°F"),
                     (TemperatureUnit.BOTH, gettext_lazy("both")))),
    "english": (gettext_lazy("English of the trade"),
                ((English.US, gettext_lazy("US: pan, frosting")), (English.UK, gettext_lazy("UK: tin, icing")))),
}  # fmt: skip


@require_safe
@anybody
def home(request: HttpRequest) -> HttpResponse:
    """Go to the person's kitchen; or to sign-in; or say what to do where there is no kitchen."""
    if not request.user.is_authenticated:
        return HttpResponseRedirect(reverse("sign-in"))
    found = Membership.objects.filter(user_id=request.user.pk).order_by("pk").first()
    if found is None:
        return render(request, "people/no_kitchen.html", status=404)
    return HttpResponseRedirect(reverse("board", kwargs={"kitchen": found.kitchen_id}))


class SignIn(LoginView):
    """Sign in; after too many failures, wait."""

    http_method_names = ("get", "head", "post")
    template_name = "people/sign_in.html"
    redirect_authenticated_user = True

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        """Say whether this is the machine of somebody who has not turned sign-in on."""
        return super().get_context_data(**kwargs) | {"on": sign_in_is_on()}

    def form_valid(self, form: Any) -> HttpResponse:
        """Write down who came."""
        answer = super().form_valid(form)
        Audit.objects.create(user=form.get_user(), deed="signed in")
        return answer


sign_in = SignIn.as_view()
sign_in.admits = Admits.ANYBODY  # type: ignore[attr-defined]
sign_out = LogoutView.as_view(next_page="sign-in")
sign_out.admits = Admits.ANYBODY  # type: ignore[attr-defined]


def locked_out(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
    """Ask for patience after too many failures."""
    return render(request, "people/locked_out.html", {"wait": settings.AXES_COOLOFF_TIME}, status=429)


class NameAndPassword(forms.Form):
    """A name and a new password."""

    username = forms.CharField(label=gettext_lazy("Name to sign in with"), max_length=150)
    password = forms.CharField(
        label=gettext_lazy("Password"),
        strip=False,
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}),
        help_text=gettext_lazy("At least 12 characters; four unlike words do well."),
    )

    def __init__(self, *args: Any, user: User | None = None, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.user = user

    def clean_username(self) -> str:
        """Refuse a name that somebody else has."""
        name = str(self.cleaned_data["username"]).strip()
        others = User.objects.filter(username__iexact=name)
        if self.user is not None:
            others = others.exclude(pk=self.user.pk)
        if others.exists():
            raise ValidationError(_("Somebody is called that already."))
        User.username_validator(name)
        return name

    def clean_password(self) -> str:
        """Refuse a password that is short or well known."""
        password = str(self.cleaned_data["password"])
        validate_password(password, self.user or User(username=self.data.get("username", "")))
        return password


@require_http_methods(["GET", "HEAD", "POST"])
@anybody
def turn_on(request: HttpRequest) -> HttpResponse:
    """Turn sign-in on: the maker at this machine takes a name and a password."""
    maker = the_maker()
    if maker is None or sign_in_is_on() or not comes_from_this_machine(request):
        raise PermissionDenied
    form = NameAndPassword(request.POST or None, user=maker)
    if request.method == "POST" and form.is_valid():
        maker.username = form.cleaned_data["username"]
        maker.set_password(form.cleaned_data["password"])
        maker.save()
        login(request, maker, backend="django.contrib.auth.backends.ModelBackend")
        Audit.objects.create(user=maker, deed="sign-in turned on")
        messages.success(request, _("Sign-in is on from now on."))
        return HttpResponseRedirect(reverse("home"))
    return render(request, "people/turn_on.html", {"form": form}, status=422 if form.errors else 200)


@require_http_methods(["GET", "HEAD", "POST"])
@anybody
def turn_off(request: HttpRequest) -> HttpResponse:
    """Turn sign-in off again: the maker, at this machine, by the password that is given up."""
    maker = the_maker()
    if maker is None or request.user.pk != maker.pk or not sign_in_is_on() or not comes_from_this_machine(request):
        raise PermissionDenied
    wrong = request.method == "POST" and not maker.check_password(request.POST.get("password", ""))
    if request.method == "POST" and not wrong:
        maker.set_unusable_password()
        maker.save()
        Audit.objects.create(user=maker, deed="sign-in turned off")
        messages.success(request, _("Sign-in is off. These pages open on this machine alone."))
        return HttpResponseRedirect(reverse("home"))
    return render(request, "people/turn_off.html", {"wrong": wrong}, status=422 if wrong else 200)


@require_http_methods(["GET", "HEAD", "POST"])
@owner
def people(request: HttpRequest, door: Door) -> HttpResponse:
    """List the people of the kitchen; add one."""
    on = sign_in_is_on()
    form = NameAndPassword(request.POST or None)
    if request.method == "POST" and on and form.is_valid():
        role = Role.OWNER if request.POST.get("role") == Role.OWNER else Role.HELPER
        user = User.objects.create_user(form.cleaned_data["username"], password=form.cleaned_data["password"])
        Membership.objects.create(
            kitchen=door.kitchen,
            user=user,
            role=role,
            sees_prices=bool(request.POST.get("sees_prices")),
            sees_health=bool(request.POST.get("sees_health")),
        )
        door.note("person added", f"{user.username}, {role}")
        return HttpResponseRedirect(reverse("people", kwargs={"kitchen": door.kitchen.pk}))
    members = Membership.objects.filter(kitchen=door.kitchen).select_related("user").order_by("pk")
    maker = the_maker()
    context = {
        "door": door, "members": members, "form": form, "on": on,
        "may_turn_off": on and maker is not None and maker.pk == door.user.pk and comes_from_this_machine(request),
    }  # fmt: skip
    return render(request, "people/people.html", context, status=422 if form.errors else 200)


@require_POST
@owner
def person(request: HttpRequest, door: Door, person: int) -> HttpResponse:
    """Change what a person may see, or take the person out of the kitchen."""
    found = get_object_or_404(Membership, kitchen=door.kitchen, pk=person)
    if found.user_id == door.user.pk:
        messages.error(request, _("You cannot change your own place; another owner can."))
    elif request.POST.get("do") == "remove":
        door.note("person removed", str(found.user))
        found.delete()
    else:
        found.role = Role.OWNER if request.POST.get("role") == Role.OWNER else Role.HELPER
        found.sees_prices = bool(request.POST.get("sees_prices"))
        found.sees_health = bool(request.POST.get("sees_health"))
        found.save()
        door.note("person changed", f"{found.user}, {found.role}")
    return HttpResponseRedirect(reverse("people", kwargs={"kitchen": door.kitchen.pk}))


@require_http_methods(["GET", "HEAD", "POST"])
@owner
def units(request: HttpRequest, door: Door) -> HttpResponse:
    """Choose the units, the English and the language of everything that the kitchen shows."""
    kitchen = door.kitchen
    if request.method == "POST":
        chosen = dict(kitchen.data.get("units", {}))
        for name, (_label, choices) in UNITS.items():
            wanted = request.POST.get(name, "")
            if wanted in {option.value for option, _words in choices}:
                chosen[name] = wanted
        language = request.POST.get("language", "")
        if language in {value for value, _words in LANGUAGES}:
            kitchen.language = language
        kitchen.data = {**kitchen.data, "units": chosen}
        kitchen.save()
        door.note("units changed", ", ".join(f"{name} {value}" for name, value in chosen.items()))
        messages.success(request, _("Kept."))
        return HttpResponseRedirect(reverse("units", kwargs={"kitchen": kitchen.pk}))
    now = {**UnitChoice().model_dump(mode="json"), **kitchen.data.get("units", {})}
    choices = [
        (name, label, [(option.value, words) for option, words in options], now[name])
        for name, (label, options) in UNITS.items()
    ]
    return render(request, "people/units.html", {"door": door, "choices": choices, "languages": LANGUAGES})


@require_safe
@owner
def record(request: HttpRequest, door: Door) -> HttpResponse:
    """Show who did what in the kitchen, the latest first."""
    entries = Audit.objects.filter(kitchen=door.kitchen).select_related("user")[:200]
    rows = [(entry, deed_words(entry.deed)) for entry in entries]
    return render(request, "people/record.html", {"door": door, "entries": rows})
