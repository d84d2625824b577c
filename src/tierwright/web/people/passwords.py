"""What a password may be, and the page on which anybody signed in chooses another one."""

from __future__ import annotations

from typing import Any, Final

from django.contrib import messages
from django.contrib.auth.models import User
from django.contrib.auth.views import PasswordChangeView
from django.core.exceptions import ValidationError
from django.http import HttpRequest, HttpResponse, HttpResponseBase, HttpResponseRedirect
from django.urls import reverse, reverse_lazy
from django.utils.translation import gettext as _

from tierwright.web.access import Admits
from tierwright.web.models import Audit, Membership

LONGEST: Final = 128
"""OWASP ASVS 4.0.3, 2.1.2: anything longer only keeps the hash busy."""


class LongestPassword:
    """Refuses a password that is longer than any hand or manager makes it."""

    def validate(self, password: str, user: User | None = None) -> None:  # noqa: ARG002 (Django's signature)
        """Raise ValidationError where there are more than 128 characters."""
        if len(password) > LONGEST:
            raise ValidationError(self.get_help_text(), code="password_too_long")

    def get_help_text(self) -> str:
        """Return the rule in words."""
        return _("At most %(most)d characters.") % {"most": LONGEST}


class OwnPassword(PasswordChangeView):
    """Choose another password by the one that is given up; whoever is signed in elsewhere has to sign in again."""

    template_name = "people/password.html"
    success_url = reverse_lazy("home")
    http_method_names = ("get", "head", "post")

    def dispatch(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponseBase:
        """Lead on to turning sign-in on where nobody has a password yet."""
        if request.user.is_authenticated and not request.user.has_usable_password():
            return HttpResponseRedirect(reverse("turn-on"))
        return super().dispatch(request, *args, **kwargs)

    def get_form(self, form_class: Any = None) -> Any:
        """Return the form with the same hint as wherever else a password is chosen."""
        form = super().get_form(form_class)
        form.fields["new_password1"].help_text = _("At least 12 characters; four unlike words do well.")
        return form

    def form_valid(self, form: Any) -> HttpResponse:
        """Write down in each kitchen of theirs that it was changed: no mail is sent."""
        answer = super().form_valid(form)
        for membership in Membership.objects.filter(user=form.user):
            Audit.objects.create(kitchen_id=membership.kitchen_id, user=form.user, deed="password changed")
        messages.success(self.request, _("Your password is changed. Elsewhere you have to sign in again."))
        return answer

    def form_invalid(self, form: Any) -> HttpResponse:
        """Say what is wrong."""
        answer = super().form_invalid(form)
        answer.status_code = 422
        return answer


own_password = OwnPassword.as_view()
own_password.admits = Admits.ANYBODY  # type: ignore[attr-defined]
