"""The day of making, the batch number and the date mark of a cake, with the reason for its kind."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Final

from tierwright.brief import Commission, Kitchen
from tierwright.brief.commission import Jurisdiction
from tierwright.brief.packets import BatchRule
from tierwright.keeping import Keeping, clocks
from tierwright.label import DateKind, Durability
from tierwright.words import listed
from tierwright.working import COMMON_PRACTICE, Notes, Question, Severity

FAHRENHEIT: Final = frozenset({Jurisdiction.US})
"""Places whose storage words are in degrees Fahrenheit."""


def made_on(commission: Commission, keeping: Keeping | None) -> date | None:
    """Return the day on which the cake is put together: as the maker wrote it, else as the keeping plans it."""
    if commission.labelling.made_on is not None:
        return commission.labelling.made_on
    return None if keeping is None else keeping.begins.date()


def batch_of(commission: Commission, kitchen: Kitchen, made: date | None) -> str:
    """
    Return the batch number: what the commission says, else by the kitchen's rule from the day of making.

    ``day`` writes 20260612, ``year-day`` 26-163; empty where it has to be asked for.
    """
    if commission.labelling.batch or made is None:
        return commission.labelling.batch
    rule = kitchen.labelling.batch
    if rule is BatchRule.DAY:
        return f"{made:%Y%m%d}"
    return f"{made:%y}-{made:%j}" if rule is BatchRule.YEAR_DAY else ""


def durability_of(commission: Commission, keeping: Keeping | None) -> Durability | None:
    """
    Return the date mark of a cake from its keeping; None where the keeping does not know.

    A cake with a part that needs time and temperature control gets 'use by': the day on which the first clock out of
    the cold ends, and never later than its shortest-lived part lasts in the cold. Every other cake gets 'best before':
    the day up to which its shortest-lived part is at its best.
    """
    made = made_on(commission, keeping)
    if keeping is None or made is None:
        return None
    place = commission.jurisdiction
    controlled = [one for one in keeping.safety if one.is_controlled]
    if controlled:
        cold = [one.fridge_days for one in controlled if one.fridge_days is not None]
        ends = keeping.card.throw_away_by or keeping.card.eat_by
        day = min([ends.date(), *(made + timedelta(days=int(days)) for days in cold)])
        names = listed(sorted({one.name for one in controlled}))
        limit_c = clocks(place.value)[0].above_c
        limit = f"{limit_c * 9 / 5 + 32:.0f} °F" if place in FAHRENHEIT else f"{limit_c:.0f} °C"
        return Durability(
            kind=DateKind.USE_BY,
            day=day,
            reason=f"{names}: {controlled[0].standing.value}; out of the cold until {ends:%H:%M}, {ends.day} {ends:%B}",
            storage=f"Keep refrigerated at {limit} or below. Once out of the cold, eat by {ends:%H:%M}.",
            storage_french=f"Garder au réfrigérateur à {limit} ou moins. Une fois sorti du froid, consommer avant "
            f"{ends:%H} h {ends:%M}.",
        )
    spans = [(one.fridge_days if one.room_days is None else one.room_days, one) for one in keeping.safety]
    known = [(days, one) for days, one in spans if days is not None]
    if not known:
        return None
    days, shortest = min(known, key=lambda pair: pair[0])
    return Durability(
        kind=DateKind.BEST_BEFORE,
        day=made + timedelta(days=int(days)),
        reason=f"{shortest.name} is at its best for {days:g} days; no part needs time or temperature control as far as "
        "is known",
        storage="Keep in a cool, dry place out of the sun.",
        storage_french="Conserver au frais et au sec, à l’abri du soleil.",
    )


def note_dates(commission: Commission, durability: Durability | None) -> Notes:
    """Ask about a date mark that the cake would outlive before it is cut."""
    cutting = commission.cutting_at.date()
    if durability is None or durability.day >= cutting:
        return Notes()
    return Notes(
        questions=(
            Question(
                key="label.date_before_cutting",
                severity=Severity.STOP,
                sheet="labels",
                text=f"The date mark is {durability.day.isoformat()}, and the cake is cut on {cutting.isoformat()}. "
                "What is made later, or swapped?",
                reason=f"{durability.reason} ({COMMON_PRACTICE}).",
                change="finish it nearer to the day, or take parts that keep longer",
            ),
        )
    )
