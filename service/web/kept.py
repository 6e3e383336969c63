"""What was typed when the session had ended: kept, and put back into its form after signing in.

The form goes nowhere by itself. Only one that brought the ended session's own token back is kept, for that session's
officer, for an hour; what a form says to a page of passwords is never kept.
"""

from typing import Final
from urllib.parse import parse_qs, urlsplit

from flask import Flask, Response, current_app, redirect, render_template, request, url_for
from werkzeug.exceptions import HTTPException
from werkzeug.wrappers import Response as AnyResponse

from service.core.staff import KeptForm, Officer
from service.use_cases.kept_forms import drop_form, form_of, keep_form
from service.use_cases.sessions import ended_session
from service.web.house import the_house
from service.web.refill import Refill
from service.web.sessions import FORM_FIELD, cookie_token, form_token_matches, the_session

KEPT: Final = "kept"
# Their forms hold passwords, or do at once what a press means and have nothing typed in them.
_NEVER: Final = frozenset({"signin", "account", "officers", "clock"})


def keep_what_was_typed() -> AnyResponse | None:
    """Keep the form of this request for the officer whose session has ended, and send them to sign in.

    Returns:
        None where there is nothing to keep, or nobody to keep it for.
    """
    token = cookie_token()
    if token is None or request.blueprint in _NEVER:
        return None
    house = the_house()
    now = house.real_clock.now()
    with house.database.work() as work:
        session = ended_session(work.logins, token, now)
        if session is None or not form_token_matches(session, request.form.get(FORM_FIELD, "")):
            return None
        form = KeptForm(
            page=_page(),
            action=_whole(request.path, request.query_string.decode()),
            fields=tuple(
                (name, value) for name, value in request.form.items(multi=True) if name != FORM_FIELD
            ),
            with_file=any(file.filename for file in request.files.values()),
        )
        keep_form(work, session.officer, form, now)
    to = f"{form.page}{'&' if '?' in form.page else '?'}{KEPT}=1"
    return redirect(url_for("signin.ask", to=to, kept=1), code=303)


def drop_what_was_kept(officer: Officer) -> None:
    """Forget a kept form once a form is sent from the page on which it was filled."""
    if KEPT not in parse_qs(urlsplit(request.referrer or "").query):
        return
    with the_house().database.work() as work:
        drop_form(work, officer)


def install_refill(app: Flask) -> None:
    """Fill the form of a page that is opened with what was kept for its officer."""
    app.after_request(_refill)


def _refill(response: Response) -> Response:
    session = the_session()
    if session is None or KEPT not in request.args or response.mimetype != "text/html":
        return response
    house = the_house()
    with house.database.look() as work:
        form = form_of(work, session.officer, house.real_clock.now())
    if form is None:
        return response
    refill = Refill(form.action, request.path, form.fields, frozenset({FORM_FIELD}))
    filled = refill.page(response.get_data(as_text=True))
    above = render_template("kept.html", form=form, filled=refill.found)
    response.set_data(filled.replace('<main id="main">', f'<main id="main">\n{above}', 1))
    return response


def _page() -> str:
    """Return the path of the page that the form stood on, as far as it can be opened again."""
    came = urlsplit(request.referrer or "")
    ours = came.netloc == request.host and _opens(came.path)
    query = "&".join(one for one in came.query.split("&") if one and not one.startswith(f"{KEPT}="))
    if ours:
        return _whole(came.path, query)
    return request.path if _opens(request.path) else url_for("farmers.today")


def _opens(path: str) -> bool:
    try:
        endpoint, _ = current_app.create_url_adapter(request).match(path, method="GET")  # type: ignore[union-attr]
    except HTTPException:
        return False
    return bool(endpoint) and not endpoint.startswith("signin.")


def _whole(path: str, query: str) -> str:
    return f"{path}?{query}" if query else path
