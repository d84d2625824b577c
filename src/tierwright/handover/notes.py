"""What handing over has to say beside its lists: figures, cautions, and what was assumed."""

from __future__ import annotations

from typing import Final

from tierwright.handover.kit import (
    BAG_G,
    FLOWERS_SPARE,
    PATCH_CM2,
    SPARE_EVERY,
    WORKED_TWICE,
    spare_coat_g,
)
from tierwright.handover.model import Box, HandoverAsk, Kind, Kit
from tierwright.handover.venue import ask_venue
from tierwright.words import listed
from tierwright.working import (
    ARITHMETIC,
    COMMON_PRACTICE,
    Assumption,
    Basis,
    Caution,
    Figure,
    Given,
    Notes,
    Question,
    Severity,
    Source,
)

SHEET: Final = "handover"
LIFTING: Final = Source(
    basis=Basis.PUBLISHED,
    text="Waters, Putz-Anderson and Garg, Applications Manual for the Revised NIOSH Lifting Equation (94-110)",
)
FOOD_CODE: Final = Source(basis=Basis.PUBLISHED, text="FDA Food Code 2022, 3-501.19; the local code goes first")


def collect_notes(ask: HandoverAsk, boxes: tuple[Box, ...], kit: Kit, pieces_out: int) -> Notes:
    """Return figures, questions, cautions and assumptions of a handover."""
    return Notes(
        figures=_figures(ask, boxes, kit, pieces_out),
        questions=(*ask_venue(ask), *_short_spares(ask)),
        cautions=_cautions(ask, boxes, pieces_out),
        assumptions=_assumptions(ask),
    )


def _figures(ask: HandoverAsk, boxes: tuple[Box, ...], kit: Kit, pieces_out: int) -> tuple[Figure, ...]:
    kinds: dict[Kind, int] = {}
    for line in ask.counted:
        kinds[line.kind] = kinds.get(line.kind, 0) + line.count
    found = [
        Figure(
            key="set_up.pieces_out",
            label="Pieces to count out before serving",
            value=float(pieces_out),
            equation="boards + supports + rod + picks + wires, all tiers",
            inputs=tuple(Given(name=kind.value, value=float(count)) for kind, count in kinds.items()),
            source=ARITHMETIC,
            sheet=SHEET,
        )
    ]
    if ask.last_set_up is not None:
        found.insert(
            0,
            Figure(
                key="set_up.last",
                label="Last set-up",
                value=f"{ask.last_set_up:%a} {ask.last_set_up.day} {ask.last_set_up:%b}, {ask.last_set_up:%H:%M}",
                equation="the earlier of half an hour before the cutting and when the venue closes its doors",
                inputs=(Given(name="cutting", value=f"{ask.cutting_at:%H:%M}"),),
                source=COMMON_PRACTICE,
                sheet=SHEET,
            ),
        )
    if ask.whole_g is not None:
        found.append(
            Figure.of(
                ask.whole_g,
                key="handover.on_table_g",
                label="Weight on the cake table",
                unit="g",
                equation="all tiers with boards, supports and decoration, and the base board",
                source=ARITHMETIC,
                sheet=SHEET,
            )
        )
    if boxes:
        heaviest = max(boxes, key=lambda box: box.piece.mass_kg)
        found.append(
            Figure(
                key="handover.heaviest_g",
                label="Heaviest box",
                value=1000.0 * heaviest.piece.mass_kg,
                unit="g",
                equation="heavy end of the mass of what it holds + box",
                inputs=(
                    Given(name="holds", value=heaviest.piece.holds),
                    Given(name="one person lifts at that reach", value=1000.0 * heaviest.piece.limit_kg, unit="g"),
                ),
                source=LIFTING,
                sheet=SHEET,
            )
        )
    found += [
        Figure(
            key=f"handover.spare.{coat.key}_g",
            label=f"Spare {coat.name} for mending",
            value=spare_coat_g(coat),
            unit="g",
            equation="tiers × patch × mass per area × 2 + bag, rounded up to 10 g",
            inputs=(
                Given(name="tiers", value=float(coat.tiers)),
                Given(name="patch", value=PATCH_CM2, unit="cm2"),
                Given(name="mass per cm²", value=round(coat.g_per_cm2, 3), unit="g"),
                Given(name="bag", value=BAG_G, unit="g"),
            ),
            source=COMMON_PRACTICE,
            sheet=SHEET,
        )
        for coat in ask.coats
    ]
    found.append(
        Figure(
            key="handover.kit_g",
            label="Weight of the repair kit",
            value=kit.mass_g,
            unit="g",
            equation="spares + tools, box left out",
            source=Source(basis=Basis.FROM_MEMORY, text="usual weights of the tools"),
            sheet=SHEET,
        )
    )
    return tuple(found)


def _short_spares(ask: HandoverAsk) -> tuple[Question, ...]:
    """Ask once where the bowls do not leave enough over to mend with."""
    short = [coat for coat in ask.coats if coat.over_g is not None and coat.over_g < spare_coat_g(coat)]
    if not short:
        return ()
    more = [f"{spare_coat_g(coat) - (coat.over_g or 0.0):.0f} g of {coat.name}" for coat in short]
    return (
        Question(
            key="handover.spare_coats",
            severity=Severity.NOTE,
            sheet=SHEET,
            text="Where do the spare coats for mending come from?",
            reason="The bowls are made to fit, and a coat made on another day hardly ever has the same colour.",
            figure=f"missing: {listed(more)}",
            change=f"make {listed(more)} more, and set it aside before coating",
        ),
    )


def _cautions(ask: HandoverAsk, boxes: tuple[Box, ...], pieces_out: int) -> tuple[Caution, ...]:
    said: list[Caution] = []

    def mind(key: str, step: str, text: str, reason: str, source: Source = COMMON_PRACTICE) -> None:
        said.append(Caution(key=f"handover.{key}", sheet=SHEET, step=step, text=text, reason=reason, source=source))

    if pieces_out:
        mind(
            "count_out", "counting",
            f"All {pieces_out} pieces out and ticked before the first plate is served; one short, and serving waits "
            "until it is found.",
            "Supports, picks and wires are hidden in the cake: they choke, cut and break teeth.",
        )  # fmt: skip
    mind(
        "knife", "cutting",
        "Blade away from the body; set it down on the table, never into the water jug; nobody reaches across.",
        "A wet blade that nobody sees cuts hands.",
    )  # fmt: skip
    heavy = [box.piece for box in boxes if box.piece.people > 1]
    if heavy:
        worst = max(heavy, key=lambda piece: piece.mass_kg)
        limit = f"; one person lifts {worst.limit_kg:.1f} kg at that reach" if worst.limit_kg else ""
        by = "two people" if worst.people == 2 else "two people with a trolley, no stairs"
        mind(
            "lifting", "lifting", f"{worst.holds[:1].upper()}{worst.holds[1:]}, {worst.mass_kg:.1f} kg: {by}{limit}.",
            "It is held away from the body, and cannot be put down in a hurry.", LIFTING,
        )  # fmt: skip
    mind(
        "allergens", "serving",
        "Serve by the allergen card; send every guest who asks to it, never to memory. One knife carries everything "
        "from tier to tier: a clean knife and board for the first slices of the tier that matters.",
        "A trace is enough for an allergic guest, and a card that stays in the kitchen helps nobody.",
    )  # fmt: skip
    if ask.stands_cold:
        until = "" if ask.throw_away_by is None else f" Throw away what is left by {ask.throw_away_by:%A %H:%M}."
        mind(
            "cold", "keeping",
            f"Keep it cold until the time on this card, and do not chill it again to keep it.{until}",
            "From the moment it leaves the cold one clock runs, and it cannot be set back.", FOOD_CODE,
        )  # fmt: skip
    return tuple(said)


def _assumptions(ask: HandoverAsk) -> tuple[Assumption, ...]:
    found = [
        Assumption(
            key="handover.patch",
            text="Spare coat: a patch on each tier, filled and skimmed, and what sticks in the bag",
            value=f"{PATCH_CM2:.0f} cm² × {WORKED_TWICE:g}, {BAG_G:.0f} g",
            source=COMMON_PRACTICE,
        )
    ]
    if ask.supports:
        found.append(
            Assumption(
                key="handover.spare_supports",
                text="Spare supports",
                value=f"one for every {SPARE_EVERY}, at least one of each kind",
                source=COMMON_PRACTICE,
            )
        )
    if any(not flower.spares for flower in ask.flowers):
        found.append(
            Assumption(
                key="handover.spare_flowers",
                text="Spare flowers, where none were counted in",
                value=f"{FLOWERS_SPARE:.0%}",
                source=COMMON_PRACTICE,
            )
        )
    return tuple(found)
