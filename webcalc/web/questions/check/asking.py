"""What the page ``/check`` asks somebody at the camera: readings that can't be, or that can mean two things."""

from __future__ import annotations

from webcalc.calc.onsite.compare import FAR_OFF
from webcalc.calc.onsite.going_on import is_full
from webcalc.calc.onsite.seen import Ask, Doubt
from webcalc.calc.onsite.shoot import ShootLook
from webcalc.calc.onsite.stories import QUARTER_S, quarters_off
from webcalc.calc.unknown import given, need, or_none
from webcalc.web.http.page import Asked
from webcalc.web.link.quantities import QUANTITIES
from webcalc.web.questions.check.words import clock_words, since_change
from webcalc.web.words.answer import LOOK, Block, Steps, Text

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
