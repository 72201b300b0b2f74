"""Several cameras looked after by one crew: their visits as one list of drives, and what each drive takes."""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from functools import cached_property

from webcalc.calc.schedule.length import ShootLength, last_day
from webcalc.calc.shoot import Shoot
from webcalc.calc.typed import Real
from webcalc.calc.unknown import known, need, or_none
from webcalc.calc.verdict import CALLING, Part, Verdict, judge
from webcalc.calc.visits.drive_days import CameraNeeds
from webcalc.calc.visits.joint import CameraVisit, Drive, JointVisits, joint_visits
from webcalc.calc.visits.planner import VisitPlanner
from webcalc.calc.visits.rules import Standing
from webcalc.calc.visits.shoot import STOP, Bring

#: Farther apart two cameras are no single drive, if nothing else is said; own choice, a day's driving there and back.
DRIVE_KM = 500
_EARTH_KM = 6371.0088
Slot = tuple[datetime, datetime]


def distance_km(one: tuple[float, float], other: tuple[float, float]) -> float:
    """Return the great-circle distance of two points in degrees (haversine; sphere of the mean radius of the Earth)."""
    (lat1, lon1), (lat2, lon2) = ([math.radians(degrees) for degrees in point] for point in (one, other))
    half = math.sin((lat2 - lat1) / 2) ** 2 + math.cos(lat1) * math.cos(lat2) * math.sin((lon2 - lon1) / 2) ** 2
    return 2 * _EARTH_KM * math.asin(min(1.0, math.sqrt(half)))


@dataclass(frozen=True)
class Camera:
    """One camera: the line that it comes from, its name, its shoot."""

    line: int
    name: str
    shoot: Shoot

    @property
    def planner(self) -> VisitPlanner:
        """How its visits are found; ask only where it is known."""
        return need(self.shoot.visits.planner)

    @property
    def standing(self) -> Standing | None:
        """How the last visit left it, where that is known."""
        return or_none(self.shoot.done.standing(self.planner))

    @cached_property
    def calling(self) -> Verdict:
        """The verdict on what may call for a visit."""
        return judge(self.shoot, CALLING)

    @property
    def uncounted(self) -> tuple[Part, ...]:
        """What its dates don't count because it isn't known, or contradicts itself: somebody may be needed sooner."""
        battery = self.shoot.battery
        doubted = {Part.BATTERY} if battery.needed and battery.contradicted is not False else set()
        return tuple(part for part in CALLING if part in doubted.union(self.calling.unknown))

    def bring(self, seen: CameraVisit) -> Bring:
        """Return what a visit takes."""
        return self.shoot.visits.bring(self.planner, seen.visit)


@dataclass
class Packed:
    """What to take along, by type: cards by GB, batteries by energy and type, cells by type; and what isn't known."""

    cards: Counter[Real | None] = field(default_factory=Counter)
    batteries: Counter[tuple[float | None, str | None]] = field(default_factory=Counter)
    cells: Counter[str | None] = field(default_factory=Counter)
    cards_unknown: int = 0
    batteries_unknown: int = 0

    def add(self, bring: Bring) -> None:
        """Add what one visit takes."""
        if bring.cards is None:
            self.cards_unknown += 1
        elif bring.cards:
            self.cards[bring.card_gb] += bring.cards
        if bring.batteries is None:
            self.batteries_unknown += 1
        elif bring.cells:
            self.cells[bring.cell] += bring.cells
        elif bring.batteries:
            self.batteries[(bring.battery_wh, bring.cell)] += bring.batteries


@dataclass(frozen=True)
class Trade:
    """What coming early by so many days at most makes of a period: its drives, and the visits of cameras on them."""

    early_days: int
    drives: int
    camera_visits: int


@dataclass(frozen=True, eq=False)
class Fleet:
    """Cameras, the instant (aware) at which somebody asks, how far ahead to look, and how early one may come.

    early_days : days before a visit is due; None: each camera's own margin
    """

    cameras: Sequence[Camera]
    instant: datetime
    ahead: ShootLength
    early_days: int | None = None
    most_visits: int | None = None
    #: Cameras that record nothing: they need no drive, and somebody to look at their plans.
    idle: Sequence[Camera] = ()
    #: Farther apart two cameras are no single drive.
    near_km: float = DRIVE_KM

    @cached_property
    def since(self) -> date:
        """The earliest of the cameras' dates of today."""
        return min((self._today(camera) for camera in self.cameras), default=self.instant.date())

    @property
    def until(self) -> date:
        """The last date that is looked at."""
        return last_day(self.since, self.ahead)

    def _today(self, camera: Camera) -> date:
        zone = camera.shoot.daylight.zone
        return self.instant.astimezone(zone if known(zone) else None).date()

    @cached_property
    def visits(self) -> JointVisits:
        """The drives of the period. Raises TooManyVisits above ``most_visits``."""
        return self._with(self.early_days)

    def _with(self, early_days: int | None) -> JointVisits:
        days = [camera.planner.rules.margin_days if early_days is None else early_days for camera in self.cameras]
        cameras = list(zip(self._needs, days, strict=True))
        return joint_visits(cameras, self.since, self.until, self.most_visits, self._near)

    def trade(self, early_days: Sequence[int]) -> tuple[Trade, ...]:
        """Return what each number of days early makes of the period. Raises TooManyVisits like ``visits``."""
        found = []
        for days in early_days:
            drives = self._with(days).drives
            found.append(Trade(days, len(drives), sum(len(drive.cameras) for drive in drives)))
        return tuple(found)

    @cached_property
    def _needs(self) -> list[CameraNeeds]:
        """What each camera needs, worked out once for every list of drives."""
        return [
            CameraNeeds(
                camera.planner,
                camera.standing,
                self._today(camera) if camera.shoot.done.any else None,
                camera.shoot.done.made,
            )
            for camera in self.cameras
        ]

    def _near(self, one: int, other: int) -> bool:
        """Whether one drive reaches both; taken so where a place isn't known."""
        places = [self.cameras[n].shoot.daylight.coordinates for n in (one, other)]
        if not all(known(place) for place in places):
            return True
        return distance_km(*(need(place) for place in places)) <= self.near_km

    def camera(self, seen: CameraVisit) -> Camera:
        """Return the camera of a visit."""
        return self.cameras[seen.camera]

    def bring(self, drives: Sequence[Drive]) -> Packed:
        """Return what these drives take."""
        packed = Packed()
        for drive in drives:
            for seen in drive.cameras:
                packed.add(self.camera(seen).bring(seen))
        return packed

    def slot(self, drive: Drive) -> Slot | None:
        """Return the light that all cameras of a drive share, by the first one's clock.

        None where it isn't known, or there is none.
        """
        slots = [self.camera(seen).shoot.visits.slot(seen.visit) for seen in drive.cameras]
        aware = [slot for slot in slots if slot is not None and slot[0].tzinfo is not None]
        if not slots or len(aware) < len(slots):
            return None
        zone = aware[0][0].tzinfo
        begin = max(slot[0] for slot in aware).astimezone(zone)
        end = min(slot[1] for slot in aware).astimezone(zone)
        return (begin, end) if begin < end else None

    def stops(self, drive: Drive) -> Slot | None:
        """Return how long the stops of a drive take from the first light on, the way between them aside."""
        slot = self.slot(drive)
        return (slot[0], min(slot[1], slot[0] + len(drive.cameras) * STOP)) if slot else None

    def zones(self, drive: Drive | None = None) -> list[str]:
        """Return the zones of a drive's cameras, or of all, each once, in order."""
        cameras = self.cameras if drive is None else [self.camera(seen) for seen in drive.cameras]
        keys = [camera.shoot.daylight.zone_key for camera in cameras]
        return list(dict.fromkeys(key for key in keys if known(key)))

    @property
    def over(self) -> list[Camera]:
        """The cameras that were fetched before the period."""
        listed = {seen.camera for drive in self.visits.drives for seen in drive.cameras}
        open_ones = {*self.visits.later, *self.visits.impossible, *self.visits.endless}
        return [camera for n, camera in enumerate(self.cameras) if n not in listed | open_ones]

    @property
    def not_counted(self) -> dict[Part, list[Camera]]:
        """What the dates don't count because it isn't known, and of which cameras."""
        return {part: [camera for camera in self.cameras if part in camera.uncounted] for part in CALLING}
