"""``tierwright password``: turn sign-in on where no page can be opened yet, or set a password anew."""

from __future__ import annotations

import getpass
import sys
from typing import Annotated

import typer

from tierwright.cli import app


@app.command("password", epilog="Example: `tierwright password`")
def password(
    name: Annotated[str, typer.Argument(help="Whose; the maker whose machine this is unless given.")] = "",
    as_json: Annotated[bool, typer.Option("--json", help="Print JSON instead of lines.")] = False,
) -> None:
    """Set a password, asked for here or read from the input; with the maker's own, everybody signs in from then on."""
    from tierwright.errors import BadInput, Problem
    from tierwright.web.serve import set_up

    set_up()
    from django.contrib.auth.models import User
    from django.contrib.auth.password_validation import validate_password
    from django.core.exceptions import ValidationError

    from tierwright.cli.report import print_json, print_lines
    from tierwright.web.people.local import ensure_maker

    maker = ensure_maker()
    user = User.objects.filter(username=name).first() if name else maker
    if user is None:
        known = ", ".join(User.objects.order_by("pk").values_list("username", flat=True)[:10])
        raise BadInput([Problem(place="name", found=name, expected="somebody who is known here", nearest=known)])
    typed = getpass.getpass("New password: ") if sys.stdin.isatty() else sys.stdin.readline().rstrip("\n")
    if sys.stdin.isatty() and getpass.getpass("Once more: ") != typed:
        raise BadInput([Problem(place="password", found="two that differ", expected="the same twice")])
    try:
        validate_password(typed, user)
    except ValidationError as error:
        problems = [Problem(place="password", found="what was typed", expected=words) for words in error.messages]
        raise BadInput(problems) from None
    user.set_password(typed)
    user.save()
    if as_json:
        print_json({"name": user.username})
    else:
        print_lines([f"{user.username} signs in with this password from now on."])
