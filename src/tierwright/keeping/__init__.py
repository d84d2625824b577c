"""How warm is it in there from the oven to the last slice, and what does that allow?"""
