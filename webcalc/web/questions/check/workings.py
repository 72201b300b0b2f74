"""How the figures of the page ``/check`` come about, with the shoot's own numbers."""

from __future__ import annotations

from webcalc.calc.formula import Working, work
from webcalc.calc.onsite.compare import TYPED_TO_S, bytes_per_file, measured_drift, missed_frames, missed_time_s
from webcalc.calc.onsite.drain import left_of_usable
from webcalc.calc.onsite.shoot import ShootLook
from webcalc.calc.power.energy import charge_share_at_rest
from webcalc.calc.unknown import need, or_none
from webcalc.web.http.page import Asked
from webcalc.web.words.working import FILLING, STEPS, How

_FOUND = " Begun with what was found, and with the planned and the measured rate: the earliest counts."


def files_how(asked: Asked, look: ShootLook) -> How:
    """Say what the frames are counted from, and how many are missing."""
    say, running = asked.say, need(look.running)
    interval_s = running.planner.recording.interval_s
    every = f", a frame every {say.length(interval_s)}" if interval_s is not None else ""
    counted = f"{say.hours(running.recorded_s)} recorded from {say.instant(running.since)} to {say.instant(running.at)}"
    room = f"Range: {say.length(TYPED_TO_S)} either way, as times are typed, and the clock’s drift."
    return (f"{counted}, camera clock{every}. {room}", *missed_working(look))


def missed_working(look: ShootLook) -> list[Working]:
    """Show how many frames are missing and how much recording that is; nothing where they weren't counted."""
    found, running = need(look.comparison), need(look.running)
    due = found.expected.files.expected
    if found.missed is None:
        return []
    missed = work(missed_frames, expected_frames=due, found_frames=found.files)
    if not due:
        return [missed]
    values = {"recorded_s": running.recorded_s, "missed_frames": found.missed, "expected_frames": due}
    return [missed, work(missed_time_s, **values)]


def used_how(asked: Asked, look: ShootLook) -> How:
    """Say what should stand on the card."""
    say, running, expected = asked.say, need(look.running), need(look.comparison).expected
    if running.frame is None:
        return ("What a frame takes isn’t known, so nothing is expected.",)
    ends = " to ".join(dict.fromkeys((say.size(running.frame.low), say.size(running.frame.high))))
    files = say.count(expected.files.expected, "file")
    before = f", {say.size(running.used_before_bytes)} from before" if running.used_before_bytes else ""
    return (f"Expected: {files}, a frame of {ends}, in whole clusters{before}.",)


def left_how(asked: Asked, look: ShootLook) -> How:
    """Say from when the battery runs down, and what a voltage at rest tells."""
    full = asked.say.instant(need(look.running).battery_full_at)
    return (f"Expected: run down since {full}, camera clock, when it was full.", *rest_working(asked, look), STEPS)


def rest_working(asked: Asked, look: ShootLook) -> list[Working]:
    """Show what a voltage at rest tells; nothing where another reading does."""
    if need(look.comparison).battery_left_share is None or asked.inputs.has("found_battery"):
        return []
    share, usable = charge_share_at_rest(need(look.block_v)), need(asked.shoot.battery.cell_used).usable_share
    return [work(left_of_usable, charge_share=share, usable_share=usable.expected)]


def clock_how(asked: Asked, look: ShootLook) -> How:
    """Say what the clock may be off by."""
    say, running = asked.say, need(look.running)
    days, drift_s = say.unit(running.clock_days, "days"), running.planner.rules.drift_s_per_day
    words = f"±{say.number(drift_s, 1)} s a day × {days} since it was set"
    shift = f"; put off by {say.length(running.clock_shift_s)}" if running.clock_shift_s else ""
    return (f"{words}{shift}.", *drift_working(look))


def drift_working(look: ShootLook) -> list[Working]:
    """Show the drift that was found; nothing where none was."""
    found, running = need(look.comparison), need(look.running)
    if found.drift_s_per_day is None:
        return []
    values = {"clock_shift_s": running.clock_shift_s, "days": running.clock_days}
    return [work(measured_drift, clock_fast_s=found.found.clock_fast_s, **values)]


def frame_working(look: ShootLook) -> list[Working]:
    """Show what a frame takes by what was found; nothing where that isn't known."""
    found, running = need(look.comparison), need(look.running)
    if not found.frame_bytes:
        return []
    used = {"used_bytes": found.used_bytes.expected, "used_before_bytes": running.used_before_bytes}
    return [work(bytes_per_file, **used, files=found.files)]


def draw_how(asked: Asked, look: ShootLook) -> How:
    """Say what the true draw is."""
    full = asked.say.instant(need(look.running).battery_full_at)
    return (f"Drawn since {full} by what the battery shows ÷ drawn by the plan; by the likeliest story.",)


def runs_out_how(look: ShootLook, steps: str) -> How:
    """Say how it goes on from what was found."""
    return (steps + (_FOUND if look.has_found else ""),)


def full_how(look: ShootLook) -> How:
    """Say when the card is full."""
    return runs_out_how(look, FILLING)


def reserve_how(look: ShootLook) -> How:
    """Say when the battery is at its reserve."""
    return runs_out_how(look, STEPS)


def renewed_how(asked: Asked, look: ShootLook) -> How:
    """Say what the next visit rests on if all is renewed now."""
    say, rules = asked.say, or_none(asked.shoot.visits.rules)
    margin = f", less {say.count(rules.margin_days, 'day')} of margin" if rules and rules.margin_days else ""
    at = say.instant(need(look.at))
    return (f"An empty card and a full battery at {at}: the last day to be there before one of them ends{margin}.",)
