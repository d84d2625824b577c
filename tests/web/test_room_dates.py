"""Dates inside what the rooms say, as the page's language writes them."""

from __future__ import annotations

import pytest

from tierwright.web.room_dates import dates_in
from tierwright.web.room_words import in_language


# Real Academia Española, Ortografía de la lengua española (2010): day, month and year joined by "de", names in small
# letters.
@pytest.mark.parametrize(
    ("said", "spanish"),
    [
        ("12 September 2026", "12 de septiembre de 2026"),
        ("Saturday 26 June 2027", "sábado 26 de junio de 2027"),
        ("Saturday 20:47", "sábado 20:47"),
        ("Wednesday", "miércoles"),
        ("1 May 2027", "1 de mayo de 2027"),
        ("Sat 26 Jun 2027, 15:00", "sáb 26 jun 2027, 15:00"),
        ("September 2026", "septiembre de 2026"),
        ("from Friday 09:00 to Saturday 20:47", "from viernes 09:00 to sábado 20:47"),
    ],
)
def test_days_and_months_are_said_in_spanish(said: str, spanish: str) -> None:
    assert dates_in(said, "es") == spanish


@pytest.mark.parametrize(
    "name", ["May", "Sun", "April Jones", "Saturday market", "March and Sons", "12 Maywood", "12 g"]
)
def test_names_that_are_no_dates_stay(name: str) -> None:
    assert dates_in(name, "es") == name


def test_a_sentence_of_the_rooms_has_its_dates_said_too() -> None:
    assert in_language("Start a day earlier, on Saturday 20:47", "es") == "Empezar un día antes, el sábado 20:47"
    said = in_language("Handover on 12 September 2026 instead of Sat 26 Jun 2027.", "es")
    assert said == "Entrega el 12 de septiembre de 2026 en lugar del sáb 26 jun 2027."
