"""One card question, worked out: what the page ``/storage`` shows and its data holds."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, timedelta
from fractions import Fraction
from functools import cached_property

from webcalc.calc.card import forecast as card_forecast
from webcalc.calc.card import frame_size
from webcalc.calc.card import space as card
from webcalc.calc.card.forecast import CardForecast
from webcalc.calc.card.space import FileSystem
from webcalc.calc.estimate import Estimate
from webcalc.calc.plan import next_interval_that_holds
from webcalc.calc.schedule.recording import Recording
from webcalc.calc.schedule.schedule import LONGEST_SHOOT_DAYS, Schedule
from webcalc.web.http.page import Asked
from webcalc.web.link import needed_right
from webcalc.web.shoot.place import ShootPlace

#: Names whose wrong value would make any figure of the page wrong.
NEEDED_RIGHT = (*needed_right.SCHEDULE, *needed_right.CARD, *needed_right.RECORDED)


class StorageCase:
    """The shoot seen from its card.

    With the last day left blank and neither length nor clip to give it, the question is until when the card lasts
    (``until_full``): the same pattern of days then goes on, for ten years at most.
    """

    def __init__(self, asked: Asked) -> None:
        self.asked = asked
        self.inputs = asked.inputs
        self.shoot = asked.old
        self.recording: Recording = self.shoot.recording
        last_from = self.shoot.solved.get("last", ())
        self.until_full = not self.inputs.has("last") and {"clip", "shoot_days"}.isdisjoint(last_from)

    @property
    def records(self) -> bool:
        """Whether anything is put on the card at all."""
        recording = self.recording
        on_interval = recording.stills or recording.burst_s
        return bool(on_interval or recording.motion_frames_per_day)

    @property
    def takes_frames(self) -> bool:
        """Whether there are single frames on the card, not bursts only."""
        return self.recording.stills or bool(self.recording.motion_frames_per_day)

    @property
    def is_exact(self) -> bool:
        """Whether no guess at a frame size is in the figures."""
        return self.inputs.has("frame_mb") or not self.takes_frames

    @property
    def with_large(self) -> str:
        """Return the condition to say beside a pessimistic figure, empty where the frame size is no guess."""
        return "" if self.is_exact else " with large frames"

    @property
    def needs(self) -> list[str]:
        """Return the names to fill in before there is an answer."""
        shoot, inputs = self.shoot, self.inputs
        names = [name for name in shoot.missing_for_schedule() if name != "last"]
        on_interval = self.recording.stills or inputs.has("burst")
        if shoot.interval_s is None and on_interval:
            names.append("interval")
        if self.shoot.burst_size_missing:
            names.append("burst_mbps")
        if shoot.frame is None:
            names.append("frame_mb")
        if self.until_full and shoot.card_bytes is None:
            names += ["card_gb", "last"]
        elif not self.until_full and shoot.last is None:
            names.append("last")
        return names

    @cached_property
    def schedule(self) -> Schedule | None:
        """Return the days that may fill the card."""
        if not self.until_full or self.shoot.window is None:
            return self.shoot.schedule
        if not self.inputs.has("first", "days"):
            return None
        first: date = self.inputs.get("first")
        last = first + timedelta(LONGEST_SHOOT_DAYS - 1)
        return Schedule(first, last, self.shoot.window, self.inputs.get("days"), self.inputs.get("skip", frozenset()))

    @cached_property
    def card_needed_gb(self) -> int | None:
        """Return the smallest card sold that lasts; None where none does or there is no last day."""
        if self.shoot.schedule is None or self.shoot.frame is None:
            return None
        recording, frame = self.recording, self.shoot.frame
        return card.smallest_card_gb(
            lambda cluster: card_forecast.shoot_bytes(self.shoot.schedule, recording, frame, cluster).high,
            self.shoot.reserve_share,
        )

    @cached_property
    def file_system(self) -> FileSystem:
        """Return that of the card typed, else of the card that is needed, else of a large one."""
        card_bytes = self.shoot.card_bytes or (self.card_needed_gb or card.CARD_SIZES_GB[-1]) * card.GB
        return card.file_system_for(card_bytes)

    @property
    def free_bytes(self) -> int | None:
        """Return the bytes to plan with that nothing stands on yet; None without a card."""
        usable = self.shoot.card_usable_bytes
        return None if usable is None else max(0, usable - self.shoot.used_bytes)

    def _forecast(self, frame: Estimate[int], past_last: bool = False) -> CardForecast:
        assert self.schedule is not None  # noqa: S101 - callers have looked at `needs`
        return card_forecast.forecast(
            self.schedule,
            self.recording,
            frame,
            self.shoot.card_usable_bytes or 0,
            self.file_system.cluster_bytes,
            self.shoot.used_bytes,
            past_last=past_last,
            reserve_share=self.shoot.reserve_share,
        )

    @cached_property
    def forecast(self) -> CardForecast:
        """Return how far the card goes, over ``schedule``."""
        return self._forecast(self.shoot.frame)

    def full_at(self, frame: Estimate[int] | None = None, past_last: bool = False) -> Estimate[datetime | None]:
        """Return when the card is full, with the camera clock's offset where that is known."""
        as_asked = frame is None and not past_last
        found = self.forecast if as_asked else self._forecast(frame or self.shoot.frame, past_last)
        return found.full_at.map(self.dated)

    def dated(self, camera: datetime | None) -> datetime | None:
        """Return an instant with the camera clock's offset where that is known."""
        return ShootPlace(self.inputs, self.schedule).dated(camera)

    @property
    def needed(self) -> Estimate[int] | None:
        """Return what the shoot takes on the card; None while it has no last day."""
        if self.shoot.schedule is None:
            return None
        return self._needed(self.recording, self.shoot.frame)

    def _needed(self, recording: Recording, frame: Estimate[int]) -> Estimate[int]:
        return card_forecast.shoot_bytes(self.shoot.schedule, recording, frame, self.file_system.cluster_bytes)

    @property
    def file_bytes(self) -> Estimate[int] | None:
        """Return the shoot's files without what clusters add: what copying and sending move."""
        if self.shoot.schedule is None:
            return None
        return card_forecast.shoot_bytes(self.shoot.schedule, self.recording, self.shoot.frame, 1)

    def day_bytes(self, cluster_bytes: int) -> Estimate[int]:
        """Return what a recorded day takes in clusters of this size; 1 for the files alone."""
        window_s = self.shoot.window.length_s
        return card_forecast.day_bytes(self.recording, window_s, self.shoot.frame, cluster_bytes)

    @property
    def last_whole_day(self) -> date | None:
        """Return the last date whose whole window the card surely holds; None if not even the first."""
        full = self.forecast.full_at.low
        dates = self.schedule.recorded_dates
        whole = dates if full is None else [day for day in dates if self.schedule.window_on(day)[1] <= full]
        return whole[-1] if whole else None

    # -- what makes it hold ---------------------------------------------------------------------------------

    @cached_property
    def interval_that_lasts_s(self) -> Fraction | None:
        """Return the shortest settable interval, longer than the planned one, at which this card lasts."""
        now_s = self.recording.interval_s
        if now_s is None or "clip" in self.shoot.solved.get("last", ()) or self.until_full:
            return None

        def lasts(interval_s: Fraction) -> bool:
            recording = replace(self.recording, interval_s=interval_s)
            return self._needed(recording, self.shoot.frame).high <= self.free_bytes

        return next_interval_that_holds(now_s, self.shoot.settable_s, lasts)

    @cached_property
    def lower_pictures(self) -> list[tuple[str, Estimate[int]]]:
        """Return the next lower kinds of picture and what the shoot takes with them, to the first that lasts."""
        found: list[tuple[str, Estimate[int]]] = []
        if self.inputs.has("frame_mb") or not self.inputs.has("size", "picture"):
            return found
        picture = frame_size.smaller_picture(frame_size.PICTURES[self.inputs.get("picture")])
        while picture is not None:
            needed = self._needed(self.recording, self.frame_with(picture.name))
            found.append((picture.name, needed))
            if needed.high <= self.free_bytes:
                break
            picture = frame_size.smaller_picture(picture)
        return found

    def frame_with(self, picture: str) -> Estimate[int]:
        """Return the frame size at another picture quality."""
        return frame_size.frame_bytes(*self.inputs.get("size"), frame_size.PICTURES[picture])
