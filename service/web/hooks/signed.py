"""Who may post to the hooks: whoever signs with a key of the gateway, or with one for weather, and nobody else.

Sessions and form tokens have no part in it; the signature is the permission. It is checked over the bytes as they came,
before anything reads them.
"""

from collections.abc import Callable
from functools import wraps
from pathlib import Path
from typing import Final

from flask import Response, request
from werkzeug.exceptions import RequestEntityTooLarge

from service.core.errors import SettingError
from service.gateways.signing import BadSignature, read_keys
from service.logs import logger
from service.web.hooks.problems import problem
from service.web.house import the_house
from service.web.permissions import open_to_signers

LONGEST_BODY: Final = 64 * 1024

Hook = Callable[[str, bytes], Response]
"""Takes the id and the body of a post whose signature is in order."""


def signed_by_gateway(hook: Hook) -> Callable[[str], Response]:
    """Call `hook` only with what the gateway named in the path has signed."""

    @open_to_signers
    @wraps(hook)
    def checked(gateway: str) -> Response:
        settings = the_house().settings
        if gateway != settings.gateway or gateway == "simulator":
            return problem("no-such-gateway")
        return _checked(hook, settings.gateway_receive_keys)

    return checked


def signed_with_weather_keys(hook: Hook) -> Callable[[], Response]:
    """Call `hook` only with what was signed with one of the keys for weather."""

    @open_to_signers
    @wraps(hook)
    def checked() -> Response:
        return _checked(hook, the_house().settings.weather_keys)

    return checked


def _checked(hook: Hook, file: Path) -> Response:
    """Call `hook` with a post that was signed with one of the keys in a file, or tell why not."""
    request.max_content_length = LONGEST_BODY
    try:
        body = request.get_data(cache=False)
        headers = {name.lower(): value for name, value in request.headers.items()}
        post_id = read_keys(file).verify(headers, body, now=the_house().real_clock.now())
    except RequestEntityTooLarge:
        return problem("too-long")
    except SettingError as error:
        logger().error("hook_without_keys", reason=str(error))
        return problem("no-keys")
    except BadSignature as error:
        logger().warning("hook_refused", reason=str(error))
        return problem("bad-signature", str(error))
    return hook(post_id, body)
