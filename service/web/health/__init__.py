"""Whether this process is up, and whether the service is ready."""
