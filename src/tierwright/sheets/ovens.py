"""The oven sheet: each load with its shelves and dial, when to look, and what the middle has to reach."""

from __future__ import annotations

from tierwright.bake import Load, PlacedPan, allergen_names
from tierwright.brief import Oven
from tierwright.dossier import Dossier, PanBake
from tierwright.drawings import INK_ON_PAPER, Drawing, Ink, OnShelf, core_chart, oven_shelf
from tierwright.sheets.naming import Words
from tierwright.sheets.page import Json, Page
from tierwright.sheets.show import caution_words, of_sheet, shown
from tierwright.units import TemperatureUnit, celsius_to_fahrenheit, fahrenheit_to_celsius


def of(dossier: Dossier, words: Words, ink: Ink = INK_ON_PAPER) -> tuple[Page, ...]:
    """Return the oven sheet, drawn in some ink, or nothing where no bake could be computed."""
    if not dossier.bakes.pans:
        return ()
    loads = dossier.bakes.loads
    told: list[Json] = []
    seen: set[str] = set()
    for caution in of_sheet(dossier.notes.cautions, "bakes"):
        if caution.text not in seen:
            told.append(caution_words(caution))
            seen.add(caution.text)
    data: dict[str, Json] = {
        "title": "In the oven",
        "cautions": told,
        "chart": _drawing(chart_of(dossier, words, ink)),
        "pans": [_pan(one, words) for one in dossier.bakes.pans],
        "loads": [] if loads is None else [_load(dossier, load, words, ink) for load in loads.loads],
        "facts": []
        if loads is None
        else [
            ["oven", loads.oven],
            ["loads", str(len(loads.loads))],
            ["oven in use", words.display.show(loads.oven_minutes, "min")],
            ["energy, about", f"{loads.energy_kwh:.1f} kWh"],
        ],
    }
    return (Page(template="ovens", sheet="in the oven", data=data),)


def _drawing(drawing: Drawing) -> dict[str, Json]:
    return {"svg": drawing.svg, "width_mm": drawing.width_mm, "alt": drawing.alt}


def _name(one: PanBake, words: Words) -> str:
    return ", ".join(words.uses.get(job, job) for job in one.jobs)


def chart_of(dossier: Dossier, words: Words, ink: Ink = INK_ON_PAPER, prefix: str = "core") -> Drawing:
    """Draw the temperature in the middle of every kind of layer over its time in the oven."""
    curves = {_name(one, words): one.answer.trial.core_c for one in dossier.bakes.pans}
    done = {
        _name(one, words): (one.answer.done_min.low, one.answer.done_min.value, one.answer.done_min.high)
        for one in dossier.bakes.pans
        if one.answer.done_min is not None
    }
    target = dossier.bakes.pans[0].answer.trial.target_c
    return core_chart(curves, target_c=target, done=done, display=words.display, ink=ink, prefix=prefix)


def dial(celsius: float, words: Words) -> str:
    """Print a dial setting in the steps that ovens have: five degrees of the maker's own scale."""
    if words.display.temperature is TemperatureUnit.C:
        return words.display.show_temperature(5 * round(celsius / 5))
    return words.display.show_temperature(fahrenheit_to_celsius(5 * round(celsius_to_fahrenheit(celsius) / 5)))


def _pan(one: PanBake, words: Words) -> dict[str, Json]:
    answer, display = one.answer, words.display
    trial = answer.trial
    done = answer.done_min
    return {
        "use": _name(one, words).capitalize(),
        "dial": dial(one.dial_c, words),
        "look": f"{answer.first_look_min:.0f} min" if answer.first_look_min is not None else "not reached",
        "done": f"{done.value:.0f} min" if done is not None else "not reached",
        "range": f"{done.low:.0f} to {done.high:.0f} min" if done is not None else "",
        "core": shown(display, trial.target_c, "C"),
        "height": f"{shown(display, trial.edge_height_mm, 'mm')} at the edge",
        "middle": f"{shown(display, trial.centre_height_mm, 'mm')} in the middle",
        "advice": "; ".join(option.label for option in answer.options if option.advised),
    }


def _load(dossier: Dossier, load: Load, words: Words, ink: Ink) -> dict[str, Json]:
    answers = {job: one for one in dossier.bakes.pans for job in one.jobs}
    oven = next(oven for oven in dossier.kitchen.ovens if dossier.bakes.loads and oven.name == dossier.bakes.loads.oven)
    rows: list[Json] = []
    pictures: list[Json] = []
    for shelf in load.shelves:
        drawn = [_on_shelf(placed, answers, words) for placed in shelf.pans]
        title = f"Load {load.number}, rack {shelf.rack} from the bottom"
        prefix = f"l{load.number}r{shelf.rack}"
        pictures.append({"title": title, **_drawing(_shelf(drawn, oven, words, prefix, title, ink))})
        for placed in shelf.pans:
            use = _use(placed.key, words)
            out = placed.out_min
            rows.append([f"rack {shelf.rack}", use, f"{out.value:.0f} min", f"{out.low:.0f} to {out.high:.0f} min"])
    first = next(one for one in dossier.bakes.pans if abs(one.bake_c - load.set_point_c) < 1e-6)
    return {
        "title": f"Load {load.number}",
        "dial": dial(first.dial_c, words),
        "before": words.display.show(load.before_min, "min"),
        "mixes": ", ".join(load.mixes),
        "again": ", ".join(load.mix_again),
        "out": allergen_names(load.keep_out) if load.keep_out else "",
        "rows": rows,
        "pictures": pictures,
    }


def _use(key: str, words: Words) -> str:
    job, _, number = key.rpartition(".")
    return f"{words.uses.get(job, job)}, layer {number}"


def _on_shelf(placed: PlacedPan, answers: dict[str, PanBake], words: Words) -> OnShelf:
    job = placed.key.rpartition(".")[0]
    label = "\n".join(_use(placed.key, words).split(", "))
    outline = answers[job].answer.pan.outline
    return OnShelf(outline=outline, x_mm=placed.x_mm, y_mm=placed.y_mm, turned=placed.turned, label=label)


def _shelf(drawn: list[OnShelf], oven: Oven, words: Words, prefix: str, title: str, ink: Ink) -> Drawing:
    return oven_shelf(
        drawn, width_mm=oven.width, depth_mm=oven.depth, display=words.display, ink=ink, prefix=prefix, title=title
    )
