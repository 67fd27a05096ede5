"""What the flight model refuses to do, and why.

FlightError
├── OutsideModel         a value lies outside what the equations were made for
└── IntegrationStopped   a flight could not be flown to its end
"""


class FlightError(ValueError):
    """Base of everything this package raises on purpose."""


class OutsideModel(FlightError):
    """An input is outside the range in which the model holds. The text names it, with its unit."""


class IntegrationStopped(FlightError):
    """The integrator gave up. The text gives the time, the state and the thing to look at."""
