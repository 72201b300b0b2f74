"""Does the sun stand in the picture?"""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from typing import Any

from webcalc.calc.formula import work
from webcalc.calc.optics.bearing import Turn
from webcalc.calc.optics.sun_in_frame import LIT_WITHIN_DEG, Spell
from webcalc.calc.optics.sun_results import SmallChangeResults, SunResults, sun_results
from webcalc.calc.optics.sunlit import BY_TYPED, Run
from webcalc.calc.schedule.recording import frames_in
from webcalc.calc.unknown import given, known, need, or_none
from webcalc.calc.verdict import records_nothing
from webcalc.web.http.page import Asked, Group, Page
from webcalc.web.pictures.daylight import Raster, light_picture
from webcalc.web.questions.daylight.words import NONE, TO
from webcalc.web.questions.framing import optics_notes
from webcalc.web.words.answer import (
    FAILS,
    HOLDS,
    LOOK,
    Answer,
    Block,
    Fact,
    Facts,
    Picture,
    Points,
    Row,
    Table,
    Text,
    unknown_names,
)
from webcalc.web.words.cautions import FALLING_OBJECTS, LOCAL_CODES, SUN_IN_LENS
from webcalc.web.words.say import Say
from webcalc.web.words.values import solved_notes
from webcalc.web.words.verdict import nothing_recorded
from webcalc.web.words.working import How

#: Stretches that are listed; the rest stand in the data.
MOST_RUNS = 4


def answer(asked: Asked) -> Answer:
    """Say when the sun is in the picture, how many frames that touches, and which turn avoids most of it."""
    shoot, room = asked.shoot, asked.shoot.sunlight
    reply = Answer(sun_results(shoot), needs=_needs(asked))
    _notes(asked, reply)
    if asked.records_nothing:
        reply.head("Records nothing", FAILS, nothing_recorded(records_nothing(shoot)))
    if not known(room.hits):
        return reply
    _share(asked, reply)
    reply.add(
        *turn_texts(asked),
        small_changes(asked, reply.results),
        hit_facts(asked),
        picture(asked),
    )
    reply.add(lit_facts(asked), small_print(asked))
    return reply


def _needs(asked: Asked) -> list[str]:
    shoot, room = asked.shoot, asked.shoot.sunlight
    # A landmark gives a bearing once the place is known, which is asked for below.
    bearing = () if room.has_landmark and not given(shoot.bearing) else (room.bearing_deg,)
    place = (shoot.daylight.coordinates, shoot.daylight.zone_key)
    rest = (shoot.view.tilt_deg, room.margin_deg, room.landmark_deg)
    return unknown_names(*bearing, shoot.view.view, *place, shoot.schedule, shoot.interval_s, *rest)


def _notes(asked: Asked, reply: Answer) -> None:
    """Say what counts where something is told twice or left blank."""
    say, shoot, room = asked.say, asked.shoot, asked.shoot.sunlight
    reply.notes = [*solved_notes(shoot, say), *optics_notes(shoot.view)]
    if shoot.daylight.told_twice:
        reply.notes.append("The place is given in more than one way: coordinates count first, then the geo link.")
    if room.has_landmark and known(room.landmark_deg):
        if room.landmark_deg is None:
            reply.notes.append("The landmark stands where the camera does: it gives no bearing.")
        elif or_none(room.bearing_known_by) == BY_TYPED:
            reply.notes.append(f"The typed bearing counts; the landmark gives {say.degrees(room.landmark_deg)}.")
        else:
            reply.notes.append(f"Bearing of the landmark: {say.degrees(room.landmark_deg)}.")
    if shoot.takes_stills is False:
        reply.notes.append("No stills are taken: each burst counts as a frame here.")
    if or_none(shoot.motion):
        reply.notes.append("Motion-triggered frames aren't counted here.")
    if known(room.camera) and not given(shoot.tilt):
        reply.notes.append("No tilt was typed: the camera is taken as level.")


def _share(asked: Asked, reply: Answer) -> None:
    """Fill in figure and sentence."""
    say, shoot = asked.say, asked.shoot
    hits, schedule, interval_s = need(shoot.sunlight.hits), need(shoot.schedule), or_none(shoot.interval_s)
    reply.working.extend(shoot.view.workings())
    if interval_s is not None:
        reply.working.append(work(frames_in, window_s=schedule.window.length_s, interval_s=interval_s))
    where = where_words(asked)
    if not hits.spells:
        told = f"stands {where} in the recorded hours, on any of {say.count(schedule.recorded_days, 'day')}."
        reply.head("no sun", HOLDS, told)
        return
    days = f"on {say.number(hits.days)} of {say.count(schedule.recorded_days, 'day')}"
    reply.tone = LOOK
    if hits.frames_touched is None or not hits.frames_total:
        reply.figure = say.count(hits.days, "day")
        reply.sentence = f"of {say.number(schedule.recorded_days)} have the sun {where} in the recorded hours."
        return
    reply.figure = say.percent(hits.frames_touched / hits.frames_total)
    frames = f"{say.number(hits.frames_touched)} of {say.number(hits.frames_total)}"
    reply.sentence = f"of the frames have the sun {where}: {frames}, {days}."


def where_words(asked: Asked) -> str:
    """Write what counts as a hit: the picture, or its surroundings too."""
    margin = need(asked.shoot.sunlight.margin_deg)
    return f"in the picture or within {asked.say.degrees(margin)} of it" if margin else "in the picture"


def hit_facts(asked: Asked) -> Facts | None:
    """List the stretches of days with the hours in which the sun is in the picture, and how long it is at most."""
    say, room = asked.say, asked.shoot.sunlight
    hits, runs, offset = need(room.hits), need(room.runs), need(asked.shoot.daylight.camera_offset)
    if not hits.spells:
        return None
    how = _how(asked)
    rows = [Fact(say.days(run.first, run.last), _hours(say, run), _counted(say, run), how) for run in runs[:MOST_RUNS]]
    if len(runs) > MOST_RUNS:
        rest = say.count(len(runs) - MOST_RUNS, "more stretch", "more stretches")
        rows.append(Fact("and", rest, "in the data", how))
    longest = max(hits.spells, key=lambda spell: spell.length_s)
    times, days = say.count(len(hits.spells), "time"), say.count(hits.days, "day")
    of = f"{times} that the sun is {where_words(asked)}, on {days}."
    rows.append(Fact("Longest", say.minutes(longest.length_s), say.day(longest.day), (f"Of {of}",)))
    rows.append(Fact("Together", say.hours(hits.total_s // 60 * 60), how=(f"All {of}",)))
    return Facts(rows, f"Widest hours, camera clock {say.offset(offset)}")


def _how(asked: Asked) -> How:
    """Say what counts as a hit, and what its frames are."""
    say, camera, interval_s = asked.say, need(asked.shoot.sunlight.camera), or_none(asked.shoot.interval_s)
    view = f"{say.degrees(camera.hfov_deg)} × {say.degrees(camera.vfov_deg)} about {say.degrees(camera.bearing_deg)}"
    frames = f" Frames: one each {say.length(interval_s)}." if interval_s is not None else ""
    return (
        f"Any part of the sun’s disc {where_words(asked)}: {view}, axis at {say.degrees(camera.tilt_deg)} to "
        f"the horizon. The hours are the widest of these days.{frames}",
    )


def _counted(say: Say, run: Run) -> str:
    days = say.count(run.days, "day")
    return days if run.frames is None else f"{days}, {say.count(run.frames, 'frame')}"


def _hours(say: Say, run: Run) -> str:
    """Write the hours to whole minutes, outwards."""
    end = datetime.combine(run.first, run.until)
    end += timedelta(seconds=-end.second % 60)
    return f"{say.clock(datetime.combine(run.first, run.from_))}{TO}{say.clock_end(end.time())}"


def turn_texts(asked: Asked) -> list[Block]:
    """Propose the smallest turns that avoid most of it, as far as they keep some of the scene in view."""
    found, camera = need(asked.shoot.sunlight.turns), need(asked.shoot.sunlight.camera)
    if found is None:
        return []
    turns = sorted(filter(None, (found.left, found.right)), key=lambda turn: abs(turn.change_deg))
    if not turns:
        if not found.frames_now:
            return []
        return [Text("No turn of the camera avoids most of it: tilt it down, or record at other hours.", LOOK)]
    near = [turn for turn in turns if abs(turn.change_deg) < camera.hfov_deg]
    if not near:
        turn_deg = asked.say.degrees(abs(turns[0].change_deg))
        return [Text(f"Only a turn of {turn_deg}, to another scene, avoids most of it.", LOOK)]
    return [_turn_text(asked, turn, found.days_judged) for turn in near]


def small_changes(asked: Asked, found: SunResults) -> Table | Text | None:
    """Show what turns and tilts gain that leave it the same scene, and what other hours do; each a step to it."""
    say, shoot, now = asked.say, asked.shoot, need(asked.shoot.sunlight.hits).frames_touched
    rows = []
    for change in found.small_changes or ():
        if now is None or change.frames_touched_about >= now:
            continue
        left = say.percent(change.frames_touched_about / change.frames_total) if change.frames_total else "–"
        words, step = _small_change(asked, change)
        rows.append(Row((words, say.number(change.frames_touched_about), left), href=asked.url("sun", **step)))
    if not rows:
        return Text("No small turn or tilt and no hour less gains anything.", LOOK) if now else None
    note = f"Turns and tilts by a sample of {say.count(need(shoot.sunlight.turns).days_judged, 'day')}."
    return Table("What small changes leave", ("Change", "Frames", "Of all"), rows, note)


def _small_change(asked: Asked, change: SmallChangeResults) -> tuple[str, dict[str, Any]]:
    """Return a change in words, and the quantities that make it."""
    say, shoot, camera, window = asked.say, asked.shoot, need(asked.shoot.sunlight.camera), need(asked.shoot.window)
    if change.turn_deg is not None:
        side = "left" if change.turn_deg < 0 else "right"
        bearing = Decimal(str(round(camera.bearing_deg + change.turn_deg, 1) % 360))
        return f"{say.degrees(abs(change.turn_deg))} {side}", {"bearing": bearing}
    if change.tilt_deg is not None:
        tilt = Decimal(str(round(camera.tilt_deg + change.tilt_deg, 2)))
        return f"{say.degrees(abs(change.tilt_deg))} down", {"tilt": tilt}
    midnight = datetime.combine(need(shoot.schedule).first, time.min)
    if change.later_s is not None:
        start = midnight + timedelta(seconds=window.start_s + change.later_s)
        return f"From {say.clock(start)}", {"from_": start.time()}
    end = midnight + timedelta(seconds=window.start_s + window.length_s - (change.earlier_s or 0))
    return f"Until {say.clock_end(end.time())}", {"until": end.time()}


def _turn_text(asked: Asked, turn: Turn, days_judged: int) -> Text:
    say = asked.say
    side = "left" if turn.change_deg < 0 else "right"
    left = say.count(turn.frames_touched_about, "frame")
    bearing = Decimal(str(round(turn.bearing_deg, 1) % 360))
    return Text(
        f"Turn {side} {say.degrees(abs(turn.change_deg))}: about {left} left, by a sample of "
        f"{say.count(days_judged, 'day')}.",
        href=asked.url("sun", bearing=bearing),
        link_words=f"Look at {say.degrees(bearing)}",
    )


# -- ahead and behind -------------------------------------------------------------------------------------------


def lit_facts(asked: Asked) -> Facts | None:
    """Show how much is backlit and front-lit, and when on a few dates."""
    say, room = asked.say, asked.shoot.sunlight
    shares, days, judged_shots, schedule = need(room.lit_shares, room.lit_days, room.judged, asked.shoot.schedule)
    judged = judged_shots.schedule.recorded_days
    looked = "" if judged == schedule.recorded_days else f", by a sample of {judged} days"
    ahead, behind = (f"{say.percent(share)} of the time" for share in shares)
    bearing = say.degrees(need(room.camera).bearing_deg)
    of = f"of where the camera looks, {bearing}; of {say.hours(judged_shots.schedule.recorded_s)} recorded."
    near = f"Sun up and within {say.degrees(LIT_WITHIN_DEG)}"
    rows = [
        Fact("Backlit", ahead, _by_date(say, [(lit.day, lit.ahead) for lit in days]), (f"{near} {of}",)),
        Fact("Front-lit", behind, _by_date(say, [(lit.day, lit.behind) for lit in days]), (f"{near} opposite {of}",)),
    ]
    return Facts(rows, f"Sun within {say.degrees(LIT_WITHIN_DEG)} ahead or behind{looked}")


def _by_date(say: Say, days: Sequence[tuple[date, Sequence[Spell]]]) -> str:
    return "; ".join(f"{say.day(day, False)}: {_spans(say, spells)}" for day, spells in days)


def _spans(say: Say, spells: Sequence[Spell]) -> str:
    return ", ".join(f"{say.clock(spell.start)}{TO}{say.clock_end(spell.end.time())}" for spell in spells) or NONE


# -- picture and small print ------------------------------------------------------------------------------------


def picture(asked: Asked) -> Picture | None:
    """Draw the hits over the light of all days, and say the same."""
    say, shoot, room = asked.say, asked.shoot, asked.shoot.sunlight
    hits, days, schedule, stretches = need(room.hits, room.days, shoot.schedule, shoot.daylight.clock_stretches)
    raster, dates = Raster.of(len(days)), [schedule.first + timedelta(n) for n in range(len(days))]
    spans = [dates[n * raster.step_days : (n + 1) * raster.step_days] for n in range(raster.columns)]
    struck = [need(room.hits_near(span, dates[raster.shown(n, len(days))])) for n, span in enumerate(spans)]
    first, last = (say.day(day, weekday=False) for day in (schedule.first, schedule.last))
    svg = light_picture(days, need(shoot.daylight.zone), stretches, (first, last), struck)
    columns = f" One column stands for {say.count(raster.step_days, 'day')}." if raster.step_days > 1 else ""
    hatched = f"Hatched: sun {where_words(asked)}. " if hits.spells else ""
    text = f"{hatched}White: sun up. Lines: the window on the wall clock.{columns}"
    return Picture(f"Sun by date and hour, {first} to {last}" if len(days) > 1 else f"Sun on {first}", svg, text)


def small_print(asked: Asked) -> Points:
    """Say how good this is, and what to mind."""
    items = [
        f"{SUN_IN_LENS} One pointed at it for hours can harm a sensor, also outside the recorded hours.",
        FALLING_OBJECTS,
        LOCAL_CODES,
        "For a free horizon, no clouds, a lens without distortion. How far outside the picture the sun flares is not "
        "known: the margin is your choice.",
        "A compass shows magnetic north: add the local declination.",
        "Backlit and front-lit within 60° is common practice, no source.",
    ]
    if asked.shoot.daylight.stands_by_city:
        items.append("The city's coordinates are good to some kilometres.")
    return Points("Cautions, and how good this is", items, True)


SUN = Page(
    "sun",
    "Sun in the picture",
    "Does the sun stand in the picture?",
    ("bearing", "tilt", "sensor", "focal_mm"),
    answer,
    (
        Group("Bearing by a landmark; margin", ("mark_lat", "mark_lon", "sun_margin")),
        Group("Other ways to know the view", ("hfov", "focal_eq_mm", "size", "projection")),
        Group("Place", ("site", "tz")),
        Group("Days, hours, interval", ("first", "last", "from", "until", "interval")),
    ),
    moment="before",
    parts=(),
    results=SunResults,
    scripts=("exif.js",),
)
