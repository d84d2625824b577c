"""What must hold between the fields of a brief, beyond each field by itself."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable
from difflib import get_close_matches

from tierwright.brief.colours import check_colours
from tierwright.brief.commission import Commission
from tierwright.brief.decor import check_decor
from tierwright.brief.kitchen import Kitchen, RodUse
from tierwright.brief.money import check_accounts
from tierwright.brief.packets import check_packets, check_wish
from tierwright.brief.venue_file import check_handing_over
from tierwright.errors import Problem
from tierwright.larder import boards, egg_grades, find, pan_materials, pans, supports
from tierwright.shapes import Shape

CENTRE_ROD = "centre rod"
Report = Callable[..., None]
"""Report one problem: where, what was found, what was expected, and the nearest that would work."""


def check_commission(commission: Commission, place: str) -> list[Problem]:
    """List every contradiction in a commission."""
    problems: list[Problem] = []

    def report(where: str, found: str, expected: str, nearest: str = "") -> None:
        problems.append(Problem(place=f"{place}: {where}", found=found, expected=expected, nearest=nearest))

    guests = commission.guests
    if guests.attending is not None and guests.attending.high > guests.invited:
        report("guests.attending", f"up to {guests.attending.high:.0f}", f"at most the {guests.invited} invited")
    if guests.eating_cake is not None and not 0 < guests.eating_cake.low <= guests.eating_cake.high <= 1:
        report("guests.eating_cake", f"{guests.eating_cake.high:g}", "a share above 0 % and up to 100 %")
    if (
        commission.venue.humidity is not None
        and not 0 <= commission.venue.humidity.low <= commission.venue.humidity.high <= 1
    ):
        report("venue.humidity", f"{commission.venue.humidity.high:g}", "a share from 0 % to 100 %")
    if not -20 <= commission.venue.temperature.low <= commission.venue.temperature.high <= 50:
        report("venue.temperature", f"{commission.venue.temperature.value:g} C", "from -20 C to 50 C", "18 to 29 C")
    cabin = commission.travel.cabin
    if cabin is not None and not -20 <= cabin.low <= cabin.high <= 60:
        report("travel.cabin", f"{cabin.value:g} C", "from -20 C to 60 C", "20 C")

    _check_formulas(commission, report)
    numbers = Counter(tier.number for tier in commission.cake.fixed)
    for number, times in numbers.items():
        if times > 1:
            report("cake.fixed", f"tier {number} fixed {times} times", "each tier once")
        if commission.cake.tiers is not None and number > commission.cake.tiers:
            report("cake.fixed", f"tier {number}", f"a tier from 1 to {commission.cake.tiers}")
    for position, tier in enumerate(commission.cake.fixed, start=1):
        if tier.shape is Shape.RECTANGLE and tier.length is None:
            report(f"cake.fixed[{position}].length", "nothing", "the shorter side of a rectangle, such as '9 in'")
    _check_supports(commission, report)
    check_handing_over(commission.venue.file, commission.handing_over, report)
    check_wish(commission.labelling, report)
    _check_decor(commission, report)
    highest = commission.travel.highest
    if highest is not None and highest < commission.venue.altitude:
        at_venue = f"{commission.venue.altitude:g} m"
        report("travel.highest", f"{highest:g} m", f"at least the venue's altitude, {at_venue}", at_venue)
    window = commission.venue.access
    if window is not None and not window.opens <= commission.day.handover <= window.closes:
        span = f"{window.opens:%H:%M} to {window.closes:%H:%M}"
        report(
            "day.handover",
            f"{commission.day.handover:%H:%M}",
            f"within the venue's access, {span}",
            f"{window.closes:%H:%M}",
        )
    wait = (commission.cutting_at - commission.handover_at).total_seconds() / 3600
    if wait > 18:
        report("day.cutting", f"{wait:.0f} h after the handover", "a cutting within 18 h of the handover")
    return problems


def _check_supports(commission: Commission, report: Report) -> None:
    layouts = commission.cake.supports
    for number, times in Counter(layout.tier for layout in layouts).items():
        if times > 1:
            report("cake.supports", f"tier {number} set {times} times", "each tier once")
    for position, layout in enumerate(layouts, start=1):
        where = f"cake.supports[{position}]"
        known = supports().get(layout.support)
        if known is None:
            near = get_close_matches(layout.support, list(supports()), n=1, cutoff=0.3)
            report(f"{where}.support", repr(layout.support), "the key of a support in the table", "".join(near))
        elif known.kind == CENTRE_ROD:
            report(f"{where}.support", repr(layout.support), "a support that carries; a centre rod does not")
        if commission.cake.tiers is not None and layout.tier >= commission.cake.tiers:
            report(f"{where}.tier", str(layout.tier), "a tier with another one on it")
        if len(set(layout.places)) < len(layout.places):
            report(f"{where}.places", "two supports in one place", "places that differ")


def _check_decor(commission: Commission, report: Report) -> None:
    keys = [formula.key for formula in commission.formulas]
    check_decor(commission.decor, keys, _is_bought, report)


def _is_bought(key: str) -> bool:
    return find(key.replace("-", " ")).ingredient is not None


def _check_formulas(commission: Commission, report: Report) -> None:
    keys = [formula.key for formula in commission.formulas]
    for key, times in Counter(keys).items():
        if times > 1:
            report("formulas", f"{times} formulas with the key {key!r}", "keys that differ")
    for position, formula in enumerate(commission.formulas, start=1):
        if not formula.lines and not formula.page:
            report(f"formulas[{position}]", "neither lines nor a page", "ingredient lines, or the file that holds them")
        if formula.egg_size not in egg_grades():
            near = get_close_matches(formula.egg_size, list(egg_grades()), n=1, cutoff=0.3)
            expected = f"one of {', '.join(egg_grades())}"
            report(f"formulas[{position}].egg_size", repr(formula.egg_size), expected, "".join(near))
    batters = {formula.key for formula in commission.formulas if formula.kind.is_batter}
    for position, flavour in enumerate(commission.cake.flavours, start=1):
        where = f"cake.flavours[{position}]"
        if flavour.cake not in batters:
            near = get_close_matches(flavour.cake, sorted(batters), n=1, cutoff=0.3)
            expected = f"the key of a cake formula ({', '.join(sorted(batters)) or 'none is given'})"
            report(f"{where}.cake", repr(flavour.cake), expected, "".join(near))
        for name in ("filling", "coat", "soak", "rolled"):
            key = getattr(flavour, name)
            if key is not None and key not in keys and not _is_bought(key):
                near = get_close_matches(key, keys, n=1, cutoff=0.3)
                report(
                    f"{where}.{name}", repr(key), "the key of a formula or a bought ingredient's name", "".join(near)
                )


def _is_rod(key: str) -> bool:
    return key in supports() and supports()[key].kind == CENTRE_ROD


def check_kitchen(kitchen: Kitchen, place: str) -> list[Problem]:
    """List every contradiction in a kitchen, names that no table holds included."""
    problems: list[Problem] = []

    def report(where: str, found: str, expected: str, nearest: str = "") -> None:
        problems.append(Problem(place=f"{place}: {where}", found=found, expected=expected, nearest=nearest))

    def unknown(where: str, kind: str, key: str, table: Iterable[str]) -> None:
        near = get_close_matches(key, list(table), n=1, cutoff=0.3)
        report(where, repr(key), f"the key of a {kind} in the table", "".join(near))

    for position, owned in enumerate(kitchen.pans, start=1):
        where = f"pans[{position}]"
        if owned.pan is not None:
            if owned.pan not in pans():
                unknown(f"{where}.pan", "pan", owned.pan, pans())
            if owned.shape is not None or owned.width is not None:
                report(where, "a key and measures", "either the key of a pan or its own measures")
        elif owned.shape is None or owned.width is None or owned.depth is None:
            report(where, "no key, and not all of shape, width and depth", "a pan's key, or its shape, width and depth")
        elif owned.shape is Shape.RECTANGLE and owned.length is None:
            report(f"{where}.length", "nothing", "the shorter side of a rectangle, such as '9 in'")
        if owned.material is not None and owned.material not in pan_materials():
            unknown(f"{where}.material", "pan material", owned.material, pan_materials())
    for position, board in enumerate(kitchen.boards, start=1):
        if board.board not in boards():
            unknown(f"boards[{position}].board", "board", board.board, boards())
    for position, support in enumerate(kitchen.supports, start=1):
        if support.support not in supports():
            unknown(f"supports[{position}].support", "support", support.support, supports())
    rod = kitchen.carrying.centre_rod
    owned_rods = [entry for entry in kitchen.supports if _is_rod(entry.support)]
    if rod in (RodUse.LOOSE, RodUse.ANCHORED) and not owned_rods:
        rods = ", ".join(key for key in supports() if _is_rod(key))
        report("carrying.centre_rod", repr(rod.value), f"a centre rod among the supports ({rods})")
    for position, price in enumerate(kitchen.prices, start=1):
        match = find(price.ingredient)
        if match.ingredient is None:
            near = ", ".join(candidate.name_us for candidate in match.candidates[:3])
            report(f"prices[{position}].ingredient", repr(price.ingredient), "an ingredient of the table", near)
    check_accounts(kitchen.accounts, kitchen.prices, report)
    check_colours(kitchen.colours, report)
    check_packets(kitchen.labelling, report)
    for person, hand in enumerate(kitchen.hands, start=1):
        for stretch, hours in enumerate(hand.hours, start=1):
            if hours.begin >= hours.end:
                found = f"{hours.begin:%H:%M} to {hours.end:%H:%M}"
                report(f"hands[{person}].hours[{stretch}]", found, "hours that begin before they end")
    return problems
