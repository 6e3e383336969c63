"""How fast the service is on this machine: each figure as a ratio to a floor timed in the same process, in turn."""
