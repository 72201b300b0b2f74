"""One look at a camera, worked out: what the page ``/check`` shows and its data holds."""

from __future__ import annotations

from datetime import datetime, timedelta, timezone
from decimal import Decimal
from fractions import Fraction
from functools import cached_property

from webcalc.calc.card import space as card
from webcalc.calc.estimate import Estimate
from webcalc.calc.onsite.causes import Explanation, LikelyInterval, explanations, likely_interval
from webcalc.calc.onsite.compare import Comparison, compare
from webcalc.calc.onsite.doubts import READING_SPREAD
from webcalc.calc.onsite.drain import left_at_rest
from webcalc.calc.onsite.outlook import Outlook, outlook
from webcalc.calc.onsite.seen import Doubt, Found, Running
from webcalc.calc.schedule.zone import camera_minus_wall_min, camera_offset, camera_to_utc, utc_to_camera
from webcalc.calc.visits.planner import VisitPlanner
from webcalc.calc.visits.rules import Reason
from webcalc.web.http.page import Asked
from webcalc.web.link import needed_right
from webcalc.web.link.inputs import Inputs
from webcalc.web.shoot.visits import ShootVisits

#: What is read at the camera, and when visits are made.
_SEEN = (
    *("since", "at", "found_frames", "found_gb", "found_gib", "found_battery", "found_volts", "found_clock"),
    *("found_first", "found_last", "visit_days", "visit_skip", "margin", "clean", "drift", "drift_max", "renew"),
)
#: A lead-acid battery of 12 V blocks in series is read as one block.
BLOCK_V = 12
#: Two readings of one battery that differ by more than this share contradict each other. Own choice.
READINGS_APART_SHARE = 0.15


def read_to(typed: Decimal, unit: int) -> Estimate[Decimal]:
    """Return a reading with the room that its last digit leaves, in units of one ``unit``-th; never below 0."""
    half = Decimal(5).scaleb(min(typed.normalize().as_tuple().exponent, 0) - 1)
    return Estimate(max(Decimal(0), typed - half), typed, typed + half).map(lambda value: value * unit)


def any_wrong(inputs: Inputs) -> bool:
    """Whether a quantity that the page's figures rest on is typed wrong."""
    groups = (needed_right.SCHEDULE, needed_right.RECORDED, needed_right.CARD, needed_right.BATTERY)
    return needed_right.any_wrong(inputs, *groups, needed_right.PLACE, _SEEN)


class CheckCase:
    """The shoot at the moment when somebody stands at the camera.

    At a visit the clock is set, if visits renew it; else it runs as set at the shoot's start, or by the typed offset.
    """

    def __init__(self, asked: Asked) -> None:
        self.asked, self.inputs, self.shoot = asked, asked.inputs, asked.old
        self.place, self.zone = self.shoot.place, self.shoot.place.zone
        self.schedule, self.recording = self.shoot.schedule, self.shoot.recording
        self.visits = ShootVisits(self.shoot)

    # -- the clocks -----------------------------------------------------------------------------------------

    @property
    def clock_set(self) -> datetime:
        """Return when the camera clock was set, site time."""
        typed = self.inputs.get("since")
        return typed if typed and Reason.CLOCK in self.visits.rules.renews else self.schedule.starts_at

    @cached_property
    def offset(self) -> timedelta | None:
        """Return the offset from UTC that the camera clock keeps; None while neither it nor the zone is known."""
        typed = self.inputs.get("clock")
        if typed is not None or self.zone is None:
            return typed
        return camera_offset(self.zone, self.clock_set)

    def _on_camera(self, local: datetime) -> datetime:
        """Return what the camera clock reads at a time of the site; without a zone the two are taken as one."""
        if self.zone is None or self.offset is None:
            return local
        return local - camera_offset(self.zone, local) + self.offset

    @property
    def since(self) -> datetime:
        """Return from when it runs, on the camera clock."""
        typed = self.inputs.get("since")
        return self._on_camera(typed) if typed else self.schedule.starts_at

    @cached_property
    def at(self) -> datetime | None:
        """Return when somebody looks, on the camera clock: typed, else now; None where now can't be put on it."""
        typed = self.inputs.get("at")
        if typed:
            return self._on_camera(typed)
        if self.offset is None:
            return None
        return utc_to_camera(self.asked.now, self.offset).replace(second=0, microsecond=0)

    @property
    def shift_s(self) -> int:
        """Return camera clock minus wall clock at the look."""
        if self.zone is None or self.offset is None or self.at is None:
            return 0
        return 60 * camera_minus_wall_min(self.zone, self.offset, camera_to_utc(self.at, self.offset))

    def site_time(self, camera: datetime) -> datetime:
        """Return the site's wall clock when the camera clock reads ``camera``."""
        if self.zone is None or self.offset is None:
            return camera
        return camera_to_utc(camera, self.offset).astimezone(self.zone).replace(tzinfo=None)

    def dated(self, camera: datetime | None) -> datetime | None:
        """Return a camera-clock instant with the camera's offset, where that is known."""
        if camera is None or self.offset is None:
            return camera
        return camera.replace(tzinfo=timezone(self.offset))

    @property
    def _keeps_offset(self) -> bool:
        return self.inputs.get("clock") is not None or self.zone is None

    def right_time(self, camera: datetime) -> datetime:
        """Return the time that the clock is set by: the site's, or the camera's own where it keeps an offset."""
        return camera if self._keeps_offset else self.site_time(camera)

    # -- the plan -------------------------------------------------------------------------------------------

    @property
    def needs(self) -> list[str]:
        """Return the names to fill in before anything can be compared."""
        names = self.shoot.missing_for_schedule()
        on_interval = self.recording.stills or self.recording.burst_s
        if self.shoot.interval_s is None and on_interval:
            names.append("interval")
        if not names and self.at is None:
            names.append("at")
        return names

    @property
    def planner(self) -> VisitPlanner:
        """Return how the next visit is found."""
        assert self.visits.planner is not None  # noqa: S101 - callers have looked at `needs`
        return self.visits.planner

    @cached_property
    def running(self) -> Running:
        """Return the shoot from when it runs to the look."""
        shoot = self.shoot
        return Running(
            self.planner,
            self.since,
            self.at,
            frame=shoot.frame if shoot.card_load_known else None,
            cluster_bytes=shoot.cluster_bytes,
            card_bytes=shoot.card_bytes,
            used_before_bytes=shoot.used_bytes,
            clock_shift_s=self.shift_s,
            shift_wanted=self.inputs.get("clock") is not None,
            settable_s=shoot.settable_s,
        )

    # -- what was found -------------------------------------------------------------------------------------

    def _used(self, doubts: list[Doubt]) -> Estimate[int] | None:
        get = self.inputs.get
        readings = [
            read_to(typed, unit).map(int)
            for typed, unit in ((get("found_gb"), card.GB), (get("found_gib"), card.GIB))
            if typed is not None
        ]
        if len(readings) == 2:
            apart = abs(readings[0].expected - readings[1].expected)
            room = (readings[0].high - readings[0].low + readings[1].high - readings[1].low) // 2
            if apart > room + readings[0].expected * READING_SPREAD:
                doubts.append(Doubt.USED_TWICE)
        return readings[0] if readings else None

    def _battery_left(self, doubts: list[Doubt]) -> Estimate[float] | None:
        percent, volts = self.inputs.get("found_battery"), self.inputs.get("found_volts")
        read = None
        if percent is not None:
            read = read_to(percent, 1).map(lambda value: min(1.0, float(value) / 100))
        if volts is None:
            return read
        pack = self.shoot.battery.pack
        if pack.cell is None or pack.cell.name != "agm":
            # A percentage is then all there is to go by.
            return read if read is not None else self._doubted(doubts, Doubt.VOLTAGE_TELLS_NOTHING)
        rested = left_at_rest(self.block_v, pack.cell.usable_share)
        if rested is None:
            return self._doubted(doubts, Doubt.NOT_AT_REST)
        if read is None:
            return rested
        if not rested.low - READINGS_APART_SHARE <= read.expected <= rested.high + READINGS_APART_SHARE:
            doubts.append(Doubt.READINGS_DISAGREE)
        return read

    @property
    def block_v(self) -> float:
        """Return the voltage found at one 12 V block of the battery."""
        in_series = max(1, round((self.shoot.battery.pack.volts or BLOCK_V) / BLOCK_V))
        return float(self.inputs.get("found_volts")) / in_series

    def _doubted(self, doubts: list[Doubt], doubt: Doubt) -> None:
        doubts.append(doubt)

    @cached_property
    def found(self) -> Found:
        """Return what was read off the camera."""
        get, doubts = self.inputs.get, []
        used, left, clock = self._used(doubts), self._battery_left(doubts), get("found_clock")
        return Found(
            files=get("found_frames"),
            used_bytes=used,
            battery_left_share=left,
            clock_fast_s=None if clock is None else Fraction(clock),
            first_number=get("found_first"),
            last_number=get("found_last"),
            doubts=tuple(doubts),
        )

    @property
    def has_found(self) -> bool:
        """Whether anything was typed of what was found."""
        return any(name.startswith("found_") for name in self.inputs.values)

    # -- the answer -----------------------------------------------------------------------------------------

    @cached_property
    def comparison(self) -> Comparison:
        """Return what was found beside what was expected."""
        return compare(self.running, self.found)

    @cached_property
    def likely(self) -> LikelyInterval | None:
        """Return the interval that explains the count."""
        return likely_interval(self.comparison)

    @cached_property
    def causes(self) -> tuple[Explanation, ...]:
        """Return what may explain the count."""
        return explanations(self.comparison)

    @cached_property
    def outlook(self) -> Outlook:
        """Return dates and verdict."""
        set_at = self.clock_set if not self._keeps_offset else self._on_camera(self.clock_set)
        return outlook(self.comparison, self.likely, clock_since=set_at, looked_at=self.right_time(self.at))
