"""The whole answer: counts, dismantling, boxes, kit, papers' sentences, dates and notes."""

from __future__ import annotations

from datetime import UTC, date, datetime, time

from tierwright.handover.boxes import load
from tierwright.handover.counting import KNIFE, dismantling, first_cut
from tierwright.handover.kit import pack_kit
from tierwright.handover.model import Dated, Handover, HandoverAsk, Kit, PieceToLoad
from tierwright.handover.notes import collect_notes
from tierwright.handover.release import carry_rules, taken_over

KIT_BOX_MM = (400.0, 300.0)
"""Side and height of the box or bag that a repair kit goes into. [mm] Chosen by us."""


def hand_over(ask: HandoverAsk) -> Handover:
    """
    Work out what handing a cake over takes.

    Parameters
    ----------
    ask
        The cake as it leaves, the venue, and every date that is known.

    Returns
    -------
    handover
        The same for the same input.
    """
    kit = pack_kit(ask)
    boxes = load(ask.pieces, ask.extra_pieces, None if ask.collected else _kit_piece(kit))
    lowest = next((tier for tier in ask.tiers if tier.is_cake and not tier.is_kept), None)
    cut = (
        None
        if lowest is None
        else first_cut(
            lowest,
            ask.support_places if lowest is ask.tiers[0] else (),
            depth_mm=ask.portion_depth_mm,
            two_tiers=len(ask.tiers) > 1,
        )
    )
    pieces_out = sum(line.count for line in ask.counted)
    return Handover(
        counted=ask.counted,
        pieces_out=pieces_out,
        dismantling=dismantling(ask.tiers, ask.counted),
        knife=KNIFE[ask.cut_by],
        first_cut=cut,
        boxes=boxes,
        kit=kit,
        carry_rules=carry_rules(ask),
        taken_over=taken_over(ask),
        dates=in_order(ask.dates),
        last_set_up=ask.last_set_up,
        notes=collect_notes(ask, boxes, kit, pieces_out),
    )


def _kit_piece(kit: Kit) -> PieceToLoad:
    side, height = KIT_BOX_MM
    return PieceToLoad(
        holds="the repair kit",
        footprint_mm=side,
        height_mm=height,
        mass_kg=kit.mass_g / 1000.0,
        limit_kg=0.0,
        people=1,
        where="by the door, last in and first out",
        how="closed, so that nothing rolls against the cake",
    )


def in_order(dates: tuple[Dated, ...]) -> tuple[Dated, ...]:
    """Sort dates; a whole day comes before the moments of that day."""

    def when(one: Dated) -> tuple[date, datetime]:
        if one.begins is None:
            assert one.first_day is not None
            return one.first_day, datetime.combine(one.first_day, time(), tzinfo=UTC)
        return one.begins.date(), one.begins

    return tuple(sorted(dates, key=lambda one: (when(one)[0], one.begins is not None, when(one)[1], one.key)))
