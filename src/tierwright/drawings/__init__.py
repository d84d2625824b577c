"""What does the cake look like, drawn to scale?"""
