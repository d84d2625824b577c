"""From coated tiers, boards and the road to whether the cake stands and survives the way."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Final

from tierwright.brief import Commission, FormulaSheet, Kitchen
from tierwright.brief.commission import CarryWish
from tierwright.brief.kitchen import Leaves, RodUse
from tierwright.coating import CoatedTier, Coating, CoatStyle
from tierwright.dossier.finish_stage import FinishWork
from tierwright.dossier.settling import settled
from tierwright.errors import Infeasible, MissingData, OutOfRange, TierwrightError, UnknownName
from tierwright.larder import board, find
from tierwright.larder import support as owned_support
from tierwright.shapes import Outline
from tierwright.sizing import Sizing, Tier, TierKind
from tierwright.support import (
    Anchor,
    Ask,
    BaseBoard,
    BoardStock,
    HandLayout,
    Level,
    Means,
    Road,
    Rod,
    StackedTier,
    Support,
    Temper,
    board_stock_of,
    board_stocks,
    crumb_of,
    stacked_tier,
    support,
    support_stock_of,
)
from tierwright.words import FormulaKind
from tierwright.working import (
    COMMON_PRACTICE,
    NOTHING,
    Assumption,
    Basis,
    Estimate,
    Notes,
    Question,
    Severity,
    Source,
)

TRIALS: Final = 4_000
"""Trials of the uncertainty run in a dossier: a chance of 5 % is told to half a percentage point."""
CHILLED_C: Final = 4.0
WARM_C: Final = 27.0
"""From here a butter coat is soft. [degC] From memory."""
BASE_MARGIN_MM: Final = 38.0
"""Board that shows on each side of the bottom tier. [mm] Common practice: three inches wider."""
DECORATION_G: Final = Estimate(value=60.0, low=0.0, high=200.0)
"""Flowers or ornaments on the top tier, where the brief wishes for some. [g] From memory."""
CENTRE_ROD: Final = "centre rod"
FROM_MEMORY: Final = Source(basis=Basis.FROM_MEMORY)

ANCHORS: Final = {RodUse.LOOSE: Anchor.LOOSE, RodUse.ANCHORED: Anchor.ANCHORED}
TEMPERS: Final = {Leaves.CHILLED: Temper.CHILLED, Leaves.ROOM: Temper.ROOM}
BOUGHT: Final = {
    "jam": FormulaKind.JAM,
    "curd": FormulaKind.CURD,
    "ganache": FormulaKind.GANACHE,
    "marzipan": FormulaKind.MARZIPAN,
    "fondant": FormulaKind.ROLLED_FONDANT,
    "icing": FormulaKind.ROYAL_ICING,
    "cream": FormulaKind.WHIPPED_CREAM,
}
"""Words in the key of something bought, and what it is like between layers."""


@dataclass(frozen=True, slots=True, kw_only=True)
class SupportWork:
    """
    What support was asked, and its answer.

    Attributes
    ----------
    ask
        Tiers, boards, means and road.
    found
        The answer.
    """

    ask: Ask
    found: Support


def stand_tiers(
    commission: Commission, kitchen: Kitchen, sizing: Sizing, coating: Coating, finish: FinishWork | None = None
) -> tuple[SupportWork | None, Notes]:
    """
    Run the support stage for a coated stack.

    A cake that cannot be carried with what the maker owns is an open question that stops the work, not an error: every
    other sheet still holds.
    """
    assumed: list[Assumption] = []
    try:
        # Asked in the digits that the dossier keeps, so that its question gives its answer.
        ask = settled(ask_of(commission, kitchen, sizing, coating, assumed, finish))
        found = _support(ask)
    except (Infeasible, MissingData, OutOfRange, UnknownName) as error:
        return None, Notes(questions=(_refused(error),), assumptions=tuple(assumed))
    more = Notes(questions=_short(found.levels, kitchen), assumptions=tuple(assumed))
    return SupportWork(ask=ask, found=found), found.notes + more


@lru_cache(maxsize=64)
def _support(ask: Ask) -> Support:
    """Answer one ask; another version of a commission with the same stack is not worked again."""
    return support(ask)


def ask_of(
    commission: Commission,
    kitchen: Kitchen,
    sizing: Sizing,
    coating: Coating,
    assumed: list[Assumption],
    finish: FinishWork | None = None,
) -> Ask:
    """
    Translate a commission and a kitchen into what the support room is asked.

    Every default that is used is added to ``assumed``.

    Raises
    ------
    MissingData, UnknownName
        A board or support that has no strength on record.
    """
    stack = sizing.stack
    tiers = tuple(
        _stacked(commission, tier, coated, finish, top=tier is stack.tiers[-1], assumed=assumed)
        for tier, coated in zip(stack.tiers, coating.tiers, strict=True)
    )
    return Ask(
        tiers=tiers,
        base=_base(coating, tiers[0].outline, assumed),
        means=means_of(commission, kitchen, assumed),
        road=road_of(commission, kitchen, assumed),
        trials=TRIALS,
        picks=() if finish is None else finish.picks,
    )


def _stacked(
    commission: Commission,
    tier: Tier,
    coated: CoatedTier,
    finish: FinishWork | None,
    *,
    top: bool,
    assumed: list[Assumption],
) -> StackedTier:
    sheets = {sheet.key: sheet for sheet in commission.formulas}
    crumb = "dummy"
    if tier.kind is not TierKind.DUMMY:
        crumb = crumb_of(sheets[commission.cake.flavours[max(tier.flavour, 0)].cake].kind)
    # What is laid out flower by flower is weighed so; wishes in words alone are taken to weigh the usual.
    laid_on = NOTHING if finish is None else finish.decoration_g.get(tier.number, NOTHING)
    decorated = top and bool(commission.cake.decoration) and not commission.decor.flowers
    if decorated:
        assumed.append(
            Assumption(
                key="support.decoration",
                text="Weight of what decorates the top tier",
                value=f"{DECORATION_G.low:.0f} to {DECORATION_G.high:.0f} g",
                source=FROM_MEMORY,
            )
        )
    under = board(coated.board) if coated.board else None
    return stacked_tier(
        coated,
        name=f"the {tier.name} tier",
        crumb=crumb,
        kinds=_kinds(coated, sheets),
        board=board_stock_of(under) if under is not None else None,
        board_outline=under.outline if under is not None else None,
        decoration_g=laid_on + DECORATION_G if decorated else laid_on,
    )


def _kinds(coated: CoatedTier, sheets: Mapping[str, FormulaSheet]) -> dict[str, FormulaKind]:
    """Kind of everything on a tier by its key, what is bought by the word in its name."""
    kinds: dict[str, FormulaKind] = {}
    for part in coated.parts:
        if not part.formula:
            continue
        sheet = sheets.get(part.formula)
        if sheet is not None:
            kinds[part.formula] = sheet.kind
        else:
            word = next((word for word in BOUGHT if word in part.formula), "")
            match = find(part.formula.replace("_", " ")).ingredient
            kinds[part.formula] = BOUGHT.get(word) or (
                FormulaKind.JAM if match is not None and match.group.value == "preserve" else FormulaKind.OTHER_FILLING
            )
    return kinds


def _base(coating: Coating, lowest: Outline, assumed: list[Assumption]) -> BaseBoard:
    if coating.base_board:
        known = board(coating.base_board)
        return BaseBoard(board=board_stock_of(known), outline=known.outline)
    stock = board_stocks()["plywood-9"]
    assumed.append(
        Assumption(
            key="support.base_board",
            text="No board of the table reaches under the whole cake; one is cut to its size",
            value=f"{stock.name}, {BASE_MARGIN_MM:.0f} mm wider on each side",
            source=COMMON_PRACTICE,
        )
    )
    return BaseBoard(board=stock, outline=lowest.grown(BASE_MARGIN_MM))


def means_of(commission: Commission, kitchen: Kitchen, assumed: list[Assumption]) -> Means:
    """Translate what the maker has to stand and carry a cake with; defaults go to ``assumed``."""
    has = kitchen.carrying
    stocks = {entry.support: owned_support(entry.support) for entry in kitchen.supports}
    rods = [known for known in stocks.values() if known.kind == CENTRE_ROD]
    written = {layout.support: owned_support(layout.support) for layout in commission.cake.supports}

    def default(key: str, text: str, value: str) -> None:
        assumed.append(Assumption(key=f"carrying.{key}", text=text, value=value, source=COMMON_PRACTICE))

    if has.box is None:
        default("box", "The cake travels", "without a box")
    if has.mat is None:
        default("mat", "A non-slip mat under the cake on the road", "none")
    if has.wedged is None:
        default("wedged", "Wedges that keep the cake from sliding on the vehicle's floor", "none")
    if has.bond is None:
        default("bond", "What sticks each board to the tier below", "nothing")
    if has.centre_rod is None:
        default("centre_rod", "Centre rod through the tiers", "none")
    if has.boards_damp is None:
        default("boards_damp", "Boards stay dry", "yes: wrapped, edges sealed")
    return Means(
        supports=tuple(
            support_stock_of(known)
            for known in dict.fromkeys((*stocks.values(), *written.values()))
            if known.kind != CENTRE_ROD
        ),
        boards=_boards(kitchen),
        layouts=tuple(
            HandLayout(tier=layout.tier, stock=layout.support, positions=layout.places)
            for layout in commission.cake.supports
        ),
        rod=Rod(stock=support_stock_of(rods[0]), anchor=ANCHORS[has.centre_rod])
        if rods and has.centre_rod in ANCHORS
        else None,
        bond=has.bond.value if has.bond is not None else "none",
        temper=_temper(commission, kitchen, assumed),
        box=bool(has.box),
        mat=bool(has.mat),
        wedged=bool(has.wedged),
        damp=bool(has.boards_damp),
        cutting_error_mm=0.5 if has.cutting_error is None else has.cutting_error,
    )


def _boards(kitchen: Kitchen) -> tuple[BoardStock, ...]:
    """
    Kinds of board in the order of liking: owned ones, then those that can be bought, drums last of all.

    There is one for each material and thickness, called by its name: whatever is proposed is cut to the tier.
    """
    owned = [board_stock_of(board(entry.board)) for entry in kitchen.boards]
    kinds: dict[tuple[str, float], BoardStock] = {}
    for stock in (*owned, *board_stocks().values()):
        kinds.setdefault((stock.material, stock.thickness_mm), replace(stock, key=stock.name))
    return tuple(sorted(kinds.values(), key=lambda stock: "drum" in stock.material))


def _temper(commission: Commission, kitchen: Kitchen, assumed: list[Assumption]) -> Temper:
    cabin = commission.travel.cabin
    if cabin is not None and cabin.high > WARM_C:
        return Temper.WARM
    leaves = kitchen.carrying.leaves
    if leaves is None:
        assumed.append(
            Assumption(
                key="carrying.leaves",
                text="How cold the cake is when it leaves",
                value="at the kitchen's temperature",
                source=COMMON_PRACTICE,
            )
        )
        return Temper.ROOM
    return TEMPERS[leaves]


def road_of(commission: Commission, kitchen: Kitchen, assumed: list[Assumption]) -> Road:
    """Translate the way to the venue; defaults go to ``assumed``."""
    travel, venue = commission.travel, commission.venue
    drive = kitchen.carrying.drive
    if drive is None:
        assumed.append(
            Assumption(
                key="carrying.drive",
                text="What the drive may bring",
                value="one hard stop on the way",
                source=FROM_MEMORY,
            )
        )
    if travel.highest is None:
        assumed.append(
            Assumption(
                key="travel.highest",
                text="Highest point of the road",
                value="the venue or the kitchen, whichever lies higher",
                source=COMMON_PRACTICE,
            )
        )
    wish = {CarryWish.STACKED: True, CarryWish.SEPARATE: False}.get(travel.carry)
    start = CHILLED_C if kitchen.carrying.leaves is Leaves.CHILLED else kitchen.room
    warmest = max(venue.temperature.high, travel.cabin.high if travel.cabin is not None else start, start)
    styles = {flavour.coating or commission.cake.coating for flavour in commission.cake.flavours}
    return Road(
        minutes=travel.minutes,
        surface=travel.surface.value,
        grade=travel.grade,
        drive=drive.value if drive is not None else "hard",
        wish_stacked=wish,
        from_m=kitchen.altitude,
        to_m=max(venue.altitude, venue.altitude if travel.highest is None else travel.highest),
        cold_c=start,
        warm_c=warmest,
        sealed=CoatStyle.ROLLED in styles,
        stairs=venue.stairs,
    )


def _refused(error: TierwrightError) -> Question:
    change = error.cheapest_change if isinstance(error, Infeasible) else ""
    if isinstance(error, MissingData):
        change = "enter the supports and boards that are owned in the kitchen"
    return Question(
        key="support.refused",
        severity=Severity.STOP,
        sheet="supports",
        text="How do the tiers stand? Nothing owned carries them as the brief has it.",
        reason=str(error),
        change=change,
    )


def _short(levels: tuple[Level, ...], kitchen: Kitchen) -> tuple[Question, ...]:
    """Ask for supports where more of a kind are needed than the maker owns."""
    owned: Counter[str] = Counter()
    for entry in kitchen.supports:
        owned[entry.support] += entry.count
    wanted: Counter[str] = Counter()
    names: dict[str, str] = {}
    for level in levels:
        wanted[level.stock.key] += level.count
        names[level.stock.key] = level.stock.name
    return tuple(
        Question(
            key=f"support.short.{key}",
            severity=Severity.ASK,
            sheet="supports",
            text=f"Where do {count - owned[key]} more of {names[key]} come from?",
            reason="The supports needed are more than those owned.",
            figure=f"{count} needed, {owned[key]} owned",
            change="buy them with the boards",
        )
        for key, count in wanted.items()
        if count > owned[key]
    )


def supports_needed(work: SupportWork | None) -> dict[str, int] | None:
    """Pieces of each kind of support that the stack takes, by key; None where it was not planned."""
    if work is None:
        return None
    pieces: dict[str, int] = {}
    for level in work.found.levels:
        if level.stock is not None and level.count:
            pieces[level.stock.key] = pieces.get(level.stock.key, 0) + level.count
    return pieces
