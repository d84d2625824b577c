"""How the table of pictures came to be."""
