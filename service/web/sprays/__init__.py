"""Sprays of a plot: what was told of them, and what an officer was told by voice."""
