"""Errors for machines: problem details (RFC 9457) under names of our own."""

from typing import Final

from flask import Response, jsonify

# Long enough for whoever holds the database to be done, short enough for a text to be answered in time.
_COME_BACK: Final = "5"
_PROBLEMS: Final[dict[str, tuple[int, str]]] = {
    "no-such-gateway": (404, "There is no gateway of that name here."),
    "too-long": (413, "A body has at most 64 KiB."),
    "bad-signature": (401, "The signature, its time or its id is not in order."),
    "not-json": (400, "The body is no JSON object of the agreed form."),
    "bad-weather": (400, "This weather cannot be taken; nothing of it was kept."),
    "no-keys": (503, "The keys such posts are signed with cannot be read here."),
    "busy": (503, "This could not be stored just now: post it again."),
}


def problem(name: str, detail: str = "") -> Response:
    """Return a problem as a response."""
    status, title = _PROBLEMS[name]
    response = jsonify(
        type=f"urn:trussline:problem:{name}",
        title=title,
        status=status,
        **({"detail": detail} if detail else {}),
    )
    response.status_code = status
    response.mimetype = "application/problem+json"
    if status == 503:  # noqa: PLR2004 - HTTP's own number
        response.headers["Retry-After"] = _COME_BACK
    return response
