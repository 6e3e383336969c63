"""Logs: one JSON object a line, a constant event name, data in keywords, and no phone number ever."""

import logging
import re
import sys
from typing import Final, TextIO

import structlog
from structlog.tracebacks import ExceptionDictTransformer
from structlog.types import EventDict, WrappedLogger

# Nine to fifteen digits, the most ITU-T E.164 allows, with or without the marks people put between them. Row ids
# have more digits, and what hangs on a word or a hyphen is a piece of some reference.
_NUMBER: Final = re.compile(r"(?<![\w-])\+?\d(?:[ .()-]{0,2}\d){8,14}(?![\w-])")
# Without the variables of each frame: numbers, texts and keys would stand among them.
_TRACE: Final = structlog.processors.ExceptionRenderer(ExceptionDictTransformer(show_locals=False))


def _mask_numbers(_logger: WrappedLogger, _method: str, event: EventDict) -> EventDict:
    """Mask what looks like a phone number, should one slip into a value or an error's words."""
    return {key: _mask(value) for key, value in event.items()}


def _mask(value: object) -> object:
    match value:
        case str():
            return _NUMBER.sub(lambda found: f"+...{_digits(found)[-3:]}", value)
        case dict():
            return {key: _mask(one) for key, one in value.items()}
        case list() | tuple():
            return [_mask(one) for one in value]
        case _:
            return value


def _digits(found: re.Match[str]) -> str:
    return "".join(filter(str.isdigit, found.group()))


def set_up(stream: TextIO | None = None) -> None:
    """Send logs to `stream`, standard error where none is given."""
    structlog.configure(
        processors=[
            structlog.processors.add_log_level,
            _TRACE,
            _mask_numbers,
            structlog.processors.TimeStamper(fmt="iso", utc=True),
            structlog.processors.JSONRenderer(),
        ],
        wrapper_class=structlog.make_filtering_bound_logger(logging.INFO),
        logger_factory=structlog.WriteLoggerFactory(stream or sys.stderr),
    )


def logger() -> structlog.typing.FilteringBoundLogger:
    """Return the logger."""
    found: structlog.typing.FilteringBoundLogger = structlog.get_logger()
    return found
