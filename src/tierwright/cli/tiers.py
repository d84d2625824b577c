"""``tierwright tiers``: how big a cake for how many, without a commission."""

from __future__ import annotations

from typing import Annotated, Any, Literal

import typer

from tierwright.cli import app
from tierwright.errors import BadInput, Problem
from tierwright.words import CutPattern, Cutter, OtherDessert, RingMeasure


@app.command("tiers", epilog="Example: `tierwright tiers '104 to 116' --tiers 3 --eating '76 to 90 %'`")
def tiers(
    people: Annotated[str, typer.Argument(help="People who come: a number or a range such as '104 to 116'.")],
    number: Annotated[int | None, typer.Option("--tiers", help="How many tiers, if that is settled.")] = None,
    eating: Annotated[str | None, typer.Option(help="Share who eat cake, such as '76 to 90 %'.")] = None,
    dessert: Annotated[OtherDessert, typer.Option(help="What other dessert there is.")] = OtherDessert.NONE,
    width: Annotated[str, typer.Option(help="Width of a portion.")] = "1 in",
    depth: Annotated[str, typer.Option(help="Depth of a portion.")] = "2 in",
    height: Annotated[str, typer.Option(help="Height of a portion, and so of a tier.")] = "4 in",
    pattern: Annotated[CutPattern, typer.Option(help="How it is cut.")] = CutPattern.RINGS,
    measured: Annotated[RingMeasure, typer.Option(help="Where a slice's width is measured.")] = RingMeasure.MIDDLE,
    risk: Annotated[str, typer.Option(help="Chance of running short that you accept.")] = "5 %",
    keepsake: Annotated[bool, typer.Option("--keepsake", help="The top tier is kept, not served.")] = False,
    shape: Annotated[str, typer.Option(help="Shape of the tiers.")] = "round",
    series: Annotated[Literal["inch", "metric"], typer.Option(help="Sizes of pan to choose from.")] = "inch",
    pan: Annotated[list[str] | None, typer.Option(help="Only these pans, by their keys. Repeatable.")] = None,
    as_json: Annotated[bool, typer.Option("--json", help="Print as JSON.")] = False,
) -> None:
    """Propose tier stacks for a number of people, with the chance of running short."""
    from pydantic import TypeAdapter

    from tierwright.brief.fields import CountRange
    from tierwright.cli.formula import quantity
    from tierwright.cli.report import print_json, print_table
    from tierwright.larder import pan as pan_of
    from tierwright.larder import pans
    from tierwright.shapes import Shape
    from tierwright.sizing import PanChoice, PortionWish, Sizing, SizingBrief, TierKind, size
    from tierwright.units import Display, Kind, LengthUnit, parse_estimate

    def read(option: str, text: str, reader: Any) -> Any:
        try:
            return reader(text)
        except ValueError as error:
            expected = (
                error.errors()[0]["msg"].removeprefix("Value error, ") if hasattr(error, "errors") else str(error)
            )
            raise BadInput([Problem(place=option, found=repr(text), expected=expected)]) from None

    if shape not in set(Shape):
        raise BadInput([Problem(place="--shape", found=shape, expected="one of " + ", ".join(Shape))])
    if number is not None and not 1 <= number <= 6:
        raise BadInput([Problem(place="--tiers", found=str(number), expected="1 to 6")])
    wished = Shape(shape)
    known = [pan_of(key.replace("-", "_")) for key in pan or []]
    if not known:
        known = [p for p in pans().values() if p.outline.shape is wished and p.series.value == series]
    done = size(
        SizingBrief(
            attending=read("people", people, TypeAdapter(CountRange).validate_python),
            invited=None,
            take_up=None if eating is None else read("--eating", eating, lambda text: parse_estimate(text, Kind.SHARE)),
            other_dessert=dessert,
            portion=PortionWish(
                width_mm=quantity("--width", width, Kind.LENGTH),
                depth_mm=quantity("--depth", depth, Kind.LENGTH),
                height_mm=quantity("--height", height, Kind.LENGTH),
                pattern=pattern,
                measure=measured,
            ),
            cut_by=Cutter.CATERER,
            keepsake=keepsake,
            risk=quantity("--risk", risk, Kind.SHARE),
            tiers=number,
            shape=wished,
            flavours=1,
            layers=None,
            filling_mm=8.0,
            tier_height_mm=None,
        ),
        [PanChoice(key=p.key, outline=p.outline, depth_mm=p.depth_mm, owned=4) for p in known],
        (),
    )
    if as_json:
        print_json(TypeAdapter(Sizing).dump_python(done, mode="json"))
        return
    display = Display(length=LengthUnit.INCH if series == "inch" else LengthUnit.CM)
    print_table(
        f"{done.demand.mean:.0f} portions expected, {done.demand.wanted} wanted for a risk of {done.demand.risk:.0%}",
        ("tiers, bottom first", "kitchen cakes", "portions", "running short", "remarks"),
        (
            (
                " + ".join(
                    display.show_length(t.outline.width_mm) + (" dummy" if t.kind is TierKind.DUMMY else "")
                    for t in stack.tiers
                ),
                " + ".join(f"{k.count} of {display.show_length(k.outline.width_mm)}" for k in stack.kitchen_cakes),
                str(stack.portions),
                f"{stack.shortage_risk:.1%}",
                "; ".join(stack.remarks),
            )
            for stack in done.stacks
        ),
        right=(2, 3),
    )
