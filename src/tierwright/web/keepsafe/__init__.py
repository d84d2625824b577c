"""What keeps a kitchen's records safe: copies, archives, the move to a database server, and erasure.

Nothing here is imported while a page is answered. ``copies`` needs SQLite alone, so that a copy can be taken and put
back even where the rest of the program does not start.
"""
