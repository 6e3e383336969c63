"""The register of farmers, and adding one to it."""
