"""Texts in doubt, and what can be done about them."""
