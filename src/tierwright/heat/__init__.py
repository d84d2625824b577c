"""How warm is it in there, and when? One thermal engine for baking, cooling, chilling, freezing and display."""

from tierwright.heat.body import Band, Body, Grid, Wall
from tierwright.heat.choi_okos import Matrix, mass_fractions, matrix_properties, part_property
from tierwright.heat.compiled import compiled, compiled_available
from tierwright.heat.disc import Disc, equivalent_disc
from tierwright.heat.films import Air, Face, air, mixed_air_film, moving_air_film, still_air_film
from tierwright.heat.march import Arrays
from tierwright.heat.material import Material, food, freezing_point_c, oswin_activity, solid
from tierwright.heat.piece import Around, carry_on
from tierwright.heat.run import History, Solver, State, end_state, runs_compiled, simulate, start_state, warm_up_solver
from tierwright.heat.surroundings import Surroundings, vapour_from_humidity_pa

__all__ = [
    "Air",
    "Around",
    "Arrays",
    "Band",
    "Body",
    "Disc",
    "Face",
    "Grid",
    "History",
    "Material",
    "Matrix",
    "Solver",
    "State",
    "Surroundings",
    "Wall",
    "air",
    "carry_on",
    "compiled",
    "compiled_available",
    "end_state",
    "equivalent_disc",
    "food",
    "freezing_point_c",
    "mass_fractions",
    "matrix_properties",
    "mixed_air_film",
    "moving_air_film",
    "oswin_activity",
    "part_property",
    "runs_compiled",
    "simulate",
    "solid",
    "start_state",
    "still_air_film",
    "vapour_from_humidity_pa",
    "warm_up_solver",
]
