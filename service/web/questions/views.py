"""One question or call for help: the words, the phone to call, an answer by text, and what was done."""

from collections.abc import Callable
from typing import Final

from flask import Blueprint, abort, redirect, render_template, request, url_for
from werkzeug.wrappers import Response

from service.clock import local_day
from service.core.errors import Refused
from service.core.phone import spaced
from service.core.question_ports import Question, Way
from service.core.rights import Permission
from service.use_cases import questions
from service.use_cases.alerts.writing import MOST_PARTS, Written, cheaper
from service.use_cases.questions import NoQuestion, Settled
from service.web.house import Work, the_house
from service.web.permissions import needs, the_officer
from service.web.questions import reasons
from service.web.questions.thread import tell

pages = Blueprint("questions", __name__)

_ONE: Final = "/questions/<code>"
_CLOSING: Final = {"called": Way.CALLED, "done": Way.DONE}


@pages.app_template_filter("answered_in")
def _answered_in(question: Question) -> str:
    return questions.language_of(the_house().tools, question)


pages.add_app_template_filter(reasons.reason, "call_reason")
pages.add_app_template_filter(reasons.why_language, "why_language")
pages.add_app_template_test(lambda question: question.urgency in reasons.URGENT, "urgent")


@pages.get(_ONE)
@needs(Permission.ANSWER)
def show(code: str) -> str:
    """Show one question, with what was done about it."""
    return _page(code)


@pages.post(f"{_ONE}/measure")
@needs(Permission.ANSWER)
def measure(code: str) -> str:
    """Return what the words typed so far would become and cost, for the script that keeps the form fresh."""
    words = request.form.get("words", "")
    return render_template("questions/measured.html", **_measured(_written(code, words)))


@pages.post(f"{_ONE}/answer")
@needs(Permission.ANSWER)
def answer(code: str) -> Response | str | tuple[str, int]:
    """Text the answer, or show what it would cost."""
    words = request.form.get("words", "")
    if request.form.get("do") == "measure":
        return _page(code, words=words)
    house, officer = the_house(), the_officer()

    def send(work: Work) -> None:
        questions.answer(
            work,
            house.tools,
            officer,
            code,
            words,
            now=house.service_clock.now(),
            real_now=house.real_clock.now(),
        )

    return _do(code, send, words=words)


@pages.post(f"{_ONE}/close")
@needs(Permission.ANSWER)
def close(code: str) -> Response | tuple[str, int]:
    """Close it without a text."""
    house, officer = the_house(), the_officer()
    way = _CLOSING.get(request.form.get("do", "")) or abort(400)

    def settle(work: Work) -> None:
        questions.close(
            work,
            house.tools,
            officer,
            code,
            way=way,
            remark=request.form.get("note", ""),
            now=house.service_clock.now(),
            real_now=house.real_clock.now(),
        )

    return _do(code, settle)


@pages.post(f"{_ONE}/open")
@needs(Permission.ANSWER)
def open_again(code: str) -> Response | tuple[str, int]:
    """Open it again."""
    house, officer = the_house(), the_officer()

    def reopen(work: Work) -> None:
        questions.open_again(
            work, officer, code, now=house.service_clock.now(), real_now=house.real_clock.now()
        )

    return _do(code, reopen)


@pages.post(f"{_ONE}/number")
@needs(Permission.ANSWER)
def number(code: str) -> str:
    """Show the phone's number, to be called; it stands in no address, and that it was shown is kept."""
    house = the_house()
    try:
        with house.database.work() as work:
            found = questions.show_number(work, the_officer(), code, real_now=house.real_clock.now())
    except NoQuestion:
        abort(404)
    return _page(code, number=found or "")


def _do(code: str, deed: Callable[[Work], None], words: str = "") -> Response | tuple[str, int]:
    """Do what a button says, and show what has become of the question."""
    try:
        with the_house().database.work() as work:
            deed(work)
    except NoQuestion:
        abort(404)
    except Settled as refusal:
        return _page(code, wrong=str(refusal), words=words), 409
    except Refused as refusal:
        return _page(code, wrong=str(refusal), words=words), 400
    return redirect(url_for("questions.show", code=code), code=303)


def _page(code: str, *, wrong: str | None = None, words: str = "", number: str | None = None) -> str:
    house = the_house()
    now = house.service_clock.now()
    with house.database.look() as work:
        question = work.questions.find(the_officer().districts, code) or abort(404)
        (asked,) = tell([question], work.questions.answers([question.id]), now)
        written = (
            questions.write(work, house.tools, the_officer(), question, words) if words.strip() else None
        )
    zone = question.zone or house.settings.zone
    return render_template(
        "questions/show.html",
        asked=asked,
        question=question,
        number=number,
        spaced=spaced(number) if number else None,
        words=words,
        wrong=wrong,
        now=now,
        zone=zone,
        today=local_day(now, zone),
        **_measured(written),
    )


def _written(code: str, words: str) -> Written | None:
    house, officer = the_house(), the_officer()
    with house.database.look() as work:
        question = work.questions.find(officer.districts, code) or abort(404)
        return questions.write(work, house.tools, officer, question, words) if words.strip() else None


def _measured(written: Written | None) -> dict[str, object]:
    return {"written": written, "most_parts": MOST_PARTS, "cheaper": cheaper}
