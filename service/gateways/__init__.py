"""Adapters of the gateway port: each module is one way out to phones."""
