"""The practice phone of a demo."""
