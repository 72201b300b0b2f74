"""The sun against the camera: when it is in the picture, which turn avoids it, what is backlit."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from datetime import UTC, date, datetime, time, timedelta
from itertools import groupby
from typing import TYPE_CHECKING, overload
from zoneinfo import ZoneInfo

from webcalc.calc.light.daylight import LightRule, Span, day_light
from webcalc.calc.light.days import SunDay
from webcalc.calc.light.place import Site
from webcalc.calc.optics.bearing import DAYS_JUDGED, Turns, bearing_deg, some_days, turns
from webcalc.calc.optics.sun_in_frame import Camera, Shots, Spell, Spells, backlit, front_lit, sun_in_frame
from webcalc.calc.results import Results, meaning
from webcalc.calc.schedule.schedule import Schedule
from webcalc.calc.unknown import ask, figure, figure_for, given, known, need, said

if TYPE_CHECKING:
    from webcalc.calc.shoot import Shoot

BY_TYPED, BY_LANDMARK = "bearing", "landmark"
#: Dates whose backlit and front-lit hours are listed.
_LIT_DATES = 3
#: By how much recording may begin later or end earlier, to be told what it gains.
_HOURS_CUT_S = (3_600, 7_200)


@dataclass(frozen=True)
class Run(Results):
    """Hits on recorded days in a row, at overlapping hours."""

    first: date = field(metadata=meaning("first date"))
    last: date = field(metadata=meaning("last date"))
    days: int = field(metadata=meaning("recorded days"))
    from_: time = field(metadata=meaning("earliest time of day, camera clock"))
    until: time = field(metadata=meaning("latest time of day"))
    longest_s: int = field(metadata=meaning("the longest hit, seconds"))
    frames: int | None = field(metadata=meaning("frames in all of them"))


@dataclass(frozen=True)
class ShorterHours:
    """Recording that begins ``later_s`` later or ends ``earlier_s`` earlier: the frames still hit, of how many."""

    later_s: int
    earlier_s: int
    frames_touched: int
    frames_total: int


@dataclass(frozen=True)
class LitDay:
    """One recorded date with the sun ahead of the camera and behind it."""

    day: date
    ahead: tuple[Spell, ...]
    behind: tuple[Spell, ...]


@dataclass(frozen=True, eq=False)
class ShootSun:
    """Where the camera looks, and when the sun stands there."""

    shoot: Shoot

    @figure
    def margin_deg(self) -> float:
        """How far outside the picture the sun still counts."""
        return float(need(self.shoot.sun_margin))

    @property
    def has_landmark(self) -> bool:
        """Whether a landmark was given."""
        return given(self.shoot.mark_lat) and given(self.shoot.mark_lon)

    @figure
    def landmark_deg(self) -> float | None:
        """The bearing of the typed landmark from the site; None where it stands at the site, or none was typed."""
        if not self.has_landmark:
            return None
        (latitude, longitude), mark_lat, mark_lon = said(
            self.shoot.daylight.coordinates, self.shoot.mark_lat, self.shoot.mark_lon
        )
        return bearing_deg(Site(latitude, longitude), Site(float(mark_lat), float(mark_lon)))

    @figure
    def bearing_deg(self) -> float:
        """The camera's bearing: typed, else that of the landmark."""
        if given(self.shoot.bearing):
            return float(said(self.shoot.bearing))
        bearing = need(self.landmark_deg)
        if bearing is None:
            raise ask("bearing")
        return bearing

    @figure
    def bearing_known_by(self) -> str:
        """Where the bearing comes from."""
        need(self.bearing_deg)
        return BY_TYPED if given(self.shoot.bearing) else BY_LANDMARK

    @figure
    def camera(self) -> Camera:
        """Where the camera looks and how wide."""
        bearing, tilt, view = need(self.bearing_deg, self.shoot.view.tilt_deg, self.shoot.view.view)
        return Camera(bearing, tilt, view.hfov_deg, view.vfov_deg, equidistant=view.equidistant)

    @figure
    def shots(self) -> Shots:
        """What is recorded where; frames are counted where an interval is known."""
        daylight, shoot = self.shoot.daylight, self.shoot
        site, offset, schedule = need(daylight.site, daylight.camera_offset, shoot.schedule)
        interval_s = shoot.interval_s
        if not known(interval_s) and interval_s.wrong:
            need(interval_s)
        if not schedule.recorded_days:
            raise ask("days")
        return Shots(site, schedule, offset, interval_s if known(interval_s) else None)

    @figure
    def hits(self) -> Spells:
        """When the sun is in the picture or within the margin of it, on every recorded day."""
        return sun_in_frame(*need(self.camera, self.shots, self.margin_deg))

    @figure
    def turns(self) -> Turns | None:
        """Which turns avoid most of the hits, estimated; None where nothing is hit or counted."""
        camera, shots, margin_deg, hits = need(self.camera, self.shots, self.margin_deg, self.hits)
        return turns(camera, shots, margin_deg) if hits.frames_touched else None

    @figure
    def shorter(self) -> tuple[ShorterHours, ...]:
        """What is hit where recording begins later or ends earlier; nothing where nothing is hit or counted."""
        shots, hits = need(self.shots, self.hits)
        length_s = shots.schedule.window.length_s
        cuts = [(later, 0) for later in _HOURS_CUT_S] + [(0, earlier) for earlier in _HOURS_CUT_S]
        if not hits.frames_touched:
            return ()
        return tuple(_shortened(shots, hits, *cut) for cut in cuts if sum(cut) < length_s)

    @figure
    def runs(self) -> tuple[Run, ...]:
        """The hits grouped into stretches of days, in the order in which they begin."""
        hits, schedule = need(self.hits, self.shoot.schedule)
        place_in_row = {day: n for n, day in enumerate(schedule.recorded_dates)}
        groups: list[list[Spell]] = []
        going_on: list[list[Spell]] = []
        for day, spells in groupby(hits.spells, key=lambda spell: spell.day):
            before = [group for group in going_on if place_in_row[group[-1].day] == place_in_row[day] - 1]
            going_on = []
            for spell in spells:
                group = next((group for group in before if _overlap(group[-1], spell)), None)
                if group is None:
                    group = []
                    groups.append(group)
                else:
                    before.remove(group)
                group.append(spell)
                going_on.append(group)
        return tuple(_run(group) for group in groups)

    # -- ahead and behind -----------------------------------------------------------------------------------

    @figure
    def judged(self) -> Shots:
        """The days on which the direction of the light is looked at."""
        return some_days(need(self.shots), DAYS_JUDGED)

    @figure
    def lit_shares(self) -> tuple[float, float]:
        """The shares of the recorded time with the sun ahead of the camera and behind it."""
        camera, judged = need(self.camera, self.judged)
        recorded_s = judged.schedule.recorded_s
        return backlit(camera, judged).total_s / recorded_s, front_lit(camera, judged).total_s / recorded_s

    @figure
    def lit_days(self) -> tuple[LitDay, ...]:
        """A few dates from the first to the last recorded one."""
        camera, shots = need(self.camera, self.shots)
        dates = shots.schedule.recorded_dates
        parts = min(_LIT_DATES, len(dates))
        chosen = sorted({dates[n * (len(dates) - 1) // max(1, parts - 1)] for n in range(parts)})
        found = []
        for day in chosen:
            alone = replace(shots, schedule=replace(shots.schedule, first=day, last=day))
            found.append(LitDay(day, backlit(camera, alone).spells, front_lit(camera, alone).spells))
        return tuple(found)

    # -- for the picture ------------------------------------------------------------------------------------

    @figure
    def days(self) -> Sequence[SunDay]:
        """Sun and twilight of every date of the shoot, each worked out when it is asked for."""
        return _DaysWhenAsked(*need(self.shoot.schedule, self.shoot.daylight.site, self.shoot.daylight.zone))

    @figure_for
    def hits_near(self, dates: Sequence[date], middle: date) -> list[Span]:
        """The hits, in UTC and cut at local midnights, of the recorded date nearest to the middle of these."""
        hits, schedule = need(self.hits, self.shoot.schedule)
        recorded = [day for day in dates if schedule.records_on(day)]
        nearest = min(recorded, key=lambda day: abs(day - middle), default=middle)
        spells = [spell for spell in hits.spells if spell.day == nearest]
        return [part for spell in spells for part in need(self._by_local_date(spell))]

    @figure_for
    def _by_local_date(self, spell: Spell) -> list[Span]:
        shots, zone = need(self.shots, self.shoot.daylight.zone)
        start, end = ((edge - shots.utc_offset).replace(tzinfo=UTC) for edge in (spell.start, spell.end))
        midnight = datetime.combine(end.astimezone(zone).date(), time.min, zone).astimezone(UTC)
        return [(start, midnight), (midnight, end)] if start < midnight < end else [(start, end)]


class _DaysWhenAsked(Sequence[SunDay]):
    """All dates of a shoot, of which a picture asks for a few."""

    def __init__(self, schedule: Schedule, site: Site, zone: ZoneInfo) -> None:
        self._schedule, self._site, self._zone = schedule, site, zone

    def __len__(self) -> int:
        return self._schedule.calendar_days

    @overload
    def __getitem__(self, index: int) -> SunDay: ...
    @overload
    def __getitem__(self, index: slice) -> Sequence[SunDay]: ...
    def __getitem__(self, index: int | slice) -> SunDay | Sequence[SunDay]:
        if isinstance(index, slice):
            return [self[n] for n in range(*index.indices(len(self)))]
        day = self._schedule.first + timedelta(range(len(self))[index])
        sun = day_light(self._site, self._zone, day, LightRule.sun())
        return SunDay(self._site, self._zone, sun, None, self._schedule.records_on(day))


def _seconds(spell: Spell) -> tuple[int, int]:
    """Return a hit's ends as seconds from its date's midnight on the camera clock."""
    midnight = datetime.combine(spell.day, time.min)
    start_s, end_s = (round((edge - midnight).total_seconds()) for edge in (spell.start, spell.end))
    return start_s, end_s


def _overlap(one: Spell, other: Spell) -> bool:
    """Whether two hits of different dates share a time of day."""
    (start, end), (other_start, other_end) = _seconds(one), _seconds(other)
    return start < other_end and other_start < end


def _shortened(shots: Shots, hits: Spells, later_s: int, earlier_s: int) -> ShorterHours:
    """Return what is left of the hits in a shorter window, counted at the frames of the whole one."""
    start_s, end_s = later_s, shots.schedule.window.length_s - earlier_s
    left = 0
    for spell in hits.spells:
        begin = shots.schedule.window_on(spell.day)[0]
        ends = ((edge - begin).total_seconds() for edge in (spell.start, spell.end))
        from_s, until_s = (min(max(round(edge), start_s), end_s) for edge in ends)
        left += shots.frames_within(from_s, until_s) or 0
    total = (shots.frames_within(start_s, end_s) or 0) * shots.schedule.recorded_days
    return ShorterHours(later_s, earlier_s, left, total)


def _run(group: Sequence[Spell]) -> Run:
    starts, ends = zip(*map(_seconds, group), strict=True)
    midnight = datetime.combine(group[0].day, time.min)
    counted = [spell.frames for spell in group if spell.frames is not None]
    return Run(
        first=group[0].day,
        last=group[-1].day,
        days=len(group),
        from_=(midnight + timedelta(seconds=min(starts))).time(),
        until=(midnight + timedelta(seconds=max(ends))).time(),
        longest_s=max(spell.length_s for spell in group),
        frames=sum(counted) if len(counted) == len(group) else None,
    )
