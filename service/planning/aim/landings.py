"""Where each setting puts the landings. All fly the same draws, so two differ by the lean and not by chance."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field, replace

import numpy as np
import shapely

from geo.inside import lie_inside
from service.flight.dispersion import disperse, standard_gust_sigma_mps
from service.flight.errors import FlightError
from service.models.field import Pad
from service.planning.advise.errors import AdviceStopped
from service.planning.aim.settings import Setting
from service.planning.assess import SEED
from service.planning.flight_inputs import FlightInputs, with_guide
from service.planning.ground import GATHERING_KINDS, Ground


@dataclass(frozen=True)
class Landed:
    """One setting flown: mean planned landing in the ground's frame, and shares of the flights."""

    tilt_deg: float
    azimuth_deg: float
    east_m: float
    north_m: float
    distance_m: float
    outside: float
    ballistic_outside: float
    people: float
    ballistic_people: float
    toward_people: bool
    samples: int

    @property
    def key(self) -> tuple[float, bool, float, float]:
        """The smaller, the better: nobody under a ballistic flight first, then no lean toward people, then nobody
        under a planned landing; the distance to the target decides among what is left."""
        return self.ballistic_people, self.toward_people, self.people, self.distance_m

    @property
    def harm(self) -> tuple[float, float, float, float, bool, float]:
        """The greater, the worse."""
        leaves = self.ballistic_outside, self.outside
        return self.ballistic_people, self.people, *leaves, self.toward_people, self.distance_m

    @property
    def near_people(self) -> bool:
        """Whether any flight came down among people, in either way."""
        return self.people > 0.0 or self.ballistic_people > 0.0


@dataclass
class Landings:
    """Flies settings of one pad and remembers them; `target` is in the ground's frame. [m]"""

    inputs: FlightInputs
    pad: Pad
    ground: Ground
    target: tuple[float, float]
    samples: int
    threads: int | None = None
    should_stop: Callable[[], bool] = lambda: False
    on_flown: Callable[[int], None] = lambda flown: None
    _known: dict[Setting, Landed | None] = field(default_factory=dict)

    @property
    def known(self) -> dict[Setting, Landed]:
        """All settings flown so far that could be."""
        return {each: landed for each, landed in self._known.items() if landed is not None}

    def at(self, setting: Setting) -> Landed | None:
        """One setting; None where its flight cannot be computed."""
        if setting not in self._known:
            self._known[setting] = self.fly(setting.tilt_deg, setting.azimuth_deg)
            self.on_flown(len(self._known))
        return self._known[setting]

    def with_samples(self, samples: int) -> Landings:
        """The same with another number of flights, nothing flown yet."""
        return replace(self, samples=samples, _known={})

    def fly(self, tilt_deg: float, azimuth_deg: float) -> Landed | None:
        """Any tilt and azimuth, the lattice's or not.

        Raises
        ------
        AdviceStopped
            When the asker has called it off.
        """
        if self.should_stop():
            raise AdviceStopped("called off; nothing was changed")
        guide = replace(
            self.inputs.setup.guide, tilt_rad=math.radians(tilt_deg), azimuth_rad=math.radians(azimuth_deg)
        )
        inputs = with_guide(self.inputs, guide)
        gust = inputs.gust_sigma_mps
        try:
            found = disperse(
                inputs.setup, samples=self.samples, seed=SEED, spreads=inputs.spreads,
                gust_sigma_mps=None if gust is None else max(gust, standard_gust_sigma_mps(inputs.setup)),
                unknown_shape=inputs.unknown_shape, soft_devices=inputs.soft_devices, threads=self.threads,
            )  # fmt: skip
        except FlightError:
            return None
        if not np.all(found.flown):
            return None  # where a flight is not known, nor is the mean
        pad_east, pad_north = self.ground.pad_at(self.pad)
        planned, ballistic = (
            found.landings[mode][:, :2] + (pad_east, pad_north) for mode in ("planned", "no_deployment")
        )
        east, north = (float(value) for value in planned.mean(axis=0))
        people = self.ground.union("people")
        leant = self.pad.model_copy(update={"tilt_deg": tilt_deg, "azimuth_deg": azimuth_deg})
        return Landed(
            tilt_deg=tilt_deg,
            azimuth_deg=azimuth_deg,
            east_m=east,
            north_m=north,
            distance_m=math.hypot(east - self.target[0], north - self.target[1]),
            outside=1.0 - _share(self.ground.boundary, planned),
            ballistic_outside=1.0 - _share(self.ground.boundary, ballistic),
            people=_share(people, planned),
            ballistic_people=_share(people, ballistic),
            toward_people=self.ground.leans_toward(leant, *GATHERING_KINDS),
            samples=self.samples,
        )


def _share(area: shapely.Geometry | None, points: np.ndarray) -> float:
    return 0.0 if area is None else float(np.mean(lie_inside(area, points[:, 0], points[:, 1])))
