"""How the tables of long work came to be."""
