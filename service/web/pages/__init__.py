"""Pages for people, one blueprint a noun. A new one is added to BLUEPRINTS."""

from service.web.pages.about import bp as about
from service.web.pages.days import bp as days
from service.web.pages.entries import bp as entries
from service.web.pages.people import bp as people
from service.web.pages.registering import bp as registering

BLUEPRINTS = (about, days, entries, people, registering)
