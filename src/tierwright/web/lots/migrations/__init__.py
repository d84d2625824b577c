"""How the table of label photos came to be."""
