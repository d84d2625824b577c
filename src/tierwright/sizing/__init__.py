"""How big is each tier, so that everybody gets a portion?"""
