"""Does the sun stand in the picture?"""

from __future__ import annotations

from webcalc.calc.formula import work
from webcalc.calc.optics.sun_results import SunResults, sun_results
from webcalc.calc.optics.sunlit import BY_TYPED
from webcalc.calc.schedule.recording import frames_in
from webcalc.calc.unknown import given, known, need, or_none
from webcalc.calc.verdict import records_nothing
from webcalc.web.http.page import Asked, Group, Page
from webcalc.web.questions.framing import optics_notes
from webcalc.web.questions.sun import words
from webcalc.web.words.answer import FAILS, HOLDS, LOOK, Answer, unknown_names
from webcalc.web.words.solved import solved_notes
from webcalc.web.words.verdict import nothing_recorded


def answer(asked: Asked) -> Answer:
    """Say when the sun is in the picture, how many frames that touches, and which turn avoids most of it."""
    shoot, room = asked.shoot, asked.shoot.sunlight
    reply = Answer(sun_results(shoot), needs=_needs(asked))
    _notes(asked, reply)
    if asked.records_nothing:
        reply.figure, reply.tone = "Records nothing", FAILS
        reply.sentence = nothing_recorded(records_nothing(shoot))
    if not known(room.hits):
        return reply
    _share(asked, reply)
    reply.add(
        *words.turn_texts(asked),
        words.small_changes(asked, reply.results),
        words.hit_facts(asked),
        words.picture(asked),
    )
    reply.add(words.lit_facts(asked), words.small_print(asked))
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
    where = words.where_words(asked)
    if not hits.spells:
        reply.figure, reply.tone = "no sun", HOLDS
        reply.sentence = f"stands {where} in the recorded hours, on any of {say.count(schedule.recorded_days, 'day')}."
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
