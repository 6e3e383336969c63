"""Logs of tests: in plain lines, as pytest shows them beside a failure."""

import structlog


def plain_logs() -> None:
    """Show logs as structlog does by default, but for its traces: with every variable, each takes seconds to draw."""
    structlog.reset_defaults()
    structlog.configure(
        processors=[
            structlog.processors.add_log_level,
            structlog.processors.TimeStamper(fmt="%H:%M:%S", utc=True),
            structlog.dev.ConsoleRenderer(exception_formatter=structlog.dev.plain_traceback),
        ]
    )
