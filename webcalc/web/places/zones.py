"""The time zone of a place by the towns around it, and the doubt whether place and zone belong together.

Measured on 6,000 points on all land and 6,000 within 30 km of a town, against the polygons of the zones (see
``tests/data/generators/site_zones.py``): where the three nearest towns lie within 100 km and have the same rules, these
are the place's in 99.1 % on all land and 99.8 % near towns; elsewhere it is asked.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from functools import lru_cache

from webcalc.calc.light.place import Spot
from webcalc.calc.schedule.zone import load_zone, names_of_zone, offset_changes
from webcalc.web.places.towns import Town, km_to_zone, nearest_towns

#: Distance of the third nearest town from which the zone is asked about, kilometres.
NEAR_KM = 100
#: Distance between a place and the nearest town of its zone from which both are doubted, kilometres. Over all towns it
#: finds 99.6 % of lost minus signs and 89 % of swapped pairs, at 0.5 % false alarms.
FAR_KM = 2_000
#: A larger town that is as near as this names the place better than a part of it.
_NAMES_KM = 10
#: How long rules are compared where the shoot's end isn't known, and at the most.
_WITHOUT_END, _LONGEST = timedelta(days=731), timedelta(days=3_660)


@dataclass(frozen=True)
class ZoneNear:
    """A zone as a town near the place has it."""

    zone: str
    town: Town
    km: float


@dataclass(frozen=True)
class Stretch:
    """The dates over which two zones' rules are compared: those of the shoot, as far as they are known."""

    first: date
    last: date

    @classmethod
    def of(cls, first: date | None, last: date | None, today: date) -> Stretch:
        """Return the stretch of a shoot; without dates the two years from today."""
        start = first or today
        end = last if last and last >= start else start + _WITHOUT_END
        return cls(start, min(end, start + _LONGEST))


@lru_cache(maxsize=512)
def _rules(zone: str, during: Stretch) -> object:
    """Return what the clocks of a zone do on those dates and the days around; equal for zones that agree."""
    found = load_zone(zone)
    start = datetime.combine(during.first - timedelta(1), time(), UTC)
    end = datetime.combine(during.last + timedelta(2), time(), UTC)
    changes = offset_changes(found, start, end)
    return start.astimezone(found).utcoffset(), tuple((change.at_utc, change.after) for change in changes)


def same_rules(one: str, other: str, during: Stretch) -> bool:
    """Whether two zones have the same clocks all through the shoot."""
    return one == other or _rules(one, during) == _rules(other, during)


def zones_near(spot: Spot, during: Stretch) -> list[ZoneNear]:
    """Return the zones of the towns around a place, the likeliest first; zones with equal rules count as one.

    A town that the place was found by has its own zone, and no other.
    """
    around = _around(spot)
    own = next((town for town, km in around if spot.name == town.label and km < 1), None)
    if own is not None:
        return [ZoneNear(own.zone, own, 0.0)]
    found: list[ZoneNear] = []
    for town, km in around:
        if not any(same_rules(town.zone, other.zone, during) for other in found):
            named, named_km = _namesake(around, town, km)
            found.append(ZoneNear(town.zone, named, named_km))
    return found


def zone_of(spot: Spot, during: Stretch) -> ZoneNear | None:
    """Return the zone of a place where the towns around leave no doubt, else None: then it is asked."""
    found = zones_near(spot, during)
    if spot.name and found and spot.name == found[0].town.label:
        return found[0]
    nearest = _around(spot)[:3]
    sure = nearest[-1][1] <= NEAR_KM and all(same_rules(town.zone, found[0].zone, during) for town, _ in nearest)
    return found[0] if sure else None


def _around(spot: Spot) -> tuple[tuple[Town, float], ...]:
    return nearest_towns(float(spot.latitude_deg), float(spot.longitude_deg))


def _namesake(around: tuple[tuple[Town, float], ...], town: Town, km: float) -> tuple[Town, float]:
    """Return the largest town of the same zone that is about as near: Lyon rather than a part of it."""
    near = [(other, away) for other, away in around if other.zone == town.zone and away <= max(km, _NAMES_KM)]
    return max(near, key=lambda one: one[0].thousands)


def belongs(latitude_deg: float, longitude_deg: float, zone: str) -> bool:
    """Whether a place isn't far from all towns of a zone; zones without towns (UTC, fixed offsets) aren't doubted."""
    if any(town.zone == zone and km <= FAR_KM for town, km in nearest_towns(latitude_deg, longitude_deg)):
        return True
    away = [km for name in names_of_zone(zone) if (km := km_to_zone(latitude_deg, longitude_deg, name)) is not None]
    return not away or min(away) <= FAR_KM
