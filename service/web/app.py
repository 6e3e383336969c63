"""Builds the web application; nothing is opened or read before this is called."""

from pathlib import Path
from typing import Final

from flask import Flask
from jinja2 import StrictUndefined

from service.web import words
from service.web.account.views import pages as account_pages
from service.web.alerts.drafts import pages as draft_pages
from service.web.alerts.views import pages as alert_pages
from service.web.amounts import figures
from service.web.assets import asset_pages, read_assets
from service.web.care.money import pages as told_money_pages
from service.web.care.numbers import pages as number_pages
from service.web.care.views import pages as care_pages
from service.web.care.weights import pages as weight_pages
from service.web.clock.views import pages as clock_pages
from service.web.cohorts.views import pages as cohort_pages
from service.web.collections.clerk import pages as clerk_pages
from service.web.collections.days import pages as collection_pages
from service.web.collections.paid import pages as paid_pages
from service.web.doubts.views import pages as doubt_pages
from service.web.farmers.silent import pages as silent_pages
from service.web.farmers.views import pages as farmer_pages
from service.web.faults import install_faults
from service.web.forecast.views import pages as forecast_pages
from service.web.guard import install_guard
from service.web.headers import install_headers
from service.web.health.views import pages as health_pages
from service.web.hooks.views import pages as hook_pages
from service.web.house import House, keep_house, the_house
from service.web.kept import install_refill
from service.web.menu import in_doubt, menu
from service.web.metrics.views import pages as metrics_pages
from service.web.officers.views import pages as officer_pages
from service.web.paper.views import pages as paper_pages
from service.web.permissions import check_permissions
from service.web.plots.views import pages as plot_pages
from service.web.practice.views import pages as practice_pages
from service.web.prices.views import pages as price_pages
from service.web.questions.views import pages as question_pages
from service.web.register.adding import pages as adding_pages
from service.web.register.views import pages as register_pages
from service.web.report.views import pages as report_pages
from service.web.sessions import form_token, the_session
from service.web.signin.views import pages as signin_pages
from service.web.sprays.views import pages as spray_pages
from service.web.weather.dangers import pages as danger_pages
from service.web.weather.views import pages as weather_pages

_HERE: Final = Path(__file__).parent
# The longest form is one text of a practice phone.
_LONGEST_FORM: Final = 16 * 1024


def create_app(house: House) -> Flask:
    """Return the pages of `house` as a WSGI application.

    Raises:
        NoPermission: a route does not say whom it is for.
    """
    app = Flask("service.web", static_folder=None, template_folder=str(_HERE))
    app.config["MAX_CONTENT_LENGTH"] = _LONGEST_FORM
    app.jinja_env.undefined = StrictUndefined
    app.jinja_env.trim_blocks = app.jinja_env.lstrip_blocks = True
    keep_house(app.extensions, house)
    assets = read_assets()
    app.jinja_env.globals.update(
        assets={name: f"/static/{name}?v={asset.version}" for name, asset in assets.items()},
        form_token=form_token,
        the_session=the_session,
        menu=menu,
        in_doubt=in_doubt,
    )
    app.jinja_env.filters.update(words.FILTERS)
    app.jinja_env.filters["money"] = figures
    app.context_processor(_of_the_house)
    install_guard(app)
    install_headers(app)
    # After the headers, and so before them when a page leaves: what is packed cannot be filled.
    install_refill(app)
    install_faults(app)
    for pages in (
        signin_pages,
        account_pages,
        officer_pages,
        farmer_pages,
        silent_pages,
        register_pages,
        adding_pages,
        care_pages,
        number_pages,
        weight_pages,
        told_money_pages,
        plot_pages,
        spray_pages,
        collection_pages,
        clerk_pages,
        paid_pages,
        paper_pages,
        alert_pages,
        draft_pages,
        report_pages,
        forecast_pages,
        cohort_pages,
        doubt_pages,
        question_pages,
        price_pages,
        weather_pages,
        danger_pages,
        practice_pages,
        clock_pages,
        health_pages,
        metrics_pages,
        hook_pages,
        asset_pages(assets),
    ):
        app.register_blueprint(pages)
    check_permissions(app)
    return app


def _of_the_house() -> dict[str, object]:
    settings = the_house().settings
    return {"programme": settings.programme, "demo": settings.demo}
