"""Figures for whoever watches the service by machine."""
