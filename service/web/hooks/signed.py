"""Who may post to the hooks: whoever signs with a key of the gateway, and nobody else.

Sessions and form tokens have no part in it; the signature is the permission. It is checked over the bytes as they came,
before anything reads them.
"""

from collections.abc import Callable
from functools import wraps
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
        request.max_content_length = LONGEST_BODY
        try:
            body = request.get_data(cache=False)
            headers = {name.lower(): value for name, value in request.headers.items()}
            keys = read_keys(settings.gateway_receive_keys)
            post_id = keys.verify(headers, body, now=the_house().real_clock.now())
        except RequestEntityTooLarge:
            return problem("too-long")
        except SettingError as error:
            logger().error("hook_without_keys", reason=str(error))
            return problem("no-keys")
        except BadSignature as error:
            logger().warning("hook_refused", reason=str(error))
            return problem("bad-signature", str(error))
        return hook(post_id, body)

    return checked
