"""Noting what was done at the camera: the taps, the link that follows from one, and what readings measured."""

from __future__ import annotations

from datetime import datetime
from decimal import Decimal
from typing import Any

from flask import redirect
from flask.typing import ResponseReturnValue

from webcalc.calc.card.space import GB, GIB
from webcalc.calc.onsite.seen import Ask
from webcalc.calc.onsite.shoot import READINGS, ShootLook
from webcalc.calc.unknown import known, or_none
from webcalc.calc.visits.done import CHANGED, THINGS, Entry, log_of
from webcalc.web.http.page import Asked
from webcalc.web.link.inputs import can_be_typed
from webcalc.web.link.quantities import QUANTITIES
from webcalc.web.questions.visits.words import REASON_WORDS
from webcalc.web.words.answer import LOOK, Block, Fact, Facts, Noting, Text
from webcalc.web.words.values import value_words

#: What a visit as planned ticks, and one on which nothing was renewed.
PLANNED, LOOKED = "planned", "looked"


def noting(asked: Asked) -> Noting:
    """Return the taps that note a visit now."""
    return Noting(
        ((PLANNED, f"Done as planned: {', '.join(_planned(asked))}"), (LOOKED, "Only looked")),
        tuple((thing, "cleaned" if thing == "clean" else thing) for thing in THINGS),
        asked.inputs.ticked,
    )


def _planned(asked: Asked) -> list[str]:
    """Return what a visit renews by the plan."""
    renew = or_none(asked.shoot.renew)
    return [thing for thing in THINGS if thing != "clean" and (renew is None or thing in renew)] or ["nothing"]


def note(asked: Asked) -> ResponseReturnValue:
    """Write a visit into the link, at this moment or the one typed, and go on with it; readings stand in the entry."""
    inputs = asked.inputs
    if any(name in inputs.errors for name in (*READINGS, "at")):
        return redirect(f"/check?{inputs.query()}", 303)
    if "did" in inputs.errors or inputs.wrong_sum is not None:
        return redirect(f"/visits?{inputs.query()}", 303)
    ticks = set(inputs.ticked)
    if PLANNED in ticks:
        ticks |= set(_planned(asked))
    entry = Entry(inputs.get("at") or site_now(asked), frozenset(ticks & {*THINGS}), **_read(asked))
    changes: dict[str, Any] = dict.fromkeys((*READINGS, "at", "on"))
    return redirect(f"/visits?{inputs.query(**changes, did=log_of((*inputs.get('did', ()), entry)))}", 303)


def site_now(asked: Asked) -> datetime:
    """Return the site's wall clock to the minute; this computer's where the zone isn't known."""
    zone = asked.shoot.daylight.zone
    return asked.now.astimezone(zone if known(zone) else None).replace(tzinfo=None, second=0, microsecond=0)


def _read(asked: Asked) -> dict[str, Any]:
    """Return what was read off the camera as an entry holds it."""
    get, look = asked.inputs.get, ShootLook(asked.shoot, asked.now)
    found, comparison = or_none(look.found), or_none(look.comparison)
    gb, battery = get("found_gb"), get("found_battery")
    if gb is None and get("found_gib") is not None:
        gb = round(get("found_gib") * GIB / GB, 3)
    if battery is None and found is not None and found.battery_left_share is not None:
        battery = Decimal(round(100 * found.battery_left_share.expected))
    frames = get("found_frames")
    if frames is None and comparison is not None:
        frames = comparison.files
    return {"frames": frames, "gb": gb, "battery": battery, "clock": get("found_clock")}


def undo(asked: Asked) -> Text | None:
    """Say what was noted last, with the step that takes it back; None where nothing was."""
    log = asked.inputs.get("did", ())
    if not log:
        return None
    last = log[-1]
    back = {"found_frames": last.frames, "found_gb": last.gb, "found_battery": last.battery, "found_clock": last.clock}
    read = {name: value for name, value in back.items() if value is not None}
    step = asked.url("visits", did=log[:-1] or None, **read)
    return Text(f"Noted: {entry_words(asked, last)}.", href=step, link_words="Undo")


def entry_words(asked: Asked, entry: Entry) -> str:
    """Return one visit in words."""
    what = ", ".join(thing for thing in THINGS if thing in entry.renewed)
    return f"{asked.say.instant(entry.at)}, {what or 'only looked'}"


def done_facts(asked: Asked, most: int | None = None) -> list[Fact]:
    """Return the visits made and those missed, in order of time, the last ``most`` of them."""
    say, done = asked.say, asked.shoot.done
    rows = [
        (entry.at.date(), Fact(entry_words(asked, entry), "done", read_words(asked, entry)))
        for entry in or_none(done.entries) or ()
    ]
    for one in done.missed(most):
        late = f"made {say.day(one.made.date())}" if one.made else "not noted yet: go there, or note it below"
        reasons = ", ".join(REASON_WORDS[reason] for reason in one.reasons)
        rows.append((one.day, Fact(f"{say.day(one.day)} ({reasons})", "late" if one.made else "missed", late)))
    rows.sort(key=lambda row: row[0])
    return [fact for _day, fact in (rows if most is None else rows[-most:])]


def read_words(asked: Asked, entry: Entry) -> str:
    """Return what was read off the camera at a visit, and what is another since."""
    say, words = asked.say, []
    if entry.frames is not None:
        words.append(say.count(entry.frames, "frame"))
    if entry.gb is not None:
        words.append(say.unit(entry.gb, "GB"))
    if entry.battery is not None:
        words.append(f"battery {say.percent(entry.battery / 100)}")
    if entry.clock is not None:
        words.append(f"clock {say.length(abs(entry.clock))} {'slow' if entry.clock < 0 else 'fast'}")
    for name in CHANGED:
        key, value = name.rstrip("_"), getattr(entry, name)
        if value is not None:
            words.append(f"{QUANTITIES[key].label.lower()} {value_words(key, value, say)} since")
    return ", ".join(words)


#: What is to be said first, by what isn't said of the readings.
_UNSAID = {Ask.BATTERY_SHOWS: "battery_shows", Ask.GB_SHOWS: "gb_shows"}


def measured_before(asked: Asked) -> list[Block]:
    """Return what the log's readings measured, with its range and a tap; nothing where there are none."""
    past, say = asked.shoot.past, asked.say
    rows = []
    if past.frame_bytes is not None:
        size = past.frame_bytes
        spread = f"{say.size(size.low)} to {say.size(size.high)} on the card"
        rows.append(Fact("A frame takes", say.size(size.expected), spread))
    if past.draw is not None:
        low, mean, high = (say.figures(each) for each in (past.draw.low, past.draw.expected, past.draw.high))
        rows.append(
            Fact(
                "True draw",
                f"{mean} × planned",
                f"{f'{low} to {high}, ' if low != high else ''}at the planned temperature",
            )
        )
    blocks: list[Block] = [Facts(rows, "Measured by the visits noted")] if rows else []
    names = [QUANTITIES[name].label.lower() for ask, name in _UNSAID.items() if ask in past.asks]
    if names:
        blocks.append(Text(f"Readings noted measure more once it is said: {', '.join(names)}.", LOOK))
    if past.changes and can_be_typed(past.changes) and asked.inputs.query(**past.changes) != asked.inputs.query():
        framed, drawn = past.frame_bytes is not None, bool(past.changes.keys() & {"standby_mw", "frame_j"})
        what = ["the frames"] * framed + ["the heaviest draw"] * drawn
        blocks.append(asked.step(f"Plan with {' and '.join(what)} measured", "visits", **past.changes))
    return blocks
