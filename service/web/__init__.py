"""Pages and API. The only package that knows Flask: parse, ask the store or planning, present.

    app = create_app(Config(secret_key=...), open_store("day.db"))

Every route says who may use it (`access.py`); a route that does not is an error when the app is made. What goes
wrong is raised, as `WebError` or as the store's and planning's own errors, and answered in one shape (`errors.py`):
a page for people, an RFC 9457 problem for programs. `serve.py` runs it for a field's own network.
"""

from service.web.app import create_app, put_on
from service.web.config import Config, Rates

__all__ = ["Config", "Rates", "create_app", "put_on"]
