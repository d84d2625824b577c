"""How the tables of the set-up log came to be."""
