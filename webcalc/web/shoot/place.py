"""Where the camera stands, and what its clock reads, from the typed quantities."""

from __future__ import annotations

from datetime import datetime, timedelta, timezone
from functools import cached_property
from zoneinfo import ZoneInfo

from webcalc.calc.light.daylight import LightRule
from webcalc.calc.light.place import Place, Site
from webcalc.calc.light.window import ShootLight, shoot_light
from webcalc.calc.schedule.recording import Recording
from webcalc.calc.schedule.schedule import Schedule
from webcalc.calc.schedule.zone import ZoneProposal, camera_offset, load_zone, nearest_zones
from webcalc.web.link.inputs import Inputs


class ShootPlace:
    """Site, time zone and camera clock. Coordinates go before a geo link, and that before a city."""

    def __init__(self, inputs: Inputs, schedule: Schedule | None) -> None:
        self.inputs = inputs
        self.schedule = schedule

    @cached_property
    def _city(self) -> Place | None:
        return self.inputs.get("place")

    @cached_property
    def site(self) -> Site | None:
        """Return the point that daylight is worked out for; None while it isn't known."""
        get = self.inputs.get
        if self.inputs.has("lat", "lon"):
            return Site(float(get("lat")), float(get("lon")), self.zone_key)
        if self.inputs.has("geo"):
            latitude, longitude = get("geo")
            return Site(float(latitude), float(longitude), self.zone_key)
        if self._city:
            return Site(self._city.site.latitude_deg, self._city.site.longitude_deg, self.zone_key)
        return None

    @property
    def stands_by_city(self) -> bool:
        """Whether the city is what the site comes from: coordinates good to some kilometres."""
        return bool(self._city) and not self.inputs.has("lat", "lon") and not self.inputs.has("geo")

    @property
    def told_twice(self) -> bool:
        """Whether the place was given in more than one way."""
        return self.inputs.has("lat", "lon") + self.inputs.has("geo") + self.inputs.has("place") > 1

    @property
    def zone_key(self) -> str | None:
        """Return the zone's name: typed, else that of the city if the site is the city."""
        typed = self.inputs.get("tz")
        if typed or "tz" in self.inputs.errors:
            return typed
        return self._city.site.zone_key if self._city and self.stands_by_city else None

    @cached_property
    def zone(self) -> ZoneInfo | None:
        """Return the zone; None while it isn't known."""
        return load_zone(self.zone_key) if self.zone_key else None

    @cached_property
    def zone_proposals(self) -> tuple[ZoneProposal, ...]:
        """Return zones to ask about, where there is a site and no zone."""
        if self.site is None or self.zone is not None:
            return ()
        return nearest_zones(self.site.latitude_deg, self.site.longitude_deg)

    @property
    def missing(self) -> list[str]:
        """Return the names to fill in before there is a place with a clock."""
        if self.site is None:
            names = [name for name in ("lat", "lon") if not self.inputs.has(name)]
            return names if self.zone_key else [*names, "tz"]
        return [] if self.zone_key else ["tz"]

    @cached_property
    def camera_offset(self) -> timedelta | None:
        """Return the offset from UTC that the camera clock keeps: typed, else the site's when the shoot begins."""
        typed = self.inputs.get("clock")
        if typed is not None:
            return typed
        if self.zone is None or self.schedule is None:
            return None
        return camera_offset(self.zone, self.schedule.starts_at)

    @property
    def light_rule(self) -> LightRule | None:
        """Return what counts as light enough."""
        rule = self.inputs.get("light")
        if rule is None:
            return None
        if isinstance(rule, str):
            return LightRule.civil() if rule == "civil" else LightRule.sun()
        return LightRule.inside(int(rule // 60))

    def light(self, recording: Recording) -> ShootLight | None:
        """Return the light over the shoot; None while place, zone, rule or schedule isn't known."""
        if not (self.site and self.zone and self.schedule and self.light_rule) or self.camera_offset is None:
            return None
        return shoot_light(self.schedule, self.site, self.zone, self.light_rule, self.camera_offset, recording)

    def site_to_camera(self, local: datetime) -> datetime | None:
        """Return what the camera clock reads when the site's wall clock reads ``local``.

        Without a zone the two are taken as one. None where the zone is known and the camera's offset isn't.
        """
        if self.zone is None:
            return local
        if self.camera_offset is None:
            return None
        return local - camera_offset(self.zone, local) + self.camera_offset

    def dated(self, camera: datetime | None) -> datetime | None:
        """Return a camera-clock instant with the camera's offset, where that is known."""
        if camera is None or self.camera_offset is None:
            return camera
        return camera.replace(tzinfo=timezone(self.camera_offset))
