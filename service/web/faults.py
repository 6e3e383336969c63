"""Error pages in plain words. A fault of ours is logged with its traceback and never shown with it."""

from typing import Final

from flask import Flask, Response, make_response, render_template, request
from werkzeug.exceptions import HTTPException, InternalServerError

from service.logs import logger

_WORDS: Final = {
    400: ("That was not understood", "The form came incomplete. Go back and send it again."),
    401: ("You are not signed in", "Your session has ended. Sign in and open the page again."),
    403: ("Not allowed", "You may not do that."),
    404: ("Nothing here", "There is no such page. It may belong to something that was removed."),
    405: ("Not that way", "This address cannot be opened like that. Go back and use the button on the page."),
    409: ("Not any more", "Somebody else was quicker. Open the page again and look."),
    413: ("Too long", "What you sent is longer than this page takes."),
    500: (
        "Something broke here",
        "It is our fault, it was written down, and nothing you sent was half kept.",
    ),
}
_OTHER: Final = ("That did not work", "Go back and try again.")
# For these the view that refused says why in a sentence of its own.
_SAID_BY_VIEW: Final = frozenset({403, 409})


def install_faults(app: Flask) -> None:
    """Answer all errors of `app` with a page."""
    app.register_error_handler(HTTPException, _refused)
    app.register_error_handler(Exception, _broken)


def _refused(error: HTTPException) -> Response:
    code = error.code or 500
    heading, sentence = _WORDS.get(code, _OTHER)
    if code in _SAID_BY_VIEW and error.description and error.description != type(error).description:
        sentence = error.description
    response = make_response(render_template("fault.html", heading=heading, sentence=sentence), code)
    for name, value in error.get_headers():
        if name not in ("Content-Type", "Content-Length"):
            response.headers[name] = value
    return response


def _broken(error: Exception) -> Response:
    logger().error("page_failed", method=request.method, endpoint=request.endpoint, exc_info=error)
    return _refused(InternalServerError())
