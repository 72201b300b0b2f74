"""What a device shows, as the values that it stands for, and readings that can't be: they are asked about.

Where a reading can mean two things, the protecting one is taken; with one that can't be nothing is computed.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from webcalc.calc.card import space
from webcalc.calc.card.limits import DCF_FILES_PER_FOLDER
from webcalc.calc.estimate import Estimate
from webcalc.calc.formula import ARITHMETIC, formula
from webcalc.calc.onsite.seen import Ask, Doubt, Found, Running

# -- what can't be ----------------------------------------------------------------------------------------


#: A difference up to this is drift of a crystal; more is a clock that was set wrong. Own choice: ten times ±20 ppm.
MOST_DRIFT_S_PER_DAY = 20
#: A clock set by hand is right to this.
SET_TO_S = 60
#: Room for a reading of space used that was rounded or cut, as a share of it. Own choice.
READING_SPREAD = Fraction(1, 100)
#: Frames of one scene whose size was measured differ by this on the mean of many. Own choice; GiB are 7.4 % more.
SIZE_SPREAD = Fraction(3, 100)


def time_doubts(running: Running) -> list[Doubt]:
    if running.at <= running.since:
        return [Doubt.AT_BEFORE_SINCE]
    return [Doubt.SINCE_BEFORE_START] if running.since < running.planner.schedule.starts_at else []


def may_drift_s(running: Running) -> Fraction:
    """Return by how much a clock may be off without having been set wrong."""
    return SET_TO_S + MOST_DRIFT_S_PER_DAY * max(running.clock_days, Fraction(0))


def clock_doubts(running: Running, found: Found) -> list[Doubt]:
    """Return what a reading of the clock leaves open: drift can't explain it, or it fits the offset the camera keeps.

    Held against the site's wall clock a camera is off by a change of summer time; held against its own offset it isn't.
    """
    fast_s, room_s = found.clock_fast_s, may_drift_s(running)
    if fast_s is None or abs(fast_s - running.clock_shift_s) <= room_s:
        return []
    return [Doubt.CLOCK_COMPARED if abs(fast_s) <= room_s else Doubt.CLOCK_SET_WRONG]


def space_read(running: Running, found: Found, files: int | None) -> tuple[Estimate[int] | None, bool]:
    """Return the space used, and whether to ask what its "GB" are: many devices write GB and count in GiB.

    Where neither the card's size nor frames of the planned size tell it, the larger reading is taken: it protects.
    """
    used, binary = found.used_bytes, found.used_if_binary
    too_much = running.card_bytes is not None and binary is not None and binary.low > running.card_bytes
    if used is None or binary is None or too_much:
        return used, False
    if files and running.frame is not None and not running.planner.recording.burst_s:
        before = running.used_before_bytes
        planned = running.frame.map(lambda size: before + files * running.on_card_bytes(size))
        near, near_binary = (
            each.high * (1 + SIZE_SPREAD) >= planned.low and each.low <= planned.high * (1 + SIZE_SPREAD)
            for each in (used, binary)
        )
        if near and not near_binary:
            return used, False
    return Estimate(used.low, binary.expected, binary.high), True


def count_of(running: Running, found: Found, most: int) -> tuple[int | None, list[Doubt]]:
    """Return the count, typed or by the numbers, and what is wrong with it.

    ``most`` is the largest count that is as planned.
    """
    files, doubts = found.files, []
    if found.first_number is not None and found.last_number is not None:
        by_numbers = (found.last_number - found.first_number) % DCF_FILES_PER_FOLDER + 1
        if files is None:
            files = _unrolled(running, found, by_numbers, most)
            if files is None:
                return None, [Doubt.NUMBERS_ROLLED_OVER]
        elif (files - by_numbers) % DCF_FILES_PER_FOLDER:
            doubts.append(Doubt.NUMBERS_DISAGREE)
    if files is not None and running.at > running.since:
        doubts += _too_many(running, files)
    return files, doubts


def _unrolled(running: Running, found: Found, by_numbers: int, most: int) -> int | None:
    """Return the count that the numbers stand for: they start again after 9999. None where several are possible."""
    possible: Sequence[int] = range(by_numbers, most + 1, DCF_FILES_PER_FOLDER)
    if not possible:
        return by_numbers
    if len(possible) > 1 and found.used_bytes is not None and running.frame is not None:
        sizes = running.frame.map(running.on_card_bytes)
        taken = found.used_bytes.map(lambda used: max(0, used - running.used_before_bytes))
        possible = [n for n in possible if n * sizes.low <= taken.high and taken.low <= n * sizes.high]
    return possible[0] if len(possible) == 1 else None


def _too_many(running: Running, files: int) -> list[Doubt]:
    """Return the doubt that a count is more than can be taken in the time, window or none."""
    recording, shortest_s = running.planner.recording, min(running.settable_s)
    if files > running.elapsed_s / min(shortest_s, Fraction(1)) + 1:
        return [Doubt.MORE_THAN_SECONDS]
    if recording.interval_s is None or recording.motion_frames_per_day:
        return []
    kinds = bool(recording.stills) + bool(recording.burst_s)
    most = kinds * (running.elapsed_s / min(shortest_s, recording.interval_s) + 1)
    return [Doubt.MORE_THAN_SHORTEST_INTERVAL] if files > most else []


def card_doubts(running: Running, used: Estimate[int] | None, files: int | None) -> list[Doubt]:
    if used is None:
        return []
    if running.card_bytes is not None and used.low > running.card_bytes:
        return [Doubt.MORE_THAN_CARD]
    if used.high < running.used_before_bytes:
        return [Doubt.LESS_THAN_BEFORE]
    room = used.high * (1 + READING_SPREAD) - running.used_before_bytes
    return [Doubt.SMALLER_THAN_CLUSTERS] if files and room < files * running.cluster_bytes else []


# -- what a device shows ----------------------------------------------------------------------------------


#: Two readings of one battery that differ by more than this share contradict each other. Own choice.
READINGS_APART_SHARE = 0.15


def read_to(typed: Decimal, unit: int) -> Estimate[Decimal]:
    """Return a reading with the room that its last digit leaves, in units of one ``unit``-th; never below 0."""
    exponent = typed.normalize().as_tuple().exponent
    half = Decimal(5).scaleb(min(int(exponent), 0) - 1)
    return Estimate(max(Decimal(0), typed - half), typed, typed + half).map(lambda value: value * unit)


@dataclass(frozen=True)
class SpaceRead:
    """Space used, and what it is if "GB" stands for GiB; None where it wasn't read, or that is said."""

    used: Estimate[int] | None = None
    if_binary: Estimate[int] | None = None
    doubts: tuple[Doubt, ...] = ()


def space_shown(gigabytes: Decimal | None, gibibytes: Decimal | None, shows: str) -> SpaceRead:
    """Return what was read of the space used; ``shows``: what the device's GB are, "" not said."""
    units = ((gigabytes, space.GIB if shows == "binary" else space.GB), (gibibytes, space.GIB))
    readings = [read_to(typed, unit).map(int) for typed, unit in units if typed is not None]
    doubts: tuple[Doubt, ...] = ()
    if len(readings) == 2:
        apart = abs(readings[0].expected - readings[1].expected)
        room = (readings[0].high - readings[0].low + readings[1].high - readings[1].low) // 2
        if apart > room + readings[0].expected * READING_SPREAD:
            doubts = (Doubt.USED_TWICE,)
    if gigabytes is None or gibibytes is not None or shows:
        return SpaceRead(readings[0] if readings else None, doubts=doubts)
    return SpaceRead(readings[0], read_to(gigabytes, space.GIB).map(int))


@formula("left_share", "max(0, 1 - (1 - charge_share) / usable_share)", ARITHMETIC)
def left_of_usable(charge_share: float, usable_share: float) -> float:
    """Return the share left of the usable energy at a state of charge; ``usable_share`` > 0 of all of it counts."""
    return max(0.0, 1 - (1 - charge_share) / usable_share)


@formula("charge_share", "1 - (1 - left_share) * usable_share", ARITHMETIC)
def charge_of_left(left_share: float, usable_share: float) -> float:
    """Return the state of charge at which a share of the usable energy is left: what many gauges show."""
    return 1 - (1 - left_share) * usable_share


def left_by_charge(charge: Estimate[float], usable_share: Estimate[float]) -> Estimate[float]:
    """Return the share left of the usable energy at a state of charge, a share of the full one as the battery is now.

    That is what many gauges show, and what the rest voltage of a lead-acid battery stands for. Cold and age make the
    full charge smaller, and its usable part with it.
    """
    return charge.with_(usable_share, left_of_usable)


@dataclass(frozen=True)
class BatteryRead:
    """The share left of the usable energy; None where it wasn't read or can't be told."""

    left: Estimate[float] | None = None
    doubts: tuple[Doubt, ...] = ()
    asks: tuple[Ask, ...] = ()


def gauge_shown(percent: Decimal, shows: str, usable_share: Estimate[float]) -> BatteryRead:
    """Return what is left by a gauge in percent; ``shows``: of what it shows the share, "" not said."""
    read = read_to(percent, 1).map(lambda value: min(1.0, float(value) / 100))
    if shows == "usable":
        return BatteryRead(read)
    unsure = not shows and 0 < read.expected < 1
    return BatteryRead(left_by_charge(read, usable_share), asks=(Ask.BATTERY_SHOWS,) if unsure else ())


def rested_shown(
    charge: float | None, percent: Decimal | None, shows: str, usable_share: Estimate[float]
) -> BatteryRead:
    """Return what is left of a lead-acid battery by its charge at rest, and by a gauge where there is one too.

    ``charge`` is None for a voltage that can't be one at rest. What the voltage agrees with needs no asking.
    """
    if charge is None:
        return BatteryRead(doubts=(Doubt.NOT_AT_REST,))
    rested = left_by_charge(Estimate.exact(charge), usable_share)
    if percent is None:
        return BatteryRead(rested)
    share = float(percent) / 100
    if shows != "usable" and abs(share - charge) <= READINGS_APART_SHARE:
        return gauge_shown(percent, "charge", usable_share)
    near = rested.low - READINGS_APART_SHARE <= share <= rested.high + READINGS_APART_SHARE
    read = gauge_shown(percent, shows, usable_share)
    return read if near and shows != "charge" else BatteryRead(read.left, (Doubt.READINGS_DISAGREE,))
