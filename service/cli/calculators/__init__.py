"""The calculators of `trussline calc`, one file each; `shape.py` is what they have in common."""
