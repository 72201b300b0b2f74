"""What the readings in a shoot's log measured, visit by visit: each looked at as it stood then."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime
from fractions import Fraction
from typing import TYPE_CHECKING, Any

from webcalc.calc.estimate import Estimate
from webcalc.calc.onsite.compare import Comparison, carried_draw, carried_frame, compare, tells_draw
from webcalc.calc.onsite.seen import Ask
from webcalc.calc.onsite.shoot import READINGS, ShootLook
from webcalc.calc.unknown import known, or_none
from webcalc.calc.visits.done import READ, Entry

if TYPE_CHECKING:
    from webcalc.calc.shoot import Shoot

#: The last visits that are looked at: what is older was measured at another season. Own choice.
MOST_LOOKS = 12
#: From this multiple of the planned draw on it is carried: nobody noted how warm it was, and a battery that was warmer
#: than planned seems to give less. Own choice.
HEAVIER = 1.02


@dataclass(frozen=True)
class PastMeasures:
    """What past visits measured together: the lowest, the mean and the highest of them.

    looks : each visit with readings beside what was expected then, in order of time
    frame_bytes : what a frame takes on the card; None where no visit tells
    draw : true draw as a multiple of what the plan had then; None where no visit tells
    changes : the quantities to go on with: the mean frame with the largest beside it, the heaviest draw if
        it is heavier than planned
    asks : what the readings mean isn't said, so that they measure nothing
    """

    looks: tuple[Comparison, ...] = ()
    frame_bytes: Estimate[Fraction] | None = None
    draw: Estimate[float] | None = None
    changes: dict[str, Any] = field(default_factory=dict)
    asks: frozenset[Ask] = frozenset()


def past_measures(shoot: Shoot) -> PastMeasures:
    """Return what the log's readings measured; a visit of which too little is known measures nothing.

    A card or a battery is read several times before it is renewed; its last reading counts, as it holds the others.
    """
    entries = or_none(shoot.done.entries) or ()
    read = [n for n, entry in enumerate(entries) if any(getattr(entry, name) is not None for name in READ)]
    looks = tuple(look for n in read[-MOST_LOOKS:] if (look := _look(shoot, entries[:n], entries[n])) is not None)
    asks = frozenset(ask for look in looks for ask in look.asks if ask is not Ask.CLOCK_BY)
    found = PastMeasures(looks, asks=asks)
    sized = _last_of_each(
        (look for look in looks if look.frame_bytes and Ask.GB_SHOWS not in look.asks), lambda look: look.running.since
    )
    if sized:
        found = replace(found, frame_bytes=_sizes(sized))
    drawn = _last_of_each(filter(_tells_draw, looks), lambda look: look.running.battery_full_at)
    if drawn:
        found = replace(found, draw=_draws(drawn))
    return replace(found, changes=_changes(shoot, found, sized))


def _look(shoot: Shoot, before: tuple[Entry, ...], entry: Entry) -> Comparison | None:
    """Return what was read at a visit beside what was expected by what was known and in use then."""
    read: dict[str, Any] = dict.fromkeys(READINGS)
    read |= {
        "found_frames": entry.frames,
        "found_gb": entry.gb,
        "found_battery": entry.battery,
        "found_clock": entry.clock,
        "found_temp_c": None,
    }
    then = replace(shoot.planned or shoot, did=before, since=None, on=None, at=entry.at, planned=None, **read).running
    look = ShootLook(then, entry.at.replace(tzinfo=UTC))
    running, found = look.running, look.found
    return compare(running, found) if known(running) and known(found) else None


def _tells_draw(look: Comparison) -> bool:
    """Whether a visit tells the draw: empty or full only bounds it."""
    left = look.battery_left_share
    return left is not None and 0 < left.expected < 1 and tells_draw(look, look.drain_factor.expected)


def _last_of_each(looks: Iterable[Comparison], since: Callable[[Comparison], datetime]) -> tuple[Comparison, ...]:
    return tuple({since(look): look for look in looks}.values())


def _sizes(looks: tuple[Comparison, ...]) -> Estimate[Fraction]:
    """Return the mean over all frames, and the outermost of the visits with what their digits leave open."""
    sizes = [(look.frame_bytes, Fraction(look.files)) for look in looks if look.frame_bytes and look.files]
    mean = sum((size.expected * files for size, files in sizes), Fraction(0)) / sum(files for _size, files in sizes)
    return Estimate(min(size.low for size, _ in sizes), mean, max(size.high for size, _ in sizes))


def _draws(looks: tuple[Comparison, ...]) -> Estimate[float]:
    """Return the mean over all days, and the outermost of the visits by what was expected."""
    draws = [
        (look.drain_factor.expected, float((look.running.at - look.running.battery_full_at).total_seconds()))
        for look in looks
    ]
    told = [(factor, lasted) for factor, lasted in draws if factor is not None]
    mean = sum(factor * lasted for factor, lasted in told) / sum(lasted for _factor, lasted in told)
    low, high = min(factor for factor, _ in told), max(factor for factor, _ in told)
    return Estimate(low, min(high, max(low, mean)), high)


def _changes(shoot: Shoot, found: PastMeasures, sized: tuple[Comparison, ...]) -> dict[str, Any]:
    changes: dict[str, Any] = {}
    if found.frame_bytes is not None:
        largest = max(look.frame_bytes.expected for look in sized if look.frame_bytes)
        if or_none(shoot.card.as_video):
            changes = carried_frame(shoot, largest) if known(shoot.fps) else {}
        else:
            changes = carried_frame(shoot, found.frame_bytes.expected)
            changes["frame_mb_max"] = carried_frame(shoot, largest)["frame_mb"] if len(sized) > 1 else None
    planner = or_none(shoot.visits.planner)
    if found.draw is not None and found.draw.high >= HEAVIER and planner is not None and planner.battery is not None:
        changes |= carried_draw(shoot, planner.battery, found.draw.high)
    return changes
