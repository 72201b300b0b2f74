"""What the camera should show now, how that comes about, and what is asked of readings that can't be or are unclear."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal
from typing import Any

from markupsafe import Markup

from webcalc.calc.card.space import GB, GIB
from webcalc.calc.formula import Working, work
from webcalc.calc.onsite.compare import (
    FAR_OFF,
    TYPED_TO_S,
    bytes_per_file,
    measured_drift,
    missed_frames,
    missed_time_s,
)
from webcalc.calc.onsite.going_on import is_full
from webcalc.calc.onsite.readings import charge_of_left, left_of_usable
from webcalc.calc.onsite.seen import Ask, Doubt
from webcalc.calc.onsite.shoot import ShootLook
from webcalc.calc.onsite.stories import QUARTER_S, quarters_off
from webcalc.calc.power.energy import charge_share_at_rest
from webcalc.calc.unknown import given, known, need, or_none
from webcalc.web.http.page import Asked
from webcalc.web.link.inputs import OPEN_NAME
from webcalc.web.link.quantities import QUANTITIES
from webcalc.web.questions.check.words import clock_words, since_change
from webcalc.web.words.answer import LOOK, Block, Fact, Facts, Steps, Text, spread
from webcalc.web.words.working import STEPS, How

FROM_FOUND = " Begun with what was found, and with the planned and the measured rate: the earliest counts."


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


def renewed_how(asked: Asked, look: ShootLook) -> How:
    """Say what the next visit rests on if all is renewed now."""
    say, rules = asked.say, or_none(asked.shoot.visits.rules)
    margin = f", less {say.count(rules.margin_days, 'day')} of margin" if rules and rules.margin_days else ""
    at = say.instant(need(look.at))
    return (f"An empty card and a full battery at {at}: the last day to be there before one of them ends{margin}.",)


#: So many of the planned visits before the look are offered to count from, the last ones.
MOST_VISITS = 3


def should_show(asked: Asked, look: ShootLook) -> Facts:
    """Return what it should show now, as far as the plan knows it."""
    say, expected = asked.say, need(look.comparison).expected
    rows = [Fact("Frames", spread(say.number, expected.files), how=files_how(asked, look))]
    used, left = expected.card_used_bytes, expected.battery_left_share
    if used is not None:
        binary = say.unit(used.expected / GIB, "GiB")
        how = used_how(asked, look)
        rows.append(Fact("Space used", spread(say.size, used), f"{binary} where a device counts so", how))
    if left is not None:
        usable, how = f"{spread(say.percent, left)} of what is usable", left_how(asked, look)
        if or_none(asked.shoot.battery_shows) == "usable":
            rows.append(Fact("Battery", usable, how=how))
        else:
            cell = need(asked.shoot.battery.cell_used)
            charge = charge_of_left(left.expected, cell.usable_share.expected)
            rows.append(Fact("Battery", f"{say.percent(charge)} of its full charge", usable, how))
    error_s = expected.clock_error_s
    room = say.length(round(error_s.high - error_s.expected))
    clock, how = clock_words(say, error_s.expected).removeprefix("clock "), clock_how(asked, look)
    rows.append(Fact("Camera clock", clock, f"±{room}", how))
    return Facts(rows, "What it should show now")


def answers(asked: Asked, look: ShootLook) -> Steps:
    """Return the two taps: all of that is so, or something differs."""
    differs = Markup("/check?{}&{}=found_frames#found_frames").format(asked.inputs.query(), OPEN_NAME)
    so = asked.url("check", **_as_expected(asked, look))
    return Steps("", [(so, "All of that is so"), (differs, "Something differs")])


def _as_expected(asked: Asked, look: ShootLook) -> dict[str, Any]:
    """Return the readings of a camera that shows what it should, at this moment."""
    expected = need(look.comparison).expected
    changes: dict[str, Any] = {
        "at": look.site_time(need(look.at)),
        "found_frames": expected.files.expected,
        "found_clock": Decimal(round(expected.clock_error_s.expected)),
        "clock_by": "phone",
    }
    if expected.card_used_bytes is not None:
        changes |= {"found_gb": round(Decimal(expected.card_used_bytes.expected) / GB, 2), "gb_shows": "decimal"}
    left = expected.battery_left_share
    if left is not None:
        # Whichever of the two a gauge shows, this is what it stands for.
        changes |= {"found_battery": Decimal(round(100 * left.expected)), "battery_shows": "usable"}
    return changes


def counted_from(asked: Asked, look: ShootLook) -> Steps | None:
    """Say from when it is counted, with the planned visits that may have been made since; None without any."""
    say, shoot, plan = asked.say, asked.shoot, asked.shoot.visits.plan
    if not known(plan) or or_none(look.at) is None:
        return None
    now = look.site_time(need(look.at))
    times = [shoot.visits.site_time(visit.at).replace(tzinfo=None, second=0, microsecond=0) for visit in plan.services]
    made = [at for at in times if at < now - timedelta(hours=1)][-MOST_VISITS:]
    if not made:
        return None
    links = [(asked.url("check", since=at), f"As planned on {say.instant(at)}") for at in made]
    return Steps(f"Counted from {say.instant(look.site_time(need(look.since)))}. Was anybody there since?", links)


#: A battery that should have given more than this, and reads full, is asked about. Own choice.
FULL_BY_PLAN = 0.95


def questions(asked: Asked, look: ShootLook) -> list[Block]:
    """Return all that is asked, each with its answers as taps where two are possible."""
    found = need(look.comparison)
    words = [*(doubt_words(asked, look, doubt) for doubt in found.doubts), *odd_words(asked, look)]
    blocks: list[Block] = [Text(each, LOOK) for each in words]
    for ask in found.asks:
        question, answers = ask_words(asked, look, ask)
        steps = [(asked.url("check", **{ask.value: value}), said) for value, said in answers.items()]
        blocks += [Text(question, LOOK), Steps("", steps)]
    return blocks


def doubt_words(asked: Asked, look: ShootLook, doubt: Doubt) -> str:
    """Ask about something that can't be, and say what is left out because of it."""
    say, running, typed = asked.say, need(look.running), asked.inputs
    since, at = say.instant(running.since), say.instant(running.at)
    card = f"{say.number(typed.get('card_gb'))} GB"
    words = {
        Doubt.AT_BEFORE_SINCE: f"The look ({at}) isn't after the start ({since}), camera clock. Which of the two is "
        "wrong? Nothing is compared.",
        Doubt.SINCE_BEFORE_START: f"It runs since {since}, but the plan begins only "
        f"{say.instant(running.planner.schedule.starts_at)}. Which is right? Frames and battery are not compared.",
        Doubt.MORE_THAN_SECONDS: f"More frames than seconds have passed since {since}. Does the count hold older "
        "ones? It is not used.",
        Doubt.MORE_THAN_SHORTEST_INTERVAL: f"More frames than every {say.length(min(running.settable_s))}, day and "
        f"night, since {since}. Does the count hold older ones? It is not used.",
        Doubt.NUMBERS_DISAGREE: "First and last frame number don't give the frames found (9999 is followed by 0001). "
        "Which is right? The count is not used.",
        Doubt.NUMBERS_ROLLED_OVER: "The numbers may have passed 9999 more than once. How many frames are on the card? "
        "Without that there is no count.",
        Doubt.MORE_THAN_CARD: f"More is used than the {card} card holds. Is the reading or the card's size wrong? "
        "The space is not used.",
        Doubt.LESS_THAN_BEFORE: f"Less is used than the {say.size(running.used_before_bytes)} that were on the card "
        "before. Another card? The space is not used.",
        Doubt.SMALLER_THAN_CLUSTERS: "So many frames can't take so little: each takes at least "
        f"{say.size(running.cluster_bytes)}. Which is right? Neither is used.",
        Doubt.USED_TWICE: "Space used in GB and in GiB don't agree. Which is right? Neither is used.",
        Doubt.READINGS_DISAGREE: "Percent and rest voltage don't agree. Which is right? Neither is used.",
        Doubt.NOT_AT_REST: "That voltage is none of a 12 V lead-acid battery at rest: is it charging, or loaded? It is "
        "not used.",
        Doubt.VOLTAGE_TELLS_NOTHING: "For a battery that isn't lead-acid the voltage doesn't tell what is left. It is "
        "not used; type the percentage, or the cell type if it is lead-acid.",
        Doubt.CLOCK_SET_WRONG: _set_wrong_words(asked, look),
        Doubt.CLOCK_COMPARED: f"{since_change(asked, look)} the camera clock should be "
        f"{clock_words(say, running.clock_shift_s).removeprefix('clock ')}; by a phone's time it reads right. Then "
        "somebody set it since, or it follows summer time by itself. If it was set, note that visit with its clock.",
    }
    return words[doubt]


def _set_wrong_words(asked: Asked, look: ShootLook) -> str:
    """Say what a clock may have been set to that is off by more than drift explains."""
    quarters = abs(quarters_off(need(look.comparison)))
    words = "That is no drift: it was set wrong."
    if quarters:
        amount = asked.say.length(quarters * QUARTER_S)
        summer = "summer time taken for winter time or the other way round, or " if quarters == 4 else ""
        words = f"That is no drift: {amount} are {summer}another offset from UTC."
    when = " when it is clear what you held it against" if Ask.CLOCK_BY in need(look.comparison).asks else ""
    return f"{words} Set it{when}; no drift is worked out."


def ask_words(asked: Asked, look: ShootLook, ask: Ask) -> tuple[str, dict[str, str]]:
    """Ask what a reading means that can mean two things, with the answers."""
    if ask is Ask.BATTERY_SHOWS:
        return (
            "What does the battery’s gauge show? Until that is said it counts as the first: it protects.",
            {"charge": "A share of its full charge", "usable": "A share of what the camera can use"},
        )
    if ask is Ask.GB_SHOWS:
        return (
            "Many devices write GB and count in GiB. Until that is said these count as GiB: it protects.",
            {"binary": "It counts in GiB", "decimal": "It counts in GB"},
        )
    return (
        f"{since_change(asked, look)} it matters what you held the clock against.",
        {"phone": "A phone’s time now", "offset": "The offset that the camera keeps"},
    )


def odd_words(asked: Asked, look: ShootLook) -> list[str]:
    """Ask about what can be and is far from the plan."""
    say, found, running = asked.say, need(look.comparison), need(look.running)
    planned, told = running.frame, list[str]()
    if found.frame_bytes and planned:
        low, high = planned.low / FAR_OFF, (planned.high + running.cluster_bytes) * FAR_OFF
        if not low <= found.frame_bytes.expected <= high:
            told.append(
                f"A frame would take {say.size(found.frame_bytes.expected)}, planned {say.size(planned.expected)}: is "
                "anything else on the card, or another picture size set?"
            )
    factor, left = found.drain_factor.expected, found.expected.battery_left_share
    full = found.battery_left_share is not None and is_full(found.battery_left_share)
    drew_nothing = full and left is not None and left.high < FULL_BY_PLAN
    if drew_nothing or (factor is not None and factor * FAR_OFF < 1):
        told.append(
            "The battery has drained far less than planned: was it changed or charged since, or has the camera stopped?"
        )
    cold = or_none(asked.shoot.battery.temperature)
    if factor is not None and cold is not None and cold.left.expected < 1 and not given(asked.shoot.found_temp_c):
        at, label = say.temperature(need(asked.shoot.battery.coldest_c)), QUANTITIES["found_temp_c"].label
        told.append(f"Taken as at {at} all the time, as planned. Was it warmer, it draws more: fill in {label}.")
    if not need(look.outlook).renewed_known:
        told.append(
            "The battery is empty, and nothing tells since when: without that its draw isn’t known, nor how long a "
            "fresh one lasts. How many frames are there, and of when is the last file?"
        )
    return told
