"""The command line: one file for each group of commands, gathered by `main` from the entry points."""
