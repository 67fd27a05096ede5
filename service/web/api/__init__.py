"""The API under /api/v1: the same powers as the pages, described by OpenAPI 3.1. One blueprint a noun."""

from service.web.api.days import bp as days
from service.web.api.description import bp as description
from service.web.api.entries import bp as entries
from service.web.api.jobs import bp as jobs
from service.web.api.motors import bp as motors
from service.web.api.rulings import bp as rulings
from service.web.api.weather import bp as weather

BLUEPRINTS = (description, days, entries, jobs, motors, rulings, weather)
