"""The typed quantities as the calculation package wants them, with the blank ones worked out where they can be."""

from __future__ import annotations

from datetime import date
from fractions import Fraction
from functools import cached_property

from webcalc.calc.card import forecast as card_forecast
from webcalc.calc.card import frame_size
from webcalc.calc.card import space as card
from webcalc.calc.card.forecast import CardForecast
from webcalc.calc.clip import solve
from webcalc.calc.clip.interval import SETTABLE_INTERVALS_S, frames_wanted
from webcalc.calc.estimate import Estimate
from webcalc.calc.light.window import ShootLight
from webcalc.calc.power.runtime import Runtime
from webcalc.calc.schedule.length import last_day
from webcalc.calc.schedule.recording import Recording
from webcalc.calc.schedule.schedule import DailyWindow, Schedule
from webcalc.web.link import needed_right
from webcalc.web.link.inputs import Inputs
from webcalc.web.shoot.battery import ShootBattery
from webcalc.web.shoot.optics import ShootOptics
from webcalc.web.shoot.place import ShootPlace


class Shoot:
    """One shoot, read from a link. A part that can't be known is None; ``solved`` names what was worked out.

    Blanks are solved in one order, so that a link always means the same: the last day from the shoot's length, else
    from interval and clip, else from the card; then the interval from the clip.
    """

    def __init__(self, inputs: Inputs) -> None:
        self.inputs = inputs
        #: Name of a quantity that was left blank -> names of those it was worked out from.
        self.solved: dict[str, tuple[str, ...]] = {}
        self.last = self._last()
        self.interval_s = self._interval_s()

    # -- when -----------------------------------------------------------------------------------------------

    @cached_property
    def window(self) -> DailyWindow | None:
        """Return the daily window."""
        if not self.inputs.has("from", "until"):
            return None
        return DailyWindow(self.inputs.get("from"), self.inputs.get("until"))

    @cached_property
    def schedule(self) -> Schedule | None:
        """Return when the camera records; None while a part of it is missing."""
        if self.last is None or self.window is None or not self.inputs.has("first", "days"):
            return None
        if "skip" in self.inputs.errors:
            return None
        get = self.inputs.get
        return Schedule(get("first"), self.last, self.window, get("days"), get("skip", frozenset()))

    def missing_for_schedule(self) -> list[str]:
        """Return the names to fill in before there is a schedule."""
        needed = [name for name in ("first", "from", "until", "days") if not self.inputs.has(name)]
        return needed if self.last is not None else [*needed, "last"]

    def _last(self) -> date | None:
        get = self.inputs.get
        if get("last") or "last" in self.inputs.errors:
            return get("last")
        if "shoot_days" in self.inputs.errors or (self.inputs.has("shoot_days") and not self.inputs.has("first")):
            return None
        if self.inputs.has("shoot_days"):
            self.solved["last"] = ("shoot_days",)
            return last_day(get("first"), get("shoot_days"))
        wrong = needed_right.any_wrong(self.inputs, needed_right.SCHEDULE)
        if wrong or not self.inputs.has("first", "from", "until", "days", "interval"):
            return None
        pattern = (get("first"), self.window, get("days"), get("skip", frozenset()), get("interval"))
        if self.inputs.has("clip", "fps"):
            frames = frames_wanted(get("clip"), get("fps"), self.kept_share)
            self.solved["last"] = ("clip", "interval")
            return solve.last_date_for_frames(*pattern, max(frames, 1))
        if self.card_bytes and self.frame and self.card_load_known and not self.takes_more_than_stills:
            held = self._frames_held()
            self.solved["last"] = ("card_gb", "interval")
            return solve.last_date_within_frames(*pattern, held)
        return None

    # -- what -----------------------------------------------------------------------------------------------

    @cached_property
    def kept_share(self) -> Fraction:
        """Return the share of frames kept; all where nothing is said."""
        return Fraction(self.inputs.get("kept", 100)) / 100

    @cached_property
    def settable_s(self) -> tuple[Fraction, ...]:
        """Return the intervals that the camera can set."""
        return self.inputs.get("settable") or SETTABLE_INTERVALS_S

    def _interval_s(self) -> Fraction | None:
        typed = self.inputs.get("interval")
        if typed or "interval" in self.inputs.errors:
            return typed
        answer = self.interval_answer
        if answer is None or answer.chosen is None:
            return None
        self.solved["interval"] = ("clip",)
        return answer.chosen.interval_s

    @cached_property
    def interval_answer(self) -> solve.IntervalAnswer | None:
        """Return the interval for the wanted clip, whatever interval was typed."""
        wrong = needed_right.any_wrong(self.inputs, ("kept", "settable"))
        if self.schedule is None or wrong or not self.inputs.has("clip", "fps"):
            return None
        get = self.inputs.get
        return solve.interval_from_clip(self.schedule, get("clip"), get("fps"), self.kept_share, self.settable_s)

    @property
    def takes_more_than_stills(self) -> bool:
        """Whether bursts or motion-triggered frames are recorded too."""
        return bool(self.inputs.get("motion")) or self.inputs.has("burst")

    def recording_at(self, interval_s: Fraction | None) -> Recording:
        """Return what is recorded at an interval."""
        get = self.inputs.get
        return Recording(
            interval_s=interval_s,
            stills=get("stills") != "no",
            burst_s=get("burst", Fraction(0)),
            # Without a bit rate a burst still draws energy; what it takes on the card is then not known.
            burst_bits_per_s=Fraction(get("burst_mbps", 0)) * card.MEGABIT,
            motion_frames_per_day=get("motion", 0),
        )

    @cached_property
    def recording(self) -> Recording:
        """Return what is recorded at the interval typed or worked out."""
        return self.recording_at(self.interval_s)

    @cached_property
    def clip(self) -> solve.ClipMade | None:
        """Return frames and clip length at the interval typed or worked out."""
        if self.schedule is None or self.interval_s is None or "fps" not in self.inputs.values:
            return None
        if "kept" in self.inputs.errors:
            return None
        if not self.recording.stills:
            return solve.ClipMade(self.interval_s, 0, 0, Fraction(0))
        return solve.clip_from_interval(self.schedule, self.interval_s, self.inputs.get("fps"), self.kept_share)

    # -- on the card ----------------------------------------------------------------------------------------

    @cached_property
    def frame(self) -> Estimate[int] | None:
        """Return a frame's bytes: measured, else from size and quality."""
        get = self.inputs.get
        if "frame_mb" in self.inputs.errors:
            return None
        if get("frame_mb"):
            return frame_size.measured(get("frame_mb"))
        if self.inputs.has("size", "picture"):
            return frame_size.frame_bytes(*get("size"), frame_size.PICTURES[get("picture")])
        return None

    @property
    def card_bytes(self) -> int | None:
        """Return the card's nominal size in bytes."""
        size_gb = self.inputs.get("card_gb")
        return None if size_gb is None else card.bytes_from_gb(Fraction(size_gb))

    @property
    def used_bytes(self) -> int:
        """Return what stands on the card already."""
        return card.bytes_from_gb(Fraction(self.inputs.get("used_gb", 0)))

    @property
    def reserve_share(self) -> Fraction:
        """Return the share of the card that is kept free."""
        return Fraction(self.inputs.get("card_reserve", 0)) / 100

    @property
    def cluster_bytes(self) -> int:
        """Return the cluster of the card's file system (that of large cards while no card is named)."""
        return card.file_system_for(self.card_bytes or 64 * card.GB).cluster_bytes

    @property
    def card_usable_bytes(self) -> int | None:
        """Return the bytes to plan with on the card, before what stands on it already."""
        return None if self.card_bytes is None else card.usable_bytes(self.card_bytes, self.reserve_share)

    @property
    def card_load_known(self) -> bool:
        """Return whether all that goes on the card is known: nothing typed wrong, no burst without a bit rate."""
        if needed_right.any_wrong(self.inputs, needed_right.CARD, needed_right.RECORDED):
            return False
        return not self.burst_size_missing

    @property
    def burst_size_missing(self) -> bool:
        """Return whether bursts are taken whose bit rate isn't known: they draw energy and fill nobody knows what."""
        return self.inputs.has("burst") and not self.inputs.has("burst_mbps")

    def _frames_held(self) -> int:
        assert self.frame is not None and self.card_usable_bytes is not None  # noqa: S101 - callers have looked
        free = max(0, self.card_usable_bytes - self.used_bytes)
        return free // card.on_card_bytes(self.frame.high, self.cluster_bytes)

    def card_forecast_at(self, interval_s: Fraction | None, past_last: bool = False) -> CardForecast | None:
        """Return how far the card goes at an interval; without a card, what the shoot needs.

        Without a card the forecast is that of an empty one: only its needs mean anything.
        """
        if self.schedule is None or self.frame is None or not self.card_load_known:
            return None
        recording = self.recording_at(interval_s)
        if interval_s is None and not recording.motion_frames_per_day:
            return None
        return card_forecast.forecast(
            self.schedule,
            recording,
            self.frame,
            self.card_usable_bytes or 0,
            self.cluster_bytes,
            self.used_bytes,
            past_last=past_last,
            reserve_share=self.reserve_share,
        )

    @cached_property
    def card_needs(self) -> CardForecast | None:
        """Return what the plan needs on a card, be there one or not; None without a schedule or a frame size."""
        return self.card_forecast_at(self.interval_s)

    @property
    def card_forecast(self) -> CardForecast | None:
        """Return how far the card goes; None without a card, a schedule or a frame size."""
        return None if self.card_bytes is None else self.card_needs

    # -- where ----------------------------------------------------------------------------------------------

    @cached_property
    def place(self) -> ShootPlace:
        """Return the site, its zone and the camera clock."""
        return ShootPlace(self.inputs, self.schedule)

    @cached_property
    def light(self) -> ShootLight | None:
        """Return the light in the windows of the shoot."""
        return self.place.light(self.recording)

    @cached_property
    def optics(self) -> ShootOptics:
        """Return sensor, lens and angles of view."""
        return ShootOptics(self.inputs)

    # -- on the battery -------------------------------------------------------------------------------------

    @cached_property
    def battery(self) -> ShootBattery:
        """Return the battery and what draws on it."""
        return ShootBattery(self.inputs, self.schedule, self.recording)

    @cached_property
    def runtime(self) -> Runtime | None:
        """Return how long the battery lasts by the plan."""
        return self.runtime_at(self.interval_s)

    def runtime_at(self, interval_s: Fraction | None) -> Runtime | None:
        """Return how long the battery lasts at an interval."""
        return self.battery.runtime(self.recording_at(interval_s))
