"""Making the app: what it holds, what it checks before each request, which routes it has."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

from flask import Flask, Response, current_app, request
from markupsafe import Markup

from service.planning.pictures import picture_styles, standing_shapes
from service.planning.quantities import figure
from service.planning.weather.told import source_words
from service.planning.words import compass_word
from service.store import Store, StoreError
from service.version import VERSION
from service.web import access, answers, api, csrf, headers, limits, names, pages, reader, words
from service.web.api.query import check_query
from service.web.background import Reassessor
from service.web.callers import Caller, caller
from service.web.config import Config
from service.web.errors import WebError
from service.web.jobs import Jobs
from service.web.passwords import Passwords

STALE_ONCE_CHANGED = ("POST", "PUT", "PATCH", "DELETE")


def create_app(config: Config, store: Store) -> Flask:
    """The service on a store.

    Raises
    ------
    LookupError
        If a route does not say who may use it.
    """
    app = Flask("service.web", static_folder="static", template_folder="templates")
    app.config.update(
        MAX_CONTENT_LENGTH=access.BODY_LIMIT,
        MAX_FORM_MEMORY_SIZE=access.DOCUMENT_LIMIT,
        MAX_FORM_PARTS=2000,
        SESSION_COOKIE_NAME="rangehand",
        SESSION_COOKIE_HTTPONLY=True,
        SESSION_COOKIE_SAMESITE="Lax",  # Strict would drop the session where a private link is followed
        PERMANENT_SESSION_LIFETIME=timedelta(days=180),  # flyers register months before; sign-ins end sooner
        # An answer on its way while somebody signs out must not bring the session of before back.
        SESSION_REFRESH_EACH_REQUEST=False,
    )
    app.json.sort_keys = False  # type: ignore[attr-defined]
    limits.install(app)  # first: what is asked too often is not looked at
    app.before_request(access.guard)
    app.before_request(check_query)
    csrf.install(app)
    headers.install(app)
    answers.install(app)
    app.after_request(_reassess)
    app.view_functions["static"] = access.access("anyone")(_static(app))
    for blueprint in (*pages.BLUEPRINTS, *api.BLUEPRINTS):
        app.register_blueprint(blueprint)
    _words(app)
    bare = access.undeclared(app)
    if bare:
        raise LookupError(f"these routes do not say who may use them: {', '.join(bare)}")
    put_on(app, config, store)
    return app


def put_on(app: Flask, config: Config, store: Store) -> None:
    """Have the service work on a store, under these settings; nothing of another that it worked on is kept."""
    app.secret_key = config.secret_key
    app.config.update(RANGEHAND=config, SESSION_COOKIE_SECURE=config.secure_cookies)
    app.extensions["buckets"] = limits.Buckets()
    app.extensions["store"] = store
    app.extensions["passwords"] = Passwords(*config.password_cost)
    app.extensions["reassessor"] = Reassessor(store, config.clock, config.assess, config.workers)
    for gathered in ("briefs", "uploads"):
        app.extensions.pop(gathered, None)
    app.extensions["jobs"] = Jobs(each=config.jobs_each, kept=config.jobs_kept, stand_ins=config.stand_ins)
    if config.background:
        app.extensions["reassessor"].resume()


def _static(app: Flask) -> Any:
    def static(filename: str) -> Response:
        return app.send_static_file(filename)

    return static


def _reassess(response: Response) -> Response:
    """After any change to a launch day: see that its assessments become current."""
    changed = request.method in STALE_ONCE_CHANGED and response.status_code < 400
    day_id = (request.view_args or {}).get("day_id")
    config: Config = current_app.config["RANGEHAND"]
    if changed and day_id and config.background:
        current_app.extensions["reassessor"].kick(day_id)
    return response


def _words(app: Flask) -> None:
    """What every template may use."""
    marks = {standing: Markup(drawn) for standing, drawn in standing_shapes().items()}
    app.extensions["styles"] = picture_styles()
    app.jinja_env.globals.update(
        standing_mark=marks,
        version=VERSION,
        when=reader.when,
        figure=figure,
        duration=reader.duration,
        name_of=names.name_of,
        with_role=names.with_role,
        compass_word=compass_word,
        source_words=source_words,
        unit_words=reader.UNIT_WORDS,
    )
    app.jinja_env.globals["routes"] = app.view_functions
    app.jinja_env.filters.update(words.FILTERS)
    app.jinja_env.trim_blocks = app.jinja_env.lstrip_blocks = True
    app.jinja_env.globals["m"] = app.jinja_env.get_template("macros.html").module

    @app.context_processor
    def of_this_request() -> dict[str, Any]:
        try:
            return {"who": caller(), "units": reader.units(), "demo": app.config["RANGEHAND"].demo}
        except (StoreError, WebError):  # an error page must not fail on who it is for
            return {"who": Caller(), "units": "si", "demo": False}
