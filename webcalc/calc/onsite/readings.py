"""What a device shows, as the values that it stands for; where it can mean two things, the protecting one."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from webcalc.calc.card import space
from webcalc.calc.estimate import Estimate
from webcalc.calc.onsite.doubts import READING_SPREAD
from webcalc.calc.onsite.drain import left_by_charge
from webcalc.calc.onsite.seen import Ask, Doubt

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
