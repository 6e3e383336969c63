"""The clock of a demo."""
