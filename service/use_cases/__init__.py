"""What the service does: one function for one thing that happens, each committing once."""
