"""The hook for weather: signed like a gateway's posts, with keys of its own.

Posted again under the same id it has no effect and gets 200 again. What cannot be taken gets 400 with one sentence,
nothing of it is kept, and mended it may come under the same id.
"""

import json
from typing import Annotated, Any, Final

from flask import Response, jsonify
from pydantic import BaseModel, ConfigDict, Field, StringConstraints, ValidationError

from service.core.errors import Refused
from service.db.engine import is_away
from service.logs import logger
from service.use_cases.weather.posts import WeatherPost, take_weather_post
from service.web.hooks.bodies import BadBody, Moment
from service.web.hooks.problems import problem
from service.web.house import the_house

_Name = Annotated[str, StringConstraints(strip_whitespace=True, min_length=1, max_length=80)]
_Lines = Annotated[list[dict[str, Any]], Field(max_length=1_000)]


class _Body(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)

    district: _Name
    sender: _Name
    issued_at: Moment | None = None
    days: _Lines = []
    hours: _Lines = []


# The library's own sentence would not say what to do.
_OWN_WORDS: Final = {"extra_forbidden": "is not known: take it out", "missing": "is missing: add it"}


def take_weather(post_id: str, body: bytes) -> Response:
    """Take one post of weather."""
    house = the_house()
    try:
        post = _read(body)
        with house.database.work() as work:
            new = take_weather_post(
                work,
                house.tools,
                post_id,
                post,
                posted_at=house.real_clock.now(),
                now=house.service_clock.now(),
            )
    except BadBody as error:
        return problem("not-json", str(error))
    except Refused as refusal:
        return problem("bad-weather", str(refusal))
    except Exception as error:
        if not is_away(error):
            raise
        logger().warning("hook_not_stored", error=type(error).__name__)
        return problem("busy")
    return jsonify(new=new)


def _read(body: bytes) -> WeatherPost:
    """Read what was posted.

    Raises:
        BadBody: it is not what is agreed.
    """
    try:
        read = _Body.model_validate(json.loads(body))
    except ValidationError as error:
        first = error.errors(include_url=False, include_input=False, include_context=False)[0]
        place = ".".join(str(step)[:40] for step in first["loc"])
        raise BadBody(f"{place or 'the body'}: {_OWN_WORDS.get(first['type'], first['msg'])}.") from error
    except (ValueError, RecursionError) as error:
        raise BadBody("the body is no JSON") from error
    return WeatherPost(
        district=read.district,
        sender=read.sender,
        issued_at=read.issued_at,
        days=read.days,
        hours=read.hours,
    )
