"""The set-up log: what was done and seen when a cake was handed over, photographed and signed for; and its papers."""
