"""The organiser's pages of a launch day's header, one part a page."""

from service.web.organise.event import Event
from service.web.organise.ground import Boundary, Pads, Zones
from service.web.organise.limits import Ceilings, Limits
from service.web.organise.part import Part
from service.web.organise.rules import Codes, LocalRules

PARTS: dict[str, Part] = {
    part.slug: part
    for part in (Event(), Boundary(), Zones(), Pads(), Ceilings(), Codes(), LocalRules(), Limits())
}
