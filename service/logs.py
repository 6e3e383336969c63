"""Logs: one JSON object a line, a constant event name, data in keywords, and no phone number ever."""

import logging
import sys
from typing import TextIO

import structlog
from structlog.types import EventDict, WrappedLogger

_NUMBER_DIGITS = 9


def _mask_numbers(_logger: WrappedLogger, _method: str, event: EventDict) -> EventDict:
    """Mask what looks like a phone number, should one slip into a value."""
    return {key: _mask(value) for key, value in event.items()}


def _mask(value: object) -> object:
    if not isinstance(value, str):
        return value
    digits = value.removeprefix("+")
    return f"+...{digits[-3:]}" if digits.isdigit() and len(digits) >= _NUMBER_DIGITS else value


def set_up(stream: TextIO | None = None) -> None:
    """Send logs to `stream`, standard error where none is given."""
    structlog.configure(
        processors=[
            structlog.processors.add_log_level,
            structlog.processors.TimeStamper(fmt="iso", utc=True),
            structlog.processors.dict_tracebacks,
            _mask_numbers,
            structlog.processors.JSONRenderer(),
        ],
        wrapper_class=structlog.make_filtering_bound_logger(logging.INFO),
        logger_factory=structlog.WriteLoggerFactory(stream or sys.stderr),
    )


def logger() -> structlog.typing.FilteringBoundLogger:
    """Return the logger."""
    found: structlog.typing.FilteringBoundLogger = structlog.get_logger()
    return found
