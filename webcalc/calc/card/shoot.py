"""The shoot seen from its card: what a frame takes, which card lasts, until when."""

from __future__ import annotations

from dataclasses import dataclass, replace
from fractions import Fraction
from typing import TYPE_CHECKING

from webcalc.calc.card import forecast as filling
from webcalc.calc.card import frame_size, space
from webcalc.calc.card.forecast import CardForecast
from webcalc.calc.card.space import FileSystem
from webcalc.calc.estimate import Estimate
from webcalc.calc.schedule.recording import Recording
from webcalc.calc.unknown import ask, figure, figure_for, given, known, need

if TYPE_CHECKING:
    from webcalc.calc.shoot import Shoot

#: Stands for the size of frames where none are taken.
_NO_FRAME = Estimate.exact(1)


@dataclass(frozen=True, eq=False)
class ShootCard:
    """What the typed quantities say of the card."""

    shoot: Shoot

    @property
    def kept(self) -> bool:
        """Whether frames are kept on a card at all; taken so while that isn't known."""
        return not known(self.shoot.kept_on) or self.shoot.kept_on != "sent"

    # -- what goes on it ------------------------------------------------------------------------------------

    @figure
    def frame(self) -> Estimate[int]:
        """A frame's bytes: measured, else from size and quality."""
        shoot = self.shoot
        if given(shoot.frame_mb):
            return frame_size.measured(need(shoot.frame_mb))
        if not (given(shoot.size) and given(shoot.picture)):
            raise ask("frame_mb")
        (width, height), picture = need(shoot.size, shoot.picture)
        return frame_size.frame_bytes(width, height, frame_size.PICTURES[picture])

    @figure
    def takes_frames(self) -> bool:
        """Whether there are single frames on the card, not bursts only."""
        stills, motion = need(self.shoot.takes_stills, self.shoot.motion)
        return stills or bool(motion)

    @figure
    def frame_recorded(self) -> Estimate[int]:
        """A frame's bytes; anything where no frame is recorded."""
        return need(self.frame) if need(self.takes_frames) else _NO_FRAME

    @figure_for
    def recording_at(self, interval_s: Fraction | None) -> Recording:
        """What is recorded at an interval, bursts with their bit rate."""
        recording = need(self.shoot.recording_at(interval_s))
        if not recording.burst_s:
            return recording
        return replace(recording, burst_bits_per_s=Fraction(need(self.shoot.burst_mbps)) * space.MEGABIT)

    @figure
    def recording(self) -> Recording:
        """What is recorded by the plan, bursts with their bit rate."""
        return need(self.recording_at(need(self.shoot.recording).interval_s))

    # -- the card -------------------------------------------------------------------------------------------

    @figure
    def card_bytes(self) -> int:
        """The card's nominal size."""
        return space.bytes_from_gb(Fraction(need(self.shoot.card_gb)))

    @figure
    def used_bytes(self) -> int:
        """What stands on the card already."""
        return space.bytes_from_gb(Fraction(need(self.shoot.used_gb)))

    @figure
    def reserve_share(self) -> Fraction:
        """The share of the card that is kept free."""
        return Fraction(need(self.shoot.card_reserve)) / 100

    @figure
    def usable_bytes(self) -> int:
        """The bytes to plan with, before what stands on the card already."""
        return space.usable_bytes(*need(self.card_bytes, self.reserve_share))

    @figure
    def free_bytes(self) -> int:
        """The bytes to plan with that nothing stands on yet."""
        usable, used = need(self.usable_bytes, self.used_bytes)
        return max(0, usable - used)

    @figure
    def smallest_gb(self) -> int | None:
        """The smallest card sold, empty, that lasts at the pessimistic end; None where none does."""
        schedule, recording, frame, reserve = need(
            self.shoot.schedule, self.recording, self.frame_recorded, self.reserve_share
        )
        return space.smallest_card_gb(
            lambda cluster: filling.shoot_bytes(schedule, recording, frame, cluster).high, reserve
        )

    @figure
    def file_system(self) -> FileSystem:
        """That of the card typed, else of the smallest that lasts, else of a large one."""
        if given(self.shoot.card_gb):
            return space.file_system_for(need(self.card_bytes))
        smallest = self.smallest_gb
        size_gb = smallest if known(smallest) and smallest else space.CARD_SIZES_GB[-1]
        return space.file_system_for(size_gb * space.GB)

    @figure
    def frames_held(self) -> int:
        """The frames that the free card surely holds."""
        free, frame, files = need(self.free_bytes, self.frame, self.file_system)
        return free // space.on_card_bytes(frame.high, files.cluster_bytes)

    # -- how far it goes ------------------------------------------------------------------------------------

    @figure_for
    def needed_at(self, interval_s: Fraction | None) -> Estimate[int]:
        """The bytes that the shoot takes on a card at an interval."""
        schedule, recording, frame, files = need(
            self.shoot.schedule, self.recording_at(interval_s), self.frame_recorded, self.file_system
        )
        return filling.shoot_bytes(schedule, recording, frame, files.cluster_bytes)

    @figure
    def needed_bytes(self) -> Estimate[int]:
        """The bytes that the shoot takes on a card."""
        return need(self.needed_at(need(self.recording).interval_s))

    @figure_for
    def forecast_at(self, interval_s: Fraction | None, past_last: bool = False) -> CardForecast:
        """How far the card goes at an interval."""
        schedule, recording, frame, files, usable = need(
            self.shoot.schedule,
            self.recording_at(interval_s),
            self.frame_recorded,
            self.file_system,
            self.usable_bytes,
        )
        used, reserve = need(self.used_bytes, self.reserve_share)
        return filling.forecast(
            schedule, recording, frame, usable, files.cluster_bytes, used, past_last=past_last, reserve_share=reserve
        )

    @figure
    def forecast(self) -> CardForecast:
        """How far the card goes by the plan."""
        return need(self.forecast_at(need(self.recording).interval_s))
