"""The hooks: what a gateway posts is checked, stored and committed, and only then acknowledged with 200.

Posted again under the same id it has no effect and gets 200 again, since the first 200 may have been lost. While the
database cannot take it, it gets 503 and is to be posted again.
"""

from collections.abc import Callable
from typing import Any, Final

from flask import Blueprint, Response, jsonify

from service.core.phone import BadNumber
from service.db.engine import is_away
from service.logs import logger
from service.use_cases.posts import take_post
from service.web.hooks.bodies import (
    BadBody,
    DialoguePost,
    InboundPost,
    LinkPost,
    ReceiptPost,
    read_post,
)
from service.web.hooks.problems import problem
from service.web.hooks.signed import signed_by_gateway, signed_with_weather_keys
from service.web.hooks.weather import take_weather
from service.web.house import the_house

pages = Blueprint("hooks", __name__)


@pages.post("/hooks/v1/<gateway>")
@signed_by_gateway
def take(post_id: str, body: bytes) -> Response:
    """Take one post."""
    try:
        post = read_post(body)
    except BadBody as error:
        return problem("not-json", str(error))
    try:
        return _TAKERS[type(post)](post_id, post)
    except Exception as error:
        if not is_away(error):
            raise
        logger().warning("hook_not_stored", error=type(error).__name__)
        return problem("busy")


@pages.post("/hooks/v1/weather")
@signed_with_weather_keys
def weather(post_id: str, body: bytes) -> Response:
    """Take one post of weather."""
    return take_weather(post_id, body)


def _keep(post_id: str, post: InboundPost | ReceiptPost) -> Response:
    house = the_house()
    event = post.data.event(post_id)
    with house.database.work() as work:
        try:
            new = take_post(
                work,
                house.tools,
                event,
                posted_at=house.real_clock.now(),
                now=house.service_clock.now(),
            )
        except BadNumber as error:
            # A sender that cannot be texted back, like a name instead of a number, is never answered.
            logger().warning("sender_without_number", reason=str(error))
            new = False
    return jsonify(new=new)


def _finish_dialogue(_post_id: str, post: DialoguePost) -> Response:
    """End a dialogue politely: menus by code are not served yet."""
    house = the_house()
    screen = house.catalogue.render(
        "ussd_not_yet", house.settings.language, {"number": house.settings.service_number}
    )
    return jsonify(
        dialogue=post.data.dialogue, turn=post.data.turn, next="finish", screen=screen, alphabet="gsm7"
    )


def _note_link(_post_id: str, post: LinkPost) -> Response:
    logger().warning("gateway_link", up=post.data.up)
    return jsonify(new=True)


_TAKERS: Final[dict[type, Callable[[str, Any], Response]]] = {
    InboundPost: _keep,
    ReceiptPost: _keep,
    DialoguePost: _finish_dialogue,
    LinkPost: _note_link,
}
