"""What the camera should show now, the taps that answer it, and from when it is counted."""

from __future__ import annotations

from datetime import timedelta
from decimal import Decimal
from typing import Any

from markupsafe import Markup

from webcalc.calc.card.space import GB, GIB
from webcalc.calc.onsite.drain import charge_of_left
from webcalc.calc.onsite.shoot import ShootLook
from webcalc.calc.unknown import known, need, or_none
from webcalc.web.http.page import Asked
from webcalc.web.link.inputs import OPEN_NAME
from webcalc.web.questions.check import workings
from webcalc.web.questions.check.words import clock_words, spread
from webcalc.web.words.answer import Fact, Facts, Steps

#: So many of the planned visits before the look are offered to count from, the last ones.
MOST_VISITS = 3


def should_show(asked: Asked, look: ShootLook) -> Facts:
    """Return what it should show now, as far as the plan knows it."""
    say, expected = asked.say, need(look.comparison).expected
    rows = [Fact("Frames", spread(say.number, expected.files), how=workings.files_how(asked, look))]
    used, left = expected.card_used_bytes, expected.battery_left_share
    if used is not None:
        binary = say.unit(used.expected / GIB, "GiB")
        how = workings.used_how(asked, look)
        rows.append(Fact("Space used", spread(say.size, used), f"{binary} where a device counts so", how))
    if left is not None:
        usable, how = f"{spread(say.percent, left)} of what is usable", workings.left_how(asked, look)
        if or_none(asked.shoot.battery_shows) == "usable":
            rows.append(Fact("Battery", usable, how=how))
        else:
            cell = need(asked.shoot.battery.cell_used)
            charge = charge_of_left(left.expected, cell.usable_share.expected)
            rows.append(Fact("Battery", f"{say.percent(charge)} of its full charge", usable, how))
    error_s = expected.clock_error_s
    room = say.length(round(error_s.high - error_s.expected))
    clock, how = clock_words(say, error_s.expected).removeprefix("clock "), workings.clock_how(asked, look)
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
