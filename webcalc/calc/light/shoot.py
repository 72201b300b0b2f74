"""The shoot seen from its site: where it is, what the clocks read, how much of what is recorded is in the light."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta, timezone
from functools import cached_property
from typing import TYPE_CHECKING, TypeVar
from zoneinfo import ZoneInfo

from webcalc.calc.light.daylight import LightRule, LightSpans, day_light, light_days
from webcalc.calc.light.days import ClockSetting, ClockStretch, SunDay, clock_settings, clock_stretches, noon_of
from webcalc.calc.light.place import Site
from webcalc.calc.light.window import ShootLight, WindowLight, shoot_light, spans_around
from webcalc.calc.schedule.recording import Recording
from webcalc.calc.schedule.schedule import Schedule
from webcalc.calc.schedule.zone import ZoneProposal, camera_offset, camera_to_utc, load_zone, nearest_zones, noon_gap_h
from webcalc.calc.unknown import Missing, NotKnown, ask, figure, figure_for, given, known, need, said

if TYPE_CHECKING:
    from webcalc.calc.shoot import Shoot

Instant = TypeVar("Instant", datetime, None, datetime | None)


@dataclass(frozen=True, eq=False)
class ShootDaylight:
    """Site, time zone and camera clock. A site goes before coordinates, a geo link comes next, a city last."""

    shoot: Shoot

    # -- where ----------------------------------------------------------------------------------------------

    @property
    def asked(self) -> bool:
        """Whether a place was given, be it wrongly or in part."""
        shoot = self.shoot
        return any(given(value) for value in (shoot.site, shoot.lat, shoot.lon, shoot.geo, shoot.place))

    @property
    def stands_by_city(self) -> bool:
        """Whether the city is what the site comes from: coordinates good to some kilometres."""
        shoot = self.shoot
        if given(shoot.site):
            return known(shoot.site) and shoot.site is not None and bool(shoot.site.name)
        return given(shoot.place) and not (given(shoot.lat) and given(shoot.lon)) and not given(shoot.geo)

    @property
    def told_twice(self) -> bool:
        """Whether the place was given in more than one way."""
        shoot = self.shoot
        by_pair = given(shoot.lat) and given(shoot.lon)
        return given(shoot.site) + by_pair + given(shoot.geo) + given(shoot.place) > 1

    @figure
    def coordinates(self) -> tuple[float, float]:
        """Latitude and longitude in degrees, north and east positive."""
        shoot = self.shoot
        if given(shoot.site):
            spot = said(shoot.site)
            return float(spot.latitude_deg), float(spot.longitude_deg)
        if given(shoot.lat) and given(shoot.lon):
            latitude, longitude = said(shoot.lat, shoot.lon)
        elif given(shoot.geo):
            latitude, longitude = said(shoot.geo)
        elif given(shoot.place):
            site = said(shoot.place).site
            return site.latitude_deg, site.longitude_deg
        elif not given(shoot.lat) and not given(shoot.lon):
            raise ask("site")
        else:
            wrong = tuple(name for name in ("lat", "lon") if isinstance(getattr(shoot, name), NotKnown))
            raise Missing(
                NotKnown(tuple(n for n in ("lat", "lon") if not given(getattr(shoot, n)) and n not in wrong), wrong)
            )
        return float(latitude), float(longitude)

    @figure
    def latitude_deg(self) -> float:
        """The latitude; the longitude may be missing."""
        shoot = self.shoot
        others = given(shoot.site) or given(shoot.geo) or given(shoot.place)
        if others or not given(shoot.lat) or given(shoot.lon):
            return need(self.coordinates)[0]
        return float(said(shoot.lat))

    @figure
    def site(self) -> Site:
        """The point that daylight is worked out for."""
        (latitude, longitude), zone_key = need(self.coordinates, self.zone_key)
        return Site(latitude, longitude, zone_key)

    @figure
    def zone_key(self) -> str:
        """The zone's name: typed, else that of the city if the site is the city."""
        if given(self.shoot.tz):
            return said(self.shoot.tz)
        by_list = self.stands_by_city and not given(self.shoot.site)
        key = said(self.shoot.place).site.zone_key if by_list else None
        if key is None:
            raise ask("tz")
        return key

    @figure
    def zone(self) -> ZoneInfo:
        """The zone."""
        return load_zone(need(self.zone_key))

    @figure
    def zone_proposals(self) -> tuple[ZoneProposal, ...]:
        """Zones to ask about where there is a site and no zone."""
        return () if known(self.zone) else nearest_zones(*need(self.coordinates))

    # -- clocks ---------------------------------------------------------------------------------------------

    @property
    def one_clock(self) -> bool:
        """Whether the site's wall clock and the camera's are taken as one: nothing was said of a zone."""
        return not given(self.shoot.tz) and not given(self.shoot.place)

    @figure
    def camera_offset(self) -> timedelta:
        """The offset from UTC that the camera clock keeps: typed, else the site's when the clock was last set."""
        if given(self.shoot.clock):
            return said(self.shoot.clock)
        clock_set, zone = need(self.shoot.done.clock_set_on_site, self.zone)
        return need(self.offset_at_start) if clock_set is None else camera_offset(zone, clock_set)

    @figure
    def offset_at_start(self) -> timedelta:
        """The offset that the clock keeps as it was set when the shoot began."""
        if given(self.shoot.clock):
            return said(self.shoot.clock)
        zone, first, window = need(self.zone, self.shoot.first, self.shoot.window)
        return camera_offset(zone, datetime.combine(first, window.start))

    @figure
    def offsets(self) -> tuple[tuple[datetime, timedelta], ...]:
        """From when (UTC) the camera clock keeps which offset, by the log; the first holds from the start."""
        start, zone, entries = need(self.offset_at_start, self.zone, self.shoot.done.entries)
        found = [(datetime.min.replace(tzinfo=UTC), start)]
        for entry in entries if not given(self.shoot.clock) else ():
            if "clock" in entry.renewed:
                offset = camera_offset(zone, entry.at)
                found.append((camera_to_utc(entry.at, offset), offset))
        return tuple(found)

    @figure
    def offset_on(self) -> Callable[[date], timedelta]:
        """The offset by which each date's window begins."""
        window, offsets = need(self.shoot.window, self.offsets)
        if len(offsets) == 1:
            return lambda _day: offsets[0][1]

        def offset_on(day: date) -> timedelta:
            start = datetime.combine(day, window.start)
            return next(offset for since, offset in reversed(offsets) if camera_to_utc(start, offset) >= since)

        return offset_on

    @figure_for
    def camera_time(self, local: datetime) -> datetime:
        """What the camera clock reads when the site's wall clock reads ``local``; without a zone the two are one."""
        if self.one_clock:
            return local
        zone, offset = need(self.zone, self.camera_offset)
        return local - camera_offset(zone, local) + offset

    @figure_for
    def wall_time(self, camera: datetime) -> datetime:
        """What the site's wall clock reads, with its offset, when the camera clock reads ``camera``."""
        zone, offset = need(self.zone, self.camera_offset)
        return camera_to_utc(camera, offset).astimezone(zone)

    @figure_for
    def clock_settings(self, now: datetime) -> tuple[ClockSetting, ...]:
        """By what the camera is set, with a phone on the site's time, from now (aware) on."""
        zone, offset, schedule = need(self.zone, self.camera_offset, self.shoot.schedule)
        return clock_settings(zone, offset, schedule, now, given(self.shoot.clock))

    def dated(self, camera: Instant) -> Instant:
        """Return a camera-clock instant with the camera's offset, where that is known."""
        offset = self.camera_offset
        if camera is None or not known(offset):
            return camera
        return camera.replace(tzinfo=timezone(offset))

    # -- light ----------------------------------------------------------------------------------------------

    @figure
    def rule(self) -> LightRule:
        """What counts as light enough."""
        rule = self.shoot.light
        if isinstance(rule, NotKnown):
            raise Missing(rule)
        if isinstance(rule, str):
            return LightRule.civil() if rule == "civil" else LightRule.sun()
        return LightRule.inside(int(rule // 60))

    @figure
    def counted(self) -> Recording:
        """What is counted in the light: the frames, or while nothing of them is typed the time alone."""
        recording = self.shoot.recording
        # Days that aren't known leave the interval open that a clip asks for: that is not the same as none.
        by_clip = given(self.shoot.clip) and not known(self.shoot.schedule)
        return need(recording) if known(recording) or recording.wrong or by_clip else Recording(None)

    @figure
    def spans(self) -> LightSpans:
        """All the light from the first day to the last, and around them."""
        site, zone, rule, schedule = need(self.site, self.zone, self.rule, self.shoot.schedule)
        return spans_around(schedule.first, schedule.last, site, zone, rule)

    @figure
    def light(self) -> ShootLight | None:
        """The light in the windows of the shoot; None where it has no window."""
        zone, rule, offset, schedule, site, counted, spans = need(
            *(self.zone, self.rule, self.offset_on, self.shoot.schedule, self.site, self.counted, self.spans)
        )
        return shoot_light(schedule, site, zone, rule, offset, counted, spans=spans)

    @property
    def windows(self) -> tuple[WindowLight, ...]:
        """The light in each recorded window, as far as it is known."""
        light = self.light
        return light.days if known(light) and light is not None else ()

    # -- day by day -----------------------------------------------------------------------------------------

    @figure_for
    def day(self, on: date) -> SunDay:
        """One date, of the shoot or not."""
        site, zone, rule = need(self.site, self.zone, self.rule)
        window, schedule = self._window_of.get(on), self.shoot.schedule
        hours, offset, counted = self.shoot.window, self.offset_on, self.counted
        if window is None and known(hours) and known(offset) and known(counted):
            found = shoot_light(Schedule(on, on, hours), site, zone, rule, offset, counted)
            window = found.days[0] if found else None
        recorded = known(schedule) and schedule.records_on(on)
        return SunDay(site, zone, day_light(site, zone, on, rule), window, recorded)

    @cached_property
    def _window_of(self) -> dict[date, WindowLight]:
        return {window.date: window for window in self.windows}

    @figure
    def days(self) -> tuple[SunDay, ...]:
        """Every calendar date from first to last; only recorded ones have a window."""
        site, zone, rule, spans, schedule = need(self.site, self.zone, self.rule, self.spans, self.shoot.schedule)
        windows = self._window_of
        return tuple(
            SunDay(site, zone, sun, windows.get(sun.date), schedule.records_on(sun.date))
            for sun in light_days(site, zone, schedule.first, schedule.last, rule, spans)
        )

    @figure
    def clock_stretches(self) -> tuple[ClockStretch, ...]:
        """How camera clock and wall clock stand to each other over the shoot, in order."""
        zone, schedule, offset = need(self.zone, self.shoot.schedule, self.camera_offset)
        return clock_stretches(zone, schedule, offset, self.windows)

    @figure_for
    def first_noon(self, today: date) -> datetime:
        """Noon of the first day, or of today, as an instant."""
        first = self.shoot.first
        return noon_of(first if known(first) else today, need(self.zone))

    @figure_for
    def noon_gap_h(self, today: date) -> float:
        """The hours between clock noon and mean solar noon on that day."""
        zone, site, noon = need(self.zone, self.site, self.first_noon(today))
        return noon_gap_h(zone, site.longitude_deg, noon)
