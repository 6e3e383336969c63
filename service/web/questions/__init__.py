"""Pages about questions and calls for help."""
