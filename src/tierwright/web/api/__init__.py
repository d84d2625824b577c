"""How does another program ask and answer?"""
