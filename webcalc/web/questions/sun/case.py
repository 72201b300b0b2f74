"""What the page ``/sun`` works out, before any words: the camera's aim, the hits, the turns, the light's direction."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, time, timedelta
from functools import cached_property
from itertools import groupby
from typing import Any, overload

from webcalc.calc.light.daylight import LightRule, Span, day_light
from webcalc.calc.light.place import Site
from webcalc.calc.light.sun import CIVIL_DEG, crossings
from webcalc.calc.optics.bearing import DAYS_JUDGED, Turn, Turns, bearing_deg, some_days, turns
from webcalc.calc.optics.sun_in_frame import Camera, Shots, Spell, Spells, backlit, front_lit, sun_in_frame
from webcalc.web.http.page import Asked
from webcalc.web.pictures.daylight import Raster
from webcalc.web.shoot.daylight_case import DaylightCase, SunDay

BY_TYPED, BY_LANDMARK = "bearing", "landmark"
#: Dates whose backlit and front-lit hours are listed.
_LIT_DATES = 3


@dataclass(frozen=True)
class Run:
    """Hits on recorded days in a row, at overlapping hours of the camera clock.

    start, end : the earliest and latest time of day, as seconds from the date's midnight
    """

    first: date
    last: date
    days: int
    start_s: int
    end_s: int
    longest_s: int
    frames: int | None


@dataclass(frozen=True)
class LitDay:
    """One recorded date with the sun ahead of the camera and behind it."""

    day: date
    ahead: tuple[Spell, ...]
    behind: tuple[Spell, ...]


class SunCase:
    """Everything about one request; parts that can't be known yet are None or empty."""

    def __init__(self, asked: Asked) -> None:
        self.asked = asked
        self.inputs = asked.inputs
        self.shoot = asked.old
        self.place = asked.old.place
        self.optics = asked.old.optics
        self.schedule = asked.old.schedule

    def _degrees(self, name: str) -> float | None:
        """Return a typed angle: 0 where it is blank, None where it is wrong."""
        return None if name in self.inputs.errors else float(self.inputs.get(name, 0))

    @property
    def tilt_deg(self) -> float | None:
        """Return the tilt; level where nothing is typed."""
        return self._degrees("tilt")

    @property
    def margin_deg(self) -> float | None:
        """Return how far outside the picture the sun still counts; not at all where nothing is typed."""
        return self._degrees("sun_margin")

    @cached_property
    def landmark_deg(self) -> float | None:
        """Return the bearing of the typed landmark from the site."""
        if self.place.site is None or not self.inputs.has("mark_lat", "mark_lon"):
            return None
        mark = Site(float(self.inputs.get("mark_lat")), float(self.inputs.get("mark_lon")))
        return bearing_deg(self.place.site, mark)

    @property
    def bearing_deg(self) -> float | None:
        """Return the camera's bearing: typed, else that of the landmark."""
        if "bearing" in self.inputs.errors:
            return None
        typed = self.inputs.get("bearing")
        return self.landmark_deg if typed is None else float(typed)

    @property
    def bearing_known_by(self) -> str | None:
        """Return where the bearing comes from."""
        if self.bearing_deg is None:
            return None
        return BY_TYPED if self.inputs.has("bearing") else BY_LANDMARK

    @property
    def needs(self) -> list[str]:
        """Return the names to fill in before there is an answer."""
        marked = self.inputs.has("mark_lat", "mark_lon")
        names = [
            *([] if self.inputs.has("bearing") or marked else ["bearing"]),
            *self.optics.missing,
            *self.place.missing,
            *self.shoot.missing_for_schedule(),
            *([] if self.shoot.interval_s else ["interval"]),
        ]
        return [name for name in names if name not in self.inputs.errors]

    @cached_property
    def camera(self) -> Camera | None:
        """Return where the camera looks and how wide."""
        view = self.optics.view
        if view is None or self.bearing_deg is None or self.tilt_deg is None:
            return None
        return Camera(self.bearing_deg, self.tilt_deg, view.hfov_deg, view.vfov_deg)

    @cached_property
    def shots(self) -> Shots | None:
        """Return what is recorded where."""
        site, offset = self.place.site, self.place.camera_offset
        if site is None or offset is None or self.schedule is None or not self.schedule.recorded_days:
            return None
        return Shots(site, self.schedule, offset, self.shoot.interval_s)

    @property
    def known(self) -> tuple[Camera, Shots, float] | None:
        """Return camera, shots and margin; None while one is missing, and then nothing is computed."""
        if self.camera is None or self.shots is None or self.margin_deg is None:
            return None
        return self.camera, self.shots, self.margin_deg

    @cached_property
    def hits(self) -> Spells | None:
        """Return when the sun is in the picture or within the margin of it, on every recorded day."""
        return sun_in_frame(*self.known) if self.known else None

    @cached_property
    def turns(self) -> Turns | None:
        """Return which turns avoid most of the hits, estimated; None where nothing is hit or counted."""
        if self.known is None or self.hits is None or not self.hits.frames_touched:
            return None
        return turns(*self.known, count_all=False)

    @cached_property
    def runs(self) -> list[Run]:
        """Return the hits grouped into stretches of days, in the order in which they begin."""
        if self.hits is None or self.schedule is None:
            return []
        place_in_row = {day: n for n, day in enumerate(self.schedule.recorded_dates)}
        groups: list[list[Spell]] = []
        going_on: list[list[Spell]] = []
        for day, spells in groupby(self.hits.spells, key=lambda spell: spell.day):
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
        return [_run(group) for group in groups]

    # -- ahead and behind -----------------------------------------------------------------------------------

    @cached_property
    def judged(self) -> Shots | None:
        """Return the days on which the direction of the light is looked at."""
        return some_days(self.shots, DAYS_JUDGED) if self.shots else None

    @cached_property
    def lit_shares(self) -> tuple[float, float] | None:
        """Return the shares of the recorded time with the sun ahead of the camera and behind it."""
        if self.camera is None or self.judged is None:
            return None
        recorded_s = self.judged.schedule.recorded_s
        ahead, behind = (found(self.camera, self.judged).total_s / recorded_s for found in (backlit, front_lit))
        return ahead, behind

    @cached_property
    def lit_days(self) -> list[LitDay]:
        """Return a few dates from the first to the last recorded one."""
        if self.camera is None or self.shots is None or self.schedule is None:
            return []
        dates = self.schedule.recorded_dates
        parts = min(_LIT_DATES, len(dates))
        chosen = sorted({dates[n * (len(dates) - 1) // max(1, parts - 1)] for n in range(parts)})
        found = []
        for day in chosen:
            alone = replace(self.shots, schedule=replace(self.shots.schedule, first=day, last=day))
            found.append(LitDay(day, backlit(self.camera, alone).spells, front_lit(self.camera, alone).spells))
        return found

    # -- the picture ----------------------------------------------------------------------------------------

    @cached_property
    def daylight(self) -> DaylightCase:
        """Return the daylight page's view of the same shoot."""
        return DaylightCase(self.asked)

    @property
    def pictured_days(self) -> Sequence[SunDay]:
        """Return sun and twilight of every date of the shoot, each worked out when it is drawn."""
        return _DaysWhenDrawn(self)

    def utc(self, camera: datetime) -> datetime:
        """Return an instant of the camera clock in UTC."""
        assert self.shots is not None  # noqa: S101 - callers have looked
        return (camera - self.shots.utc_offset).replace(tzinfo=UTC)

    def hits_by_column(self) -> list[list[Span]]:
        """Return for each column of the picture the hits of the recorded date nearest to its middle."""
        assert self.schedule is not None and self.hits is not None  # noqa: S101 - callers have looked
        by_day = {day: list(spells) for day, spells in groupby(self.hits.spells, key=lambda spell: spell.day)}
        days, first = self.schedule.calendar_days, self.schedule.first
        raster = Raster.of(days)
        columns: list[list[Span]] = []
        for n in range(raster.columns):
            middle = raster.shown(n, days)
            stands_for = range(n * raster.step_days, min((n + 1) * raster.step_days, days))
            recorded = [m for m in stands_for if self.schedule.records_on(first + timedelta(m))]
            nearest = min(recorded, key=lambda m: abs(m - middle), default=middle)
            spells = by_day.get(first + timedelta(nearest), [])
            columns.append([part for spell in spells for part in self._by_local_date(spell)])
        return columns

    def _by_local_date(self, spell: Spell) -> list[Span]:
        """Cut a hit where the site's date changes."""
        start, end = self.utc(spell.start), self.utc(spell.end)
        midnight = datetime.combine(end.astimezone(self.place.zone).date(), time.min, self.place.zone).astimezone(UTC)
        return [(start, midnight), (midnight, end)] if start < midnight < end else [(start, end)]

    # -- the data -------------------------------------------------------------------------------------------

    def results(self) -> dict[str, Any]:
        """Return the data; whatever isn't known stays None."""
        hits, found, view = self.hits, self.turns, self.optics.view
        offset = self.place.camera_offset
        ahead, behind = self.lit_shares or (None, None)
        return {
            "bearing_deg": self.bearing_deg,
            "bearing_known_by": self.bearing_known_by,
            "landmark_bearing_deg": self.landmark_deg,
            "tilt_deg": self.tilt_deg,
            "hfov_deg": view.hfov_deg if view else None,
            "vfov_deg": view.vfov_deg if view else None,
            "margin_deg": self.margin_deg,
            "camera_offset_min": None if offset is None else int(offset.total_seconds() // 60),
            "frames_touched": hits.frames_touched if hits else None,
            "frames_total": hits.frames_total if hits else None,
            "touched_s": hits.total_s if hits else None,
            "days_touched": hits.days if hits else None,
            "recorded_days": self.schedule.recorded_days if self.schedule else None,
            "hits": [self._spell_data(spell) for spell in hits.spells] if hits else None,
            "stretches": [_run_data(run) for run in self.runs] if hits else None,
            "turn_left": _turn_data(found.left) if found else None,
            "turn_right": _turn_data(found.right) if found else None,
            "turn_days_judged": found.days_judged if found else None,
            "backlit_share": ahead,
            "front_lit_share": behind,
            "lit_days_judged": self.judged.schedule.recorded_days if self.lit_shares and self.judged else None,
            "lit": [
                {
                    "date": lit.day,
                    "backlit": [self._span_data(spell) for spell in lit.ahead],
                    "front_lit": [self._span_data(spell) for spell in lit.behind],
                }
                for lit in self.lit_days
            ]
            if self.lit_shares
            else None,
        }

    def _span_data(self, spell: Spell) -> dict[str, Any]:
        return {"from": self.place.dated(spell.start), "until": self.place.dated(spell.end)}

    def _spell_data(self, spell: Spell) -> dict[str, Any]:
        return {"date": spell.day, **self._span_data(spell), "frames": spell.frames}


class _DaysWhenDrawn(Sequence[SunDay]):
    """All dates of a shoot, of which a picture asks for a few."""

    def __init__(self, case: SunCase) -> None:
        assert case.schedule and case.place.site and case.place.zone  # noqa: S101 - callers have looked
        self._schedule, self._site, self._zone = case.schedule, case.place.site, case.place.zone

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
        return SunDay(sun, crossings(self._site, self._zone, day, CIVIL_DEG), None, self._schedule.records_on(day))


def _seconds(spell: Spell) -> tuple[int, int]:
    """Return a hit's ends as seconds from its date's midnight on the camera clock."""
    midnight = datetime.combine(spell.day, time.min)
    start_s, end_s = (round((edge - midnight).total_seconds()) for edge in (spell.start, spell.end))
    return start_s, end_s


def _overlap(one: Spell, other: Spell) -> bool:
    """Whether two hits of different dates share a time of day."""
    (start, end), (other_start, other_end) = _seconds(one), _seconds(other)
    return start < other_end and other_start < end


def _run(group: Sequence[Spell]) -> Run:
    starts, ends = zip(*map(_seconds, group), strict=True)
    counted = [spell.frames for spell in group if spell.frames is not None]
    return Run(
        first=group[0].day,
        last=group[-1].day,
        days=len(group),
        start_s=min(starts),
        end_s=max(ends),
        longest_s=max(spell.length_s for spell in group),
        frames=sum(counted) if len(counted) == len(group) else None,
    )


def _run_data(run: Run) -> dict[str, Any]:
    midnight = datetime.combine(run.first, time.min)
    start, end = ((midnight + timedelta(seconds=seconds)).time() for seconds in (run.start_s, run.end_s))
    return {
        "first": run.first,
        "last": run.last,
        "days": run.days,
        "from": start,
        "until": end,
        "longest_s": run.longest_s,
        "frames": run.frames,
    }


def _turn_data(turn: Turn | None) -> dict[str, Any] | None:
    if turn is None:
        return None
    return {"change_deg": turn.change_deg, "bearing_deg": turn.bearing_deg, "frames_touched_about": turn.frames_touched}
