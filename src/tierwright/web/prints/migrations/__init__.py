"""How the table of printed sheets came to be."""
