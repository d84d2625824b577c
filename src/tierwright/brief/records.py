"""What the maker has had measured of a food and written down: water activity and acidity."""

from __future__ import annotations

from datetime import date
from typing import Annotated

from pydantic import Field

from tierwright.brief.fields import Form, Text


class MeasuredActivity(Form):
    """A measured water activity: with what meter or by which laboratory, on which day, by whom."""

    value: Annotated[float, Field(ge=0, le=1)]
    method: Text
    on: date
    by: Text


class MeasuredAcidity(Form):
    """A measured pH: with what meter or by which laboratory, on which day, by whom."""

    value: Annotated[float, Field(ge=0, le=14)]
    method: Text
    on: date
    by: Text


class Measured(Form):
    """
    What was measured of a formula as it is made; a strip of paper or a guess is no measurement and has no place here.

    It holds for the formula as it stood that day: with other lines it has to be measured again.
    """

    water_activity: MeasuredActivity | None = None
    ph: MeasuredAcidity | None = None
