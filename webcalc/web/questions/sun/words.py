"""The page ``/sun`` in words: stretches of days, turns that help, the light's direction, and what the picture shows."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime, time, timedelta
from decimal import Decimal

from webcalc.calc.optics.bearing import Turn
from webcalc.calc.optics.sun_in_frame import LIT_WITHIN_DEG, Spell
from webcalc.web.pictures.daylight import Raster, light_picture
from webcalc.web.questions.daylight.words import NONE, TO
from webcalc.web.questions.sun.case import Run, SunCase
from webcalc.web.words.answer import LOOK, Block, Fact, Facts, Picture, Points, Text
from webcalc.web.words.cautions import LOCAL_CODES, falling_objects, sun
from webcalc.web.words.say import Say

#: Stretches that are listed; the rest stand in the data.
MOST_RUNS = 4


def where_words(case: SunCase) -> str:
    """Write what counts as a hit: the picture, or its surroundings too."""
    margin = case.margin_deg
    return f"in the picture or within {case.asked.say.degrees(margin)} of it" if margin else "in the picture"


def hit_facts(case: SunCase) -> Facts | None:
    """List the stretches of days with the hours in which the sun is in the picture, and how long it is at most."""
    hits, say, offset = case.hits, case.asked.say, case.place.camera_offset
    if hits is None or not hits.spells or offset is None:
        return None
    rows = [Fact(_dates(say, run), _hours(say, run), _counted(say, run)) for run in case.runs[:MOST_RUNS]]
    if len(case.runs) > MOST_RUNS:
        rest = say.count(len(case.runs) - MOST_RUNS, "more stretch", "more stretches")
        rows.append(Fact("and", rest, "in the data"))
    longest = max(hits.spells, key=lambda spell: spell.length_s)
    rows.append(Fact("Longest", say.minutes(longest.length_s), say.day(longest.day)))
    rows.append(Fact("Together", say.hours(hits.total_s // 60 * 60)))
    return Facts(rows, f"Widest hours, camera clock {say.offset(offset)}")


def _dates(say: Say, run: Run) -> str:
    first = say.day(run.first, weekday=False)
    return first if run.first == run.last else f"{first} to {say.day(run.last, weekday=False)}"


def _counted(say: Say, run: Run) -> str:
    days = say.count(run.days, "day")
    return days if run.frames is None else f"{days}, {say.count(run.frames, 'frame')}"


def _hours(say: Say, run: Run) -> str:
    """Write the hours to whole minutes, outwards."""
    midnight = datetime.combine(run.first, time.min)
    start = midnight + timedelta(seconds=run.start_s)
    end = midnight + timedelta(seconds=-(-run.end_s // 60) * 60)
    return f"{say.clock(start)}{TO}{say.clock_end(end.time())}"


def turn_texts(case: SunCase) -> list[Block]:
    """Propose the smallest turn that avoids most of it, and the one to the other side if it keeps the scene in view."""
    found, camera = case.turns, case.camera
    if found is None or camera is None:
        return []
    turns = sorted(filter(None, (found.left, found.right)), key=lambda turn: abs(turn.change_deg))
    if not turns:
        if not found.frames_now:
            return []
        return [Text("No turn of the camera avoids most of it: tilt it down, or record at other hours.", LOOK)]
    return [_turn_text(case, turn) for turn in turns if turn is turns[0] or abs(turn.change_deg) < camera.hfov_deg]


def _turn_text(case: SunCase, turn: Turn) -> Text:
    assert case.camera is not None and case.turns is not None  # noqa: S101 - there would be no turn
    say = case.asked.say
    side = "left" if turn.change_deg < 0 else "right"
    another = " (another picture)" if abs(turn.change_deg) >= case.camera.hfov_deg else ""
    left = say.count(turn.frames_touched, "frame")
    bearing = Decimal(str(round(turn.bearing_deg, 1) % 360))
    return Text(
        f"Turn {side} {say.degrees(abs(turn.change_deg))}{another}: about {left} left, by a sample of "
        f"{say.count(case.turns.days_judged, 'day')}.",
        href=case.asked.url("sun", bearing=bearing),
        link_words=f"Look at {say.degrees(bearing)}",
    )


# -- ahead and behind -------------------------------------------------------------------------------------------


def lit_facts(case: SunCase) -> Facts | None:
    """Show how much is backlit and front-lit, and when on a few dates."""
    if case.lit_shares is None or case.judged is None or case.schedule is None:
        return None
    say = case.asked.say
    judged = case.judged.schedule.recorded_days
    looked = "" if judged == case.schedule.recorded_days else f", by a sample of {judged} days"
    ahead, behind = (f"{say.percent(share)} of the time" for share in case.lit_shares)
    rows = [
        Fact("Backlit", ahead, _by_date(say, [(lit.day, lit.ahead) for lit in case.lit_days])),
        Fact("Front-lit", behind, _by_date(say, [(lit.day, lit.behind) for lit in case.lit_days])),
    ]
    return Facts(rows, f"Sun within {say.degrees(LIT_WITHIN_DEG)} ahead or behind{looked}")


def _by_date(say: Say, days: Sequence[tuple[date, Sequence[Spell]]]) -> str:
    return "; ".join(f"{say.day(day, False)}: {_spans(say, spells)}" for day, spells in days)


def _spans(say: Say, spells: Sequence[Spell]) -> str:
    return ", ".join(f"{say.clock(spell.start)}{TO}{say.clock_end(spell.end.time())}" for spell in spells) or NONE


# -- picture and small print ------------------------------------------------------------------------------------


def picture(case: SunCase) -> Picture | None:
    """Draw the hits over the light of all days, and say the same."""
    if case.hits is None or case.schedule is None or case.place.zone is None:
        return None
    say, days = case.asked.say, case.pictured_days
    first, last = (say.day(day, weekday=False) for day in (case.schedule.first, case.schedule.last))
    stretches = case.daylight.clock_stretches
    svg = light_picture(days, case.place.zone, stretches, (first, last), case.hits_by_column())
    step = Raster.of(len(days)).step_days
    columns = f" One column stands for {say.count(step, 'day')}." if step > 1 else ""
    hatched = f"Hatched: sun {where_words(case)}. " if case.hits.spells else ""
    text = f"{hatched}White: sun up. Lines: the window on the wall clock.{columns}"
    return Picture(f"Sun by date and hour, {first} to {last}" if len(days) > 1 else f"Sun on {first}", svg, text)


def small_print(case: SunCase) -> Points:
    """Say how good this is, and what to mind."""
    items = [
        f"{sun()} One pointed at it for hours can harm a sensor, also outside the recorded hours.",
        falling_objects(),
        LOCAL_CODES,
        "For a free horizon, no clouds, a lens without distortion. How far outside the picture the sun flares is not "
        "known: the margin is your choice.",
        "A compass shows magnetic north: add the local declination.",
        "Backlit and front-lit within 60° is common practice, no source.",
    ]
    if case.place.stands_by_city:
        items.append("The city's coordinates are good to some kilometres.")
    return Points("Cautions, and how good this is", items, True)
