"""How the tables of the kitchen week came to be."""
