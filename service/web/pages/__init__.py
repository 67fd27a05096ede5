"""Pages for people, one blueprint a noun. A new one is added to BLUEPRINTS."""

from service.web.pages.about import bp as about
from service.web.pages.advice import bp as advice
from service.web.pages.aim import bp as aim
from service.web.pages.codes import bp as codes
from service.web.pages.day_plan import bp as day_plan
from service.web.pages.days import bp as days
from service.web.pages.desk import bp as desk
from service.web.pages.documents import bp as documents
from service.web.pages.entries import bp as entries
from service.web.pages.erasing import bp as erasing
from service.web.pages.flights import bp as flights
from service.web.pages.jobs import bp as jobs
from service.web.pages.learning import bp as learning
from service.web.pages.motors import bp as motors
from service.web.pages.organiser import bp as organiser
from service.web.pages.pads import bp as pads
from service.web.pages.people import bp as people
from service.web.pages.registering import bp as registering
from service.web.pages.replacing import bp as replacing
from service.web.pages.rulings import bp as rulings
from service.web.pages.sheets import bp as sheets
from service.web.pages.sizing import bp as sizing
from service.web.pages.staff import bp as staff
from service.web.pages.weather import bp as weather

BLUEPRINTS = (
    about,
    advice,
    aim,
    codes,
    day_plan,
    days,
    desk,
    documents,
    entries,
    erasing,
    flights,
    jobs,
    learning,
    motors,
    organiser,
    pads,
    people,
    registering,
    replacing,
    rulings,
    sheets,
    sizing,
    staff,
    weather,
)
