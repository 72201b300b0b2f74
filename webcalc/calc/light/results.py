"""What the page on daylight answers as data. Instants carry the site's offset."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date, datetime, time
from typing import TYPE_CHECKING, Any
from zoneinfo import ZoneInfo

from webcalc.calc.light.days import ClockStretch, DarkRun, SunDay, begin_dark, end_dark
from webcalc.calc.results import Results, key, meaning
from webcalc.calc.schedule.zone import ZoneProposal, zone_rules_version
from webcalc.calc.unknown import known, or_none

if TYPE_CHECKING:
    from webcalc.calc.shoot import Shoot


@dataclass(frozen=True)
class SiteResults(Results):
    """Where the camera stands."""

    lat_deg: float | None = key("degrees, north positive")
    lon_deg: float | None = key("degrees, east positive")
    zone: str | None = key("IANA name")
    by_city: bool = key("whether a city stands for the site, good to some kilometres", False)


@dataclass(frozen=True, kw_only=True)
class WindowResults(Results):
    """A window on the camera clock."""

    from_: time = field(metadata=meaning("its start"))
    until: time = field(metadata=meaning("its end"))


@dataclass(frozen=True)
class ClockChangeResults(Results):
    """A change of the site's clock during the shoot."""

    date: date = field(metadata=meaning("at the site"))
    at: datetime = field(metadata=meaning("the instant"))
    shift_min: int = field(metadata=meaning("how far the wall clock is moved, minutes"))
    camera_minus_wall_min: int = field(metadata=meaning("how the camera clock stands after it, minutes"))
    wall_from: time = field(metadata=meaning("the window's start on the wall clock from then on"))
    wall_until: time = field(metadata=meaning("its end"))
    recorded_days: int | None = field(
        metadata=meaning("recorded days until the next change; null while the light is not known")
    )
    dark_days: int | None = field(
        metadata=meaning("how many of them are dark in some part of the window; null while the light is not known")
    )


@dataclass(frozen=True, kw_only=True)
class DayResults(Results):
    """One date at the site."""

    date: date = field(metadata=meaning("at the site"))
    recorded: bool = field(metadata=meaning("whether a window starts on it"))
    state: str = field(metadata=meaning("normal, polar_day or polar_night"))
    sunrise: tuple[datetime, ...] = field(metadata=meaning("none, one or two instants"))
    sunset: tuple[datetime, ...] = field(metadata=meaning("none, one or two instants"))
    civil_dawn: tuple[datetime, ...] = field(metadata=meaning("none, one or two instants"))
    civil_dusk: tuple[datetime, ...] = field(metadata=meaning("none, one or two instants"))
    light: tuple[tuple[datetime, datetime], ...] = field(metadata=meaning("its light parts, each with start and end"))
    light_from: datetime | None = field(metadata=meaning("start of the first"))
    light_until: datetime | None = field(metadata=meaning("end of the last"))
    window_light_s: float | None = field(metadata=meaning("light in its window, seconds"))


@dataclass(frozen=True, kw_only=True)
class KeyDayResults(DayResults):
    """A date that is shown by itself."""

    what: str = field(metadata=meaning("why: today, first, last, worst"))


@dataclass(frozen=True)
class DaylightResults(Results):
    """Is it light in those hours?"""

    today: date | None = key("date at the site")
    site: SiteResults = key("where the camera stands", SiteResults())
    zone_proposals: tuple[ZoneProposal, ...] = key("zones to ask about where there is a site and no zone", ())
    zone_rules: str = key("version of the time-zone rules", "")
    zone_rules_origin: str = key("where they come from", "")
    noon_gap_h: float | None = key("between clock noon and mean solar noon, hours")
    light_share: float | None = key(
        "share of the frames that are in the light, 0 to 1; of the time where none are counted"
    )
    light_time_share: float | None = key("share of the recorded time that is light, 0 to 1")
    frames: int | None = key("stills in all windows")
    light_frames: int | None = key("those in the light")
    always_light: WindowResults | None = key(
        "the longest window, the same every day, that is light on every recorded day"
    )
    begins_dark: tuple[DarkRun, ...] | None = key("recorded days that begin in the dark, in runs")
    ends_dark: tuple[DarkRun, ...] | None = key("recorded days that end in the dark, in runs")
    camera_offset_min: int | None = key("offset of the camera clock from UTC, minutes")
    camera_minus_wall_min: int | None = key("how it stands to the wall clock at the start, minutes")
    clock_changes: tuple[ClockChangeResults, ...] | None = key("changes of the site's clock during the shoot")
    key_days: tuple[KeyDayResults, ...] | None = key("today, the first, the last and the worst day")
    days: tuple[DayResults, ...] | None = key("every calendar date of the shoot")


def key_days(shoot: Shoot, today: date) -> list[tuple[str, SunDay]]:
    """Return today, first, last and worst day with their light, as far as they are known."""
    light = shoot.daylight.light
    dates = [("today", today)]
    dates += [(what, day) for what, day in (("first", shoot.first), ("last", shoot.last_day)) if known(day)]
    if known(light) and light is not None:
        dates.append(("worst", light.worst_day.date))
    found = [(what, shoot.daylight.day(day)) for what, day in dates]
    return [(what, day) for what, day in found if known(day)]


def daylight_results(shoot: Shoot, now: datetime) -> DaylightResults:
    """Return the answer to ``/daylight`` as data; ``now`` is aware."""
    room, rules = shoot.daylight, zone_rules_version()
    where, zone, light, rule = or_none(room.coordinates), or_none(room.zone), or_none(room.light), or_none(room.rule)
    beginning = {
        "site": SiteResults(
            where[0] if where else None, where[1] if where else None, or_none(room.zone_key), room.stands_by_city
        ),
        "zone_proposals": or_none(room.zone_proposals) or (),
        "zone_rules": rules.version,
        "zone_rules_origin": rules.origin,
    }
    if where is None or zone is None or rule is None:
        return DaylightResults(**beginning)  # type: ignore[arg-type]
    today, offset, stretches = now.astimezone(zone).date(), or_none(room.camera_offset), or_none(room.clock_stretches)
    always, days = light.always_light if light else None, or_none(room.days)
    return DaylightResults(
        **beginning,  # type: ignore[arg-type]
        today=today,
        noon_gap_h=or_none(room.noon_gap_h(today)),
        light_share=light.light_share if light else None,
        light_time_share=light.time_share if light else None,
        frames=light.frames if light else None,
        light_frames=light.light_frames if light else None,
        always_light=WindowResults(from_=always.start, until=always.end) if always else None,
        begins_dark=begin_dark(light.days) if light else None,
        ends_dark=end_dark(light.days) if light else None,
        camera_offset_min=int(offset.total_seconds() // 60) if offset is not None else None,
        camera_minus_wall_min=stretches[0].camera_minus_wall_min if stretches else None,
        clock_changes=tuple(_change(one, zone, light is not None) for one in stretches[1:]) if stretches else None,
        key_days=tuple(KeyDayResults(what=what, **_day(day, zone)) for what, day in key_days(shoot, today)),
        days=tuple(DayResults(**_day(day, zone)) for day in days) if days else None,
    )


def _change(stretch: ClockStretch, zone: ZoneInfo, light_known: bool) -> ClockChangeResults:
    return ClockChangeResults(
        stretch.since,
        stretch.since_utc.astimezone(zone),
        stretch.shift_min,
        stretch.camera_minus_wall_min,
        stretch.wall.start,
        stretch.wall.end,
        len(stretch.windows) if light_known else None,
        stretch.dark_days if light_known else None,
    )


def _day(day: SunDay, zone: ZoneInfo) -> dict[str, Any]:
    def local(instants: tuple[datetime, ...]) -> tuple[datetime, ...]:
        return tuple(instant.astimezone(zone) for instant in instants)

    light = tuple((start.astimezone(zone), end.astimezone(zone)) for start, end in day.sun.light)
    return {
        "date": day.date,
        "recorded": day.recorded,
        "state": day.sun.state,
        "sunrise": local(day.sun.sunrises),
        "sunset": local(day.sun.sunsets),
        "civil_dawn": local(day.civil.rises),
        "civil_dusk": local(day.civil.sets),
        "light": light,
        "light_from": light[0][0] if light else None,
        "light_until": light[-1][1] if light else None,
        "window_light_s": day.window.window_light_s if day.window else None,
    }
