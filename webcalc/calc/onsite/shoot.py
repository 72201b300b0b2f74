"""The shoot at the moment when somebody stands at the camera: what was found, beside what should be there."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta, timezone
from fractions import Fraction
from operator import mul
from typing import TYPE_CHECKING, Any, TypeVar

from webcalc.calc.estimate import Estimate
from webcalc.calc.onsite.compare import Comparison, carried_draw, carried_frame, tells_draw
from webcalc.calc.onsite.fit import Judgement, Story, TellsApart, look_at, tells_apart
from webcalc.calc.onsite.outlook import Outlook, outlook
from webcalc.calc.onsite.readings import BatteryRead, SpaceRead, gauge_shown, rested_shown, space_shown
from webcalc.calc.onsite.seen import Ask, Doubt, Found, Running
from webcalc.calc.power.cells import temperature_factor
from webcalc.calc.power.energy import charge_share_at_rest
from webcalc.calc.schedule.zone import camera_minus_wall_min, camera_offset, camera_to_utc, utc_to_camera
from webcalc.calc.unknown import ask, blank, figure, given, known, need, said, unless_wrong
from webcalc.calc.visits.rules import clock_shifts

if TYPE_CHECKING:
    from webcalc.calc.shoot import Shoot

Instant = TypeVar("Instant", datetime, None, datetime | None)

#: What is read at the camera.
READINGS = (
    *("found_frames", "found_gb", "found_gib", "found_battery", "found_volts", "found_clock"),
    *("found_first", "found_last", "found_first_at", "found_last_at"),
)
#: A lead-acid battery of 12 V blocks in series is read as one block.
BLOCK_V = 12


@dataclass(frozen=True, eq=False)
class ShootLook:
    """One look at the camera; ``instant`` (aware) is when it is made where no time was typed.

    At a visit the clock is set, if visits renew it; else it runs as set at the shoot's start, or by the typed offset.
    """

    shoot: Shoot
    instant: datetime

    # -- the clocks -----------------------------------------------------------------------------------------

    @figure
    def clock_set(self) -> datetime:
        """When the camera clock was set, site time."""
        noted, schedule = need(self.shoot.done.clock_set_on_site, self.shoot.schedule)
        return noted or schedule.starts_at

    @figure
    def offset(self) -> timedelta:
        """The offset from UTC that the camera clock keeps."""
        if given(self.shoot.clock):
            return need(self.shoot.daylight.camera_offset)
        zone, clock_set = need(self.shoot.daylight.zone, self.clock_set)
        return camera_offset(zone, clock_set)

    def _on_camera(self, local: datetime) -> datetime:
        """Return what the camera clock reads at a time of the site; without a zone the two are taken as one."""
        if self.shoot.daylight.one_clock:
            return local
        zone, offset = need(self.shoot.daylight.zone, self.offset)
        return local - camera_offset(zone, local) + offset

    @figure
    def since(self) -> datetime:
        """From when its card fills, on the camera clock."""
        noted, schedule = need(self.shoot.done.card_since, self.shoot.schedule)
        return noted or schedule.starts_at

    @figure
    def at(self) -> datetime:
        """When somebody looks, on the camera clock: typed, else now."""
        if given(self.shoot.at):
            return self._on_camera(said(self.shoot.at))
        offset = self.offset
        if not known(offset) and not offset.wrong:
            need(blank("at"), None if given(self.shoot.clock) else self.clock_set)
        return utc_to_camera(self.instant, need(offset)).replace(second=0, microsecond=0)

    @figure
    def shift_s(self) -> int:
        """Camera clock minus wall clock at the look."""
        if self.shoot.daylight.one_clock:
            return 0
        zone, offset, at = need(self.shoot.daylight.zone, self.offset, self.at)
        return 60 * camera_minus_wall_min(zone, offset, camera_to_utc(at, offset))

    @property
    def shifted_at(self) -> datetime | None:
        """When summer time last changed since the clock was set, site time; None where it didn't, or isn't known."""
        zone, clock_set, at = self.shoot.daylight.zone, self.clock_set, self.at
        if self.shoot.daylight.one_clock or not known(zone) or not known(clock_set) or not known(at):
            return None
        shifts = clock_shifts(zone, clock_set.replace(tzinfo=UTC) - timedelta(1), at.replace(tzinfo=UTC))
        return shifts[-1].at if shifts and shifts[-1].at > clock_set else None

    def site_time(self, camera: datetime) -> datetime:
        """Return the site's wall clock when the camera clock reads ``camera``."""
        zone, offset = self.shoot.daylight.zone, self.offset
        if not known(zone) or not known(offset):
            return camera
        return camera_to_utc(camera, offset).astimezone(zone).replace(tzinfo=None)

    def dated(self, camera: Instant) -> Instant:
        """Return a camera-clock instant with the camera's offset, where that is known."""
        offset = self.offset
        return camera if camera is None or not known(offset) else camera.replace(tzinfo=timezone(offset))

    # -- what was found -------------------------------------------------------------------------------------

    @figure
    def running(self) -> Running:
        """The shoot from when it runs to the look; what nobody filled in is left out of it."""
        shoot, card = self.shoot, self.shoot.card
        planner, since, at, shift_s, settable = need(
            shoot.visits.planner, self.since, self.at, self.shift_s, shoot.settable
        )
        battery_since, clock_set, times = need(
            shoot.done.battery_since, self.clock_set, None if planner.battery is None else self.usable_times
        )
        frame = unless_wrong(card.frame_recorded) if unless_wrong(card.recording) is not None else None
        files = unless_wrong(card.file_system)
        battery = planner.battery
        if battery is not None and times is not None:
            usable = battery.supply.usable_wh.with_(times, mul)
            planner = replace(planner, battery=replace(battery, supply=replace(battery.supply, usable_wh=usable)))
        return Running(
            planner,
            since,
            at,
            frame=frame if files is not None else None,
            cluster_bytes=files.cluster_bytes if files is not None and not unless_wrong(card.as_video) else 1,
            card_bytes=unless_wrong(card.card_bytes),
            used_before_bytes=need(card.used_bytes),
            clock_shift_s=shift_s,
            shift_wanted=given(shoot.clock),
            shifted_at=self.shifted_at,
            settable_s=settable,
            battery_since=battery_since or planner.schedule.starts_at,
            clock_since=self._on_camera(clock_set),
            supply_ahead=None if battery is None else battery.supply,
        )

    @figure
    def usable_times(self) -> Estimate[float] | None:
        """How many times what is planned the battery had usable in the run, by its temperature then; None: as planned.

        A share read of a battery that was warmer than planned is more energy: the draw would seem less than it is.
        """
        then_c = need(self.shoot.found_temp_c)
        if then_c is None:
            return None
        cell, by_plan = need(self.shoot.battery.cell_used, self.shoot.battery.temperature)
        then = temperature_factor(cell, float(then_c)).left
        return then.with_(by_plan.left, lambda here, there: here / there if there else 1.0)

    @property
    def has_found(self) -> bool:
        """Whether anything was typed of what was found."""
        return any(given(getattr(self.shoot, name)) for name in READINGS)

    @figure
    def found(self) -> Found:
        """What was read off the camera."""
        shoot = self.shoot
        used, battery, clock_fast_s, *_ = need(
            self.space_read, self.battery_read, self.clock_fast_s, *(getattr(shoot, name) for name in READINGS)
        )
        frames, first, last = need(shoot.found_frames, shoot.found_first, shoot.found_last)
        first_at, last_at = need(shoot.found_first_at, shoot.found_last_at)
        return Found(
            files=frames,
            used_bytes=used.used,
            used_if_binary=used.if_binary,
            battery_left_share=battery.left,
            clock_fast_s=clock_fast_s,
            clock_by="" if clock_fast_s is None else need(shoot.clock_by),
            first_number=first,
            last_number=last,
            first_at=first_at,
            last_at=last_at,
            doubts=(*used.doubts, *battery.doubts),
            asks=battery.asks,
        )

    @figure
    def clock_fast_s(self) -> Fraction | None:
        """How fast the clock is against the right time; it may have been held against the offset it keeps."""
        typed = need(self.shoot.found_clock)
        if typed is None:
            return None
        by, shift_s = need(self.shoot.clock_by, self.shift_s)
        return Fraction(typed) + (shift_s if by == "offset" else 0)

    @figure
    def space_read(self) -> SpaceRead:
        """The space used, as the device shows it."""
        gigabytes, gibibytes = need(self.shoot.found_gb, self.shoot.found_gib)
        return space_shown(gigabytes, gibibytes, "" if gigabytes is None else need(self.shoot.gb_shows))

    @figure
    def battery_read(self) -> BatteryRead:
        """What is left of the battery, by its gauge and by its voltage at rest."""
        shoot = self.shoot
        percent, volts = need(shoot.found_battery, shoot.found_volts)
        if percent is None and volts is None:
            return BatteryRead()
        cell, shows = need(shoot.battery.cell_used, shoot.battery_shows if percent is not None else "")
        if volts is not None and need(shoot.cell) == "agm":
            return rested_shown(charge_share_at_rest(need(self.block_v)), percent, shows, cell.usable_share)
        if percent is None:
            return BatteryRead(doubts=(Doubt.VOLTAGE_TELLS_NOTHING,))
        # A percentage is then all there is to go by.
        return gauge_shown(percent, shows, cell.usable_share)

    @figure
    def block_v(self) -> float:
        """The voltage found at one 12 V block of the battery."""
        nominal, volts = need(self.shoot.battery_v, self.shoot.found_volts)
        if volts is None:
            raise ask("found_volts")
        return float(volts) / max(1, round(float(nominal or BLOCK_V) / BLOCK_V))

    # -- the answer -----------------------------------------------------------------------------------------

    @figure
    def judged(self) -> tuple[Comparison, Judgement]:
        """What was found beside what was expected, and the stories that fit it."""
        return look_at(*need(self.running, self.found))

    @figure
    def comparison(self) -> Comparison:
        """What was found beside what was expected."""
        return need(self.judged)[0]

    @figure
    def stories(self) -> tuple[Story, ...]:
        """What may have happened, in order of fit; none where nothing was read."""
        return need(self.judged)[1].stories

    @figure
    def apart(self) -> TellsApart | None:
        """What would tell the first story from another."""
        stories, comparison = need(self.stories, self.comparison)
        return tells_apart(comparison, stories)

    @figure
    def outlook(self) -> Outlook:
        """Dates, and what is to be done."""
        comparison, stories, clock_set, at = need(self.comparison, self.stories, self.clock_set, self.at)
        if given(self.shoot.clock) or self.shoot.daylight.one_clock:
            return outlook(comparison, stories, clock_since=self._on_camera(clock_set), looked_at=at)
        return outlook(comparison, stories, clock_since=clock_set, looked_at=self.site_time(at))

    @figure
    def measured(self) -> dict[str, Any]:
        """Quantities as they were measured, to go on with; empty where nothing can be carried.

        A reading that can mean two things protects until somebody says which; it makes no plan.
        """
        found = need(self.comparison)
        changes: dict[str, float | None] = {}
        if found.frame_bytes and Ask.GB_SHOWS not in found.asks:
            changes |= carried_frame(self.shoot, found.frame_bytes.expected)
        factor, battery = need(self.outlook).draw.expected, need(self.running).planner.battery
        if factor is not None and battery is not None and tells_draw(found, factor):
            changes |= carried_draw(self.shoot, battery, factor)
        return changes
