"""Correcting a plot: what would follow is shown before it is done."""
