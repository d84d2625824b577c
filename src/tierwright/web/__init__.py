"""How does a maker do the whole job in the browser?"""
