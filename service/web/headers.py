"""The headers on every response, errors included, and the packing of what is long."""

import gzip
from typing import Final

from flask import Flask, Response, request

_POLICY: Final = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; connect-src 'self'; "
    "form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
)
_ALWAYS: Final = {
    "Content-Security-Policy": _POLICY,
    "X-Content-Type-Options": "nosniff",
    # Not "no-referrer": with it browsers send forms with "Origin: null", and where a form comes from could
    # not be checked. Our URLs carry nothing personal, and other sites get no referrer either way.
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
}
# A year, as ASVS 5.0.0 3.4.1 asks.
_STRICT_TRANSPORT: Final = "max-age=31536000; includeSubDomains"
_WORTH_PACKING: Final = 1024
_PACKABLE: Final = frozenset({"text/html", "text/css", "text/javascript", "image/svg+xml"})


def install_headers(app: Flask) -> None:
    """Put the headers on every response of `app`."""
    app.after_request(_protect)
    app.after_request(_pack)


def _protect(response: Response) -> Response:
    response.headers.update(_ALWAYS)
    response.headers.setdefault("Cache-Control", "no-store")
    if request.is_secure:
        response.headers["Strict-Transport-Security"] = _STRICT_TRANSPORT
    return response


def _pack(response: Response) -> Response:
    """Send long texts gzipped: the pages are read over slow links."""
    if response.mimetype not in _PACKABLE or response.direct_passthrough:
        return response
    response.vary.add("Accept-Encoding")
    body = response.get_data()
    if len(body) < _WORTH_PACKING or not request.accept_encodings["gzip"]:
        return response
    response.set_data(gzip.compress(body, compresslevel=6, mtime=0))
    response.headers["Content-Encoding"] = "gzip"
    return response
