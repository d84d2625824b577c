"""How much filling and coat does each tier take, and what does it weigh then?"""
