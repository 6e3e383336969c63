"""Alerts: written, confirmed, sent and counted; `service.core.alerts` says by which rules."""
