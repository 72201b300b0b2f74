"""One shoot: what was typed, and every figure that follows from it.

Each room of the package looks at the shoot from its side: ``shoot.card``, ``shoot.battery``, ``shoot.visits`` and so
on. A figure is a value, or ``NotKnown`` with the names of the quantities to fill in or to mend.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from fractions import Fraction
from functools import cached_property

from webcalc.calc.card.files import ShootFiles
from webcalc.calc.card.shoot import ShootCard
from webcalc.calc.clip import solve
from webcalc.calc.clip.interval import frames_wanted
from webcalc.calc.clip.shoot import ShootClip
from webcalc.calc.clip.solve import ClipMade, IntervalAnswer
from webcalc.calc.light.shoot import ShootDaylight
from webcalc.calc.onsite.past import past_measures
from webcalc.calc.optics.moving import ShootMotion
from webcalc.calc.optics.putting_back import ShootRemount
from webcalc.calc.optics.shoot import ShootView
from webcalc.calc.optics.sunlit import ShootSun
from webcalc.calc.power.shoot import ShootBattery
from webcalc.calc.schedule.length import last_day
from webcalc.calc.schedule.recording import Recording
from webcalc.calc.schedule.schedule import LONGEST_SHOOT_DAYS, DailyWindow, Schedule
from webcalc.calc.typed import Seconds, Typed
from webcalc.calc.unknown import ask, figure, figure_for, given, known, need, said
from webcalc.calc.visits.done import ShootDone
from webcalc.calc.visits.shoot import ShootVisits


@dataclass(frozen=True)
class LastDay:
    """The last day, and the names it was worked out from (none where it was typed).

    date : None where there is none: a clip takes more than ten years, or a card doesn't hold the first day
    """

    date: date | None
    worked_out_from: tuple[str, ...] = ()


@dataclass(frozen=True, eq=False)
class Shoot(Typed):
    """One shoot. Blanks are solved in one order, so that a link always means the same.

    The last day comes from the shoot's length, else from interval and clip, else from the card; then the interval
    comes from the clip.

    Examples
    --------
    >>> from datetime import date, time
    >>> from fractions import Fraction
    >>> shoot = Shoot(
    ...     first=date(2027, 3, 1), last=date(2027, 5, 31), from_=time(8), until=time(18),
    ...     days=frozenset({1, 2, 3, 4, 5}), fps=Fraction(25), clip=Fraction(60), frame_mb=2, card_gb=64,
    ... )
    >>> shoot.interval_s, shoot.clip_made.frames
    (Fraction(1200, 1), 1980)
    >>> shoot.card.forecast.lasts, shoot.battery.runtime
    (True, NotKnown(blank=('battery_wh', 'temp_c', 'camera_kind'), wrong=()))
    """

    #: When somebody asks (aware): a visit that the log doesn't have by then was missed. None: nothing is missed.
    instant: datetime | None = None
    #: The same with nothing changed by the log yet; None where nothing is.
    planned: Shoot | None = None

    @property
    def running(self) -> Shoot:
        """The shoot as it runs by now: with what the log says is another than in the plan."""
        changed = self.done.changed
        return replace(self, planned=self, **changed) if changed else self

    # -- when -----------------------------------------------------------------------------------------------

    @figure
    def window(self) -> DailyWindow:
        """The daily window."""
        return DailyWindow(*need(self.from_, self.until))

    @figure
    def last_found(self) -> LastDay:
        """The last day and where it comes from."""
        if given(self.last):
            return LastDay(need(self.last))
        if given(self.shoot_days):
            first, length = said(self.first, self.shoot_days)
            return LastDay(last_day(first, length), ("shoot_days",))
        by_clip = given(self.clip) and given(self.fps)
        if not given(self.interval) or not (by_clip or (given(self.card_gb) and not self.takes_more_than_stills)):
            raise ask("last")
        first, window, days, skip, interval_s = said(self.first, self.window, self.days, self.skip, self.interval)
        if by_clip:
            clip_s, fps, kept_share = said(self.clip, self.fps, self.kept_share)
            frames = max(1, frames_wanted(clip_s, fps, kept_share))
            found = solve.last_date_for_frames(first, window, days, skip, interval_s, frames)
            return LastDay(found, ("clip", "interval"))
        held = need(self.card.frames_held)
        found = solve.last_date_within_frames(first, window, days, skip, interval_s, held)
        return LastDay(found, ("card_gb", "interval"))

    @figure
    def last_day(self) -> date:
        """The last day, typed or worked out."""
        found = need(self.last_found).date
        if found is None:
            raise ask("last")
        return found

    @figure
    def schedule(self) -> Schedule:
        """When the camera records."""
        return Schedule(*need(self.first, self.last_day, self.window, self.days, self.skip))

    @property
    def open_ended(self) -> bool:
        """Whether the last day was left blank and nothing gives it but the card: until when does it last?"""
        if given(self.last) or given(self.shoot_days):
            return False
        return not (given(self.interval) and given(self.clip) and given(self.fps))

    @figure
    def endless_schedule(self) -> Schedule:
        """The same pattern of days going on for ten years: for what has no last day yet."""
        first, window, days, skip = need(self.first, self.window, self.days, self.skip)
        span = min(LONGEST_SHOOT_DAYS - 1, (date.max - first).days)
        return Schedule(first, first + timedelta(span), window, days, skip)

    # -- what -----------------------------------------------------------------------------------------------

    @figure
    def takes_stills(self) -> bool:
        """Whether a still is taken on the interval."""
        return need(self.stills) != "no"

    @property
    def takes_more_than_stills(self) -> bool:
        """Whether bursts or motion-triggered frames are recorded too, as far as is known."""
        return given(self.burst) or not known(self.motion) or bool(self.motion)

    @figure
    def kept_share(self) -> Fraction:
        """The share of the frames that the clip keeps."""
        return Fraction(need(self.kept)) / 100

    @figure
    def interval_answer(self) -> IntervalAnswer:
        """The interval for the wanted clip, whatever interval was typed."""
        if not given(self.clip):
            raise ask("clip")
        schedule, clip_s, fps, kept_share, settable_s = said(
            self.schedule, self.clip, self.fps, self.kept_share, self.settable
        )
        return solve.interval_from_clip(schedule, clip_s, fps, kept_share, settable_s)

    @property
    def interval_solved(self) -> bool:
        """Whether the interval was left blank and comes from the clip."""
        return not given(self.interval) and known(self.interval_s)

    @figure
    def interval_s(self) -> Seconds:
        """The interval, typed or worked out."""
        if given(self.interval):
            return said(self.interval)
        if not given(self.clip):
            raise ask("interval")
        chosen = need(self.interval_answer).chosen
        if chosen is None:
            raise ask("interval")
        return chosen.interval_s

    @figure
    def recording(self) -> Recording:
        """What is recorded by the plan, the size of bursts aside."""
        stills, burst_s = need(self.takes_stills, self.burst)
        return need(self.recording_at(need(self.interval_s) if stills or burst_s else None))

    @figure_for
    def recording_at(self, interval_s: Seconds | None) -> Recording:
        """What is recorded at an interval, the size of bursts aside: it matters to the card only."""
        stills, burst_s, motion = need(self.takes_stills, self.burst, self.motion)
        return Recording(interval_s, stills, burst_s or Fraction(0), motion_frames_per_day=motion)

    # -- the clip -------------------------------------------------------------------------------------------

    @figure
    def clip_made(self) -> ClipMade:
        """Frames and clip length by the plan."""
        return need(self.clip_at(need(self.interval_s) if need(self.takes_stills) else Fraction(1)))

    @figure_for
    def clip_at(self, interval_s: Seconds) -> ClipMade:
        """Frames and clip length at an interval; nothing without stills."""
        schedule, fps, kept_share, stills = need(self.schedule, self.fps, self.kept_share, self.takes_stills)
        if not stills:
            return ClipMade(interval_s, 0, 0, Fraction(0))
        return solve.clip_from_interval(schedule, interval_s, fps, kept_share)

    # -- the rooms ------------------------------------------------------------------------------------------

    #: The shoot seen from its clip.
    clips = cached_property(ShootClip)
    #: The shoot seen from its card.
    card = cached_property(ShootCard)
    #: The files of the shoot, on the card and after it.
    files = cached_property(ShootFiles)
    #: The shoot seen from its battery.
    battery = cached_property(ShootBattery)
    #: The site, its clocks and the light in the windows.
    daylight = cached_property(ShootDaylight)
    #: When somebody must go there.
    visits = cached_property(ShootVisits)
    #: What the readings in its log measured.
    past = cached_property(past_measures)
    #: What somebody did there so far.
    done = cached_property(ShootDone)
    #: The shoot seen through its lens.
    view = cached_property(ShootView)
    #: How things move in the picture.
    moving = cached_property(ShootMotion)
    #: The camera before and after it was away.
    remounting = cached_property(ShootRemount)
    #: The sun against the camera.
    sunlight = cached_property(ShootSun)
