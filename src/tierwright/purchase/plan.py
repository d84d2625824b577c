"""From what the commissions use to a shopping list: stock first, then whole packs, then the walk through the shops."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from math import ceil
from typing import Final

from tierwright.errors import BadInput, Problem
from tierwright.purchase import packs
from tierwright.purchase.allergens import forbidden, unread
from tierwright.purchase.model import (
    Allocation,
    Book,
    Item,
    Offer,
    Policy,
    PurchaseLine,
    PurchasePlan,
    Shop,
    Split,
    SplitDone,
    Unmet,
    Use,
)
from tierwright.purchase.notes import notes_on
from tierwright.purchase.stock import LEAST, take_stock
from tierwright.purchase.trips import Window, choose_trips, merged, window

Pieces = dict[tuple[str, str, date], tuple[Split, int, Use]]
"""By whole, commission and day: what is taken apart, how many pieces, and the use of the whole."""
USUAL: Final = Policy()
SMALLEST_LOT: Final = 0.1
"""Lots below are crumbs. [g or pieces]"""


def plan_purchase(
    items: Iterable[Item], uses: Iterable[Use], book: Book, policy: Policy = USUAL, *, today: date | None = None
) -> PurchasePlan:
    """
    Work out one shopping list for any set of commissions.

    Parameters
    ----------
    items
        What is used or sold, each key once.
    uses
        What each commission uses and when. [g or pieces]
    book
        Shops, offers, stock, and what can be taken apart.
    policy
        How the maker likes to buy.
    today
        First day on which anything can be bought or ordered; None for no limit.

    Returns
    -------
    plan
        The same for the same input, in the order of the days and of the walk through each shop.

    Raises
    ------
    BadInput
        Names that no item or shop has, with all of them.
    Infeasible
        Limits or minimum orders of the book cannot be met.
    """
    named = {item.key: item for item in items}
    shops = {shop.key: shop for shop in book.shops}
    wanted = merged(uses)
    _refuse_unknown(named, shops, wanted, book)
    book = replace(book, stock=tuple(lot for lot in book.stock if lot.item in named))
    whole_keys = {split.whole for split in book.splits if split.whole in named}
    # Parts first: what is left in the pantry of yolks or juice leaves fewer eggs and lemons to open.
    remaining, from_stock = take_stock(named, [use for use in wanted if use.item not in whole_keys], book.stock)
    remaining, opened, whole_uses = _take_apart(named, remaining, _unpriced_pieces(named, remaining, book))
    wholes = [*(use for use in wanted if use.item in whole_keys), *whole_uses]
    group = _Buying(named, shops, book, policy, today)
    remaining, done, whole_uses = _take_apart(named, remaining, group.pieces([*remaining, *wholes]))
    done += opened
    rest, from_whole = take_stock(named, merged([*wholes, *whole_uses]), book.stock)
    bought = group.buy([*remaining, *rest])
    lines = tuple(sorted(bought.lines, key=lambda line: _walk(line, shops)))
    goods = sum((line.price for line in lines), Decimal(0))
    stock_used = tuple(sorted((*from_stock, *from_whole), key=lambda one: (one.item, one.best_before or date.max)))
    return PurchasePlan(
        lines=lines,
        from_stock=stock_used,
        splits=tuple(sorted(done, key=lambda one: (one.day, one.commission, one.whole))),
        unmet=tuple(bought.unmet),
        goods=goods,
        fees=bought.fees,
        total=goods + bought.fees,
        bound=bought.bound,
        proven=bought.proven,
        notes=notes_on(
            items=named,
            shops=shops,
            lines=lines,
            from_stock=stock_used,
            splits=done,
            unmet=bought.unmet,
            goods=goods,
            fees=bought.fees,
            bound=bought.bound,
            proven=bought.proven,
            policy=policy,
            today=today,
        ),
    )


class _Bought:
    """What the groups of items come to, while they are added up."""

    def __init__(self) -> None:
        self.lines: list[PurchaseLine] = []
        self.unmet: list[Unmet] = []
        self.fees = Decimal(0)
        self.bound = Decimal(0)
        self.proven = True


class _Buying:
    """The choice of packs for uses that stock has not met, group of items by group of items."""

    def __init__(
        self, items: Mapping[str, Item], shops: Mapping[str, Shop], book: Book, policy: Policy, today: date | None
    ) -> None:
        self.items = items
        self.shops = shops
        self.book = book
        self.policy = policy
        self.today = today
        self.offers: dict[str, list[Offer]] = defaultdict(list)
        for offer in sorted(book.offers, key=lambda o: o.key):
            self.offers[offer.item].append(offer)

    def pieces(self, uses: Sequence[Use]) -> Pieces:
        """Choose how many pieces are taken apart for each commission and day; stock of the whole counts as free."""
        found: Pieces = {}
        splits = [split for split in self.book.splits if split.whole in self.offers and split.whole in self.items]
        parts = {part for split in splits for part, _ in split.parts}
        if not any(use.item in parts for use in uses):
            return found
        whole_keys = {split.whole for split in splits}
        pantry = [
            Offer(
                key=f"lot {lot.key}",
                item=lot.item,
                shop="",
                name=lot.key,
                content=lot.amount,
                price=Decimal(0),
                most=1,
                status=lot.status,
                contains=lot.contains,
                may_contain=lot.may_contain,
            )
            for lot in self.book.stock
            if lot.item in whole_keys and lot.amount >= SMALLEST_LOT
        ]
        asked = [use for use in uses if use.item in parts or use.item in whole_keys]
        # Charges and minimum orders are a matter of the whole basket, not of eggs against cartons.
        plain = {key: replace(shop, minimum=Decimal(0), fee=Decimal(0)) for key, shop in self.shops.items()}
        columns_of = _Buying(
            self.items,
            {**plain, "": Shop(key="", name="pantry")},
            replace(self.book, offers=(*self.book.offers, *pantry)),
            self.policy,
            self.today,
        )
        trips = choose_trips(window(self.items[use.item], use.day, self.today) for use in asked)
        for members in columns_of._groups(asked, splits):
            problem, _ = columns_of._problem(members, splits, trips)
            if not problem.cuts:
                continue
            chosen = packs.choose(problem)
            for cut, number in zip(problem.cuts, chosen.pieces, strict=True):
                if number:
                    use = problem.uses[cut.whole]
                    found[(use.item, use.commission, use.day)] = (cut.split, number, use)
        return found

    def buy(self, uses: Sequence[Use]) -> _Bought:
        """Choose packs for uses that no split can change any more."""
        bought = _Bought()
        paid: set[tuple[str, date]] = set()
        # One set of days for everything, so that nobody goes out for flour today and for butter tomorrow.
        trips = choose_trips(window(self.items[use.item], use.day, self.today) for use in uses)
        for members in self._groups(uses, []):
            problem, unmet = self._problem(members, [], trips)
            bought.unmet += unmet
            if not problem.uses:
                continue
            chosen = packs.choose(problem)
            bought.bound += chosen.bound
            bought.proven = bought.proven and chosen.proven
            # Needs were rounded up to whole tenths on the way; nobody is given more than was asked for.
            asked = [use.amount for use in problem.uses]
            for column, times, given in zip(problem.columns, chosen.times, chosen.given, strict=True):
                if times:
                    exact: list[tuple[int, float]] = []
                    for use, amount in given:
                        exact.append((use, min(amount, asked[use])))
                        asked[use] -= exact[-1][1]
                    bought.lines.append(self._line(problem, column, times, exact))
                    order = (column.offer.shop, column.trip)
                    if order not in paid:
                        paid.add(order)
                        bought.fees += self.shops[column.offer.shop].fee
        bought.unmet = _together(bought.unmet)
        return bought

    def _groups(self, uses: Sequence[Use], splits: Sequence[Split]) -> list[list[Use]]:
        """Part uses into groups of items that nothing ties to one another."""
        by_item: dict[str, list[Use]] = defaultdict(list)
        for use in uses:
            by_item[use.item].append(use)
        ties: dict[str, str] = {}

        def root(name: str) -> str:
            while ties.setdefault(name, name) != name:
                name = ties[name]
            return name

        for key in by_item:
            for offer in self.offers.get(key, []):
                shop = self.shops[offer.shop]
                if shop.minimum > 0 or shop.fee > 0:
                    ties[root(f"shop {shop.key}")] = root(key)
        for split in splits:
            for part, _ in split.parts:
                ties[root(part)] = root(split.whole)
        grouped: dict[str, list[Use]] = defaultdict(list)
        for key in sorted(by_item):
            grouped[root(key)] += by_item[key]
        return [grouped[name] for name in sorted(grouped, key=lambda n: grouped[n][0].item)]

    def _problem(
        self, uses: Sequence[Use], splits: Sequence[Split], trips: Sequence[date]
    ) -> tuple[packs.Problem, list[Unmet]]:
        """State the programme of one group; uses that nothing can meet are taken out of it and told."""
        wanted = [use for use in uses if use.amount > 0]
        cuts = self._cuts(wanted, splits)
        spans = [window(self.items[use.item], use.day, self.today) for use in wanted]
        columns = self._columns(wanted, spans, trips)
        served = {use for column in columns for use in column.serves}
        from_cut = {use for cut in cuts for use, _ in cut.parts if cut.whole in served}
        kept = sorted((served | from_cut) | {cut.whole for cut in cuts if cut.whole in served})
        place = {old: new for new, old in enumerate(kept)}
        unmet = [
            self._unmet(use, spans[number])
            for number, use in enumerate(wanted)
            if number not in place and use.amount > 0
        ]
        problem = packs.Problem(
            uses=tuple(wanted[old] for old in kept),
            columns=tuple(replace(c, serves=frozenset(place[use] for use in c.serves)) for c in columns),
            cuts=tuple(
                replace(
                    cut,
                    whole=place[cut.whole],
                    parts=tuple((place[use], part) for use, part in cut.parts),
                )
                for cut in cuts
                if cut.whole in place
            ),
            shops=self.shops,
            near_equal=self.policy.near_equal,
        )
        return problem, unmet

    def _cuts(self, wanted: list[Use], splits: Sequence[Split]) -> list[packs.Cut]:
        """List what may be taken apart; a whole that is not used itself gets a use of nothing at first."""
        cuts: list[packs.Cut] = []
        for split in splits:
            yields = dict(split.parts)
            days = sorted({(use.commission, use.day) for use in wanted if use.item in yields})
            for commission, day in days:
                parts = [
                    (number, yields[use.item])
                    for number, use in enumerate(wanted)
                    if use.item in yields and (use.commission, use.day) == (commission, day)
                ]
                whole = next(
                    (
                        number
                        for number, use in enumerate(wanted)
                        if (use.item, use.commission, use.day) == (split.whole, commission, day)
                    ),
                    None,
                )
                if whole is None:
                    avoid = tuple(sorted({a for number, _ in parts for a in wanted[number].avoid}))
                    whole = len(wanted)
                    wanted.append(Use(item=split.whole, commission=commission, amount=0.0, day=day, avoid=avoid))
                cuts.append(packs.Cut(split=split, whole=whole, parts=tuple(parts)))
        return cuts

    def _columns(self, uses: Sequence[Use], spans: Sequence[Window], trips: Sequence[date]) -> list[packs.Column]:
        columns: list[packs.Column] = []
        by_item: dict[str, list[int]] = defaultdict(list)
        for number, use in enumerate(uses):
            by_item[use.item].append(number)
        for key in sorted(by_item):
            for offer in self.offers.get(key, []):
                fit = [n for n in by_item[key] if not forbidden(offer, self.items[key], uses[n].avoid)]
                lead = timedelta(days=self.shops[offer.shop].lead_days)
                reach = {
                    trip: frozenset(n for n in fit if trip in spans[n])
                    for trip in trips
                    if self.today is None or trip - lead >= self.today
                }
                columns += [
                    packs.Column(offer=offer, trip=trip, serves=serves)
                    for trip, serves in reach.items()
                    # Of two trips that serve the same uses the later keeps things fresher; one that serves fewer is
                    # never needed.
                    if serves
                    and not any(serves < other or (serves == other and trip < t) for t, other in reach.items())
                ]
        return columns

    def _unmet(self, use: Use, span: Window) -> Unmet:
        item = self.items[use.item]
        offers = self.offers.get(use.item, [])
        if not offers:
            reason = "no price in the book"
        elif all(forbidden(offer, item, use.avoid) for offer in offers):
            found = sorted({a.value for offer in offers for a in forbidden(offer, item, use.avoid)})
            reason = f"every pack in the book holds, or may hold, {' or '.join(found)}"
        else:
            reason = "no shop can have it in time"
        return Unmet(
            item=use.item, name=item.name, aisle=item.aisle, unit=item.unit, amount=use.amount, buy_by=span.last,
            commissions=(use.commission,), reason=reason,
        )  # fmt: skip

    def _line(
        self, problem: packs.Problem, column: packs.Column, times: int, given: Sequence[tuple[int, float]]
    ) -> PurchaseLine:
        offer, item = column.offer, self.items[column.offer.item]
        allergens = {a for use, _ in given for a in unread(offer, item, problem.uses[use].avoid)}
        whom = tuple(
            Allocation(commission=problem.uses[use].commission, day=problem.uses[use].day, amount=amount)
            for use, amount in given
        )
        return PurchaseLine(
            shop=offer.shop,
            aisle=item.aisle,
            offer=offer.key,
            item=offer.item,
            name=offer.name,
            unit=item.unit,
            content=offer.content,
            packs=offer.packs * times,
            price=offer.price * times,
            order_by=column.trip - timedelta(days=self.shops[offer.shop].lead_days),
            buy_on=column.trip,
            for_whom=whom,
            left=max(0.0, offer.amount * times - sum(one.amount for one in whom)),
            label_unread=tuple(sorted(allergens)),
        )


def _together(unmet: Sequence[Unmet]) -> list[Unmet]:
    """Tell an item once for each reason and set of commissions, with its first day."""
    merged_rows: dict[tuple[str, str], Unmet] = {}
    for one in unmet:
        key = (one.item, one.reason)
        before = merged_rows.get(key)
        merged_rows[key] = (
            one
            if before is None
            else replace(
                before,
                amount=before.amount + one.amount,
                buy_by=min(before.buy_by, one.buy_by),
                commissions=tuple(dict.fromkeys((*before.commissions, *one.commissions))),
            )
        )
    return sorted(merged_rows.values(), key=lambda one: (one.buy_by, one.aisle, one.name))


def _take_apart(
    items: Mapping[str, Item], uses: Sequence[Use], pieces: Pieces
) -> tuple[tuple[Use, ...], tuple[SplitDone, ...], tuple[Use, ...]]:
    """Take what the pieces give off the uses of their parts; the wholes that they need come third."""
    left = list(uses)
    done: list[SplitDone] = []
    for (_, commission, day), (split, number, _) in sorted(pieces.items(), key=lambda pair: pair[0]):
        over: list[tuple[str, float]] = []
        for part, each in split.parts:
            gives = number * each
            for place, use in enumerate(left):
                if (use.item, use.commission, use.day) == (part, commission, day):
                    taken = min(gives, use.amount)
                    left[place] = replace(use, amount=use.amount - taken)
                    gives -= taken
            if gives > SMALLEST_LOT and part in items:
                over.append((part, gives))
        done.append(SplitDone(whole=split.whole, commission=commission, day=day, pieces=number, left=tuple(over)))
    wholes = tuple(replace(use, amount=number * split.piece) for split, number, use in pieces.values())
    return tuple(use for use in left if use.amount > LEAST), tuple(done), wholes


def _unpriced_pieces(items: Mapping[str, Item], uses: Sequence[Use], book: Book) -> Pieces:
    """Turn parts that nobody sells into wholes that nobody has priced, so that the list says eggs and not yolks."""
    sold = {offer.item for offer in book.offers}
    pieces: Pieces = {}
    for split in book.splits:
        if split.whole in sold or split.whole not in items:
            continue
        yields = dict(split.parts)
        parts = [use for use in uses if use.item in yields and use.item not in sold]
        for commission, day in sorted({(use.commission, use.day) for use in parts}):
            mine = [use for use in parts if (use.commission, use.day) == (commission, day)]
            number = max(ceil(use.amount / yields[use.item] - LEAST) for use in mine)
            avoid = tuple(sorted({allergen for use in mine for allergen in use.avoid}))
            whole = Use(item=split.whole, commission=commission, amount=0.0, day=day, avoid=avoid)
            pieces[(split.whole, commission, day)] = (split, number, whole)
    return pieces


def _walk(line: PurchaseLine, shops: Mapping[str, Shop]) -> tuple[date, str, int, str, str, str]:
    aisles = shops[line.shop].aisles
    place = aisles.index(line.aisle) if line.aisle in aisles else len(aisles)
    return (line.buy_on, shops[line.shop].name, place, line.aisle, line.name, line.offer)


def _refuse_unknown(items: Mapping[str, Item], shops: Mapping[str, Shop], uses: Sequence[Use], book: Book) -> None:
    problems = [
        Problem(place=f"uses of {use.commission}", found=use.item, expected="an item that is described")
        for use in uses
        if use.item not in items
    ]
    problems += [
        Problem(place=f"offer {offer.key}", found=offer.shop, expected="a shop of the price book")
        for offer in book.offers
        if offer.shop not in shops
    ]
    keys = [offer.key for offer in book.offers]
    problems += [
        Problem(place="price book", found=key, expected="each row named once")
        for key in sorted({key for key in keys if keys.count(key) > 1})
    ]
    if problems:
        raise BadInput(problems)
