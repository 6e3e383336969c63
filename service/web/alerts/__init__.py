"""Alerts: written, looked at before they leave, watched while they do."""
