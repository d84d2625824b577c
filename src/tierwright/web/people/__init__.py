"""Who is at the board, and what may they see?"""
