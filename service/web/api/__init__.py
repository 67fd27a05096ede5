"""The API under /api/v1: the same powers as the pages, described by OpenAPI 3.1. One blueprint a noun."""

from service.web.api.advice import bp as advice
from service.web.api.aim import bp as aim
from service.web.api.day_plan import bp as day_plan
from service.web.api.days import bp as days
from service.web.api.description import bp as description
from service.web.api.entries import bp as entries
from service.web.api.jobs import bp as jobs
from service.web.api.learning import bp as learning
from service.web.api.motors import bp as motors
from service.web.api.rulings import bp as rulings
from service.web.api.sizing import bp as sizing
from service.web.api.weather import bp as weather

BLUEPRINTS = (description, days, day_plan, entries, advice, aim, jobs, learning, motors, rulings, sizing, weather)
