"""The API under /api/v1: the same powers as the pages, described by OpenAPI 3.1. One blueprint a noun."""

from service.web.api.account import bp as account
from service.web.api.advice import bp as advice
from service.web.api.aim import bp as aim
from service.web.api.codes import bp as codes
from service.web.api.day_plan import bp as day_plan
from service.web.api.days import bp as days
from service.web.api.description import bp as description
from service.web.api.documents import bp as documents
from service.web.api.entries import bp as entries
from service.web.api.flights import bp as flights
from service.web.api.jobs import bp as jobs
from service.web.api.learning import bp as learning
from service.web.api.links import bp as links
from service.web.api.motors import bp as motors
from service.web.api.pads import bp as pads
from service.web.api.people import bp as people
from service.web.api.rulings import bp as rulings
from service.web.api.service import bp as service
from service.web.api.sheets import bp as sheets
from service.web.api.sizing import bp as sizing
from service.web.api.weather import bp as weather
from service.web.api.weather_texts import bp as weather_texts

BLUEPRINTS = (
    description,
    account,
    advice,
    aim,
    codes,
    day_plan,
    days,
    documents,
    entries,
    flights,
    jobs,
    learning,
    links,
    motors,
    pads,
    people,
    rulings,
    service,
    sheets,
    sizing,
    weather,
    weather_texts,
)
