"""What does this kitchen know: its formulas, pans, units, prices, clients, and what happened at its bench?"""
