"""Does the sun stand in the picture?"""

from __future__ import annotations

from webcalc.calc.formula import work
from webcalc.calc.schedule.recording import frames_in
from webcalc.web.http.page import Asked, Group, Page
from webcalc.web.questions.daylight.words import zone_question
from webcalc.web.questions.framing import optics_notes
from webcalc.web.questions.sun import words
from webcalc.web.questions.sun.case import BY_TYPED, SunCase
from webcalc.web.words.answer import HOLDS, LOOK, Answer
from webcalc.web.words.solved import solved_notes


def answer(asked: Asked) -> Answer:
    """Say when the sun is in the picture, how many frames that touches, and which turn avoids most of it."""
    case = SunCase(asked)
    reply = Answer(case.results(), needs=case.needs)
    _notes(case, reply)
    reply.add(*zone_question(asked))
    if case.known is None:
        if case.schedule is not None and not case.schedule.recorded_days:
            reply.sentence = "No weekday between the first and the last day is left to record on."
        return reply
    _verdict(case, reply)
    reply.add(*words.turn_texts(case), words.hit_facts(case), words.picture(case))
    reply.add(words.lit_facts(case), words.small_print(case))
    return reply


def _notes(case: SunCase, reply: Answer) -> None:
    """Say what counts where something is told twice or left blank."""
    say = case.asked.say
    reply.notes = [*solved_notes(case.asked.shoot, case.asked.say), *optics_notes(case.optics)]
    if case.place.told_twice:
        reply.notes.append("The place is given in more than one way: coordinates count first, then the geo link.")
    if case.inputs.has("mark_lat", "mark_lon") and case.place.site is not None:
        if case.landmark_deg is None:
            reply.notes.append("The landmark stands where the camera does: it gives no bearing.")
        elif case.bearing_known_by == BY_TYPED:
            reply.notes.append(f"The typed bearing counts; the landmark gives {say.degrees(case.landmark_deg)}.")
        elif case.bearing_deg is not None:
            reply.notes.append(f"Bearing of the landmark: {say.degrees(case.landmark_deg)}.")
    if case.inputs.get("stills") == "no":
        reply.notes.append("No stills are taken: each burst counts as a frame here.")
    if case.inputs.get("motion"):
        reply.notes.append("Motion-triggered frames aren't counted here.")
    if case.camera is not None and not case.inputs.has("tilt"):
        reply.notes.append("No tilt was typed: the camera is taken as level.")


def _verdict(case: SunCase, reply: Answer) -> None:
    """Fill in figure and sentence."""
    say, hits, schedule = case.asked.say, case.hits, case.schedule
    if hits is None or schedule is None:
        return
    reply.working.extend(case.optics.workings())
    if case.shoot.interval_s is not None:
        reply.working.append(work(frames_in, window_s=schedule.window.length_s, interval_s=case.shoot.interval_s))
    where = words.where_words(case)
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
        Group("Other ways to know the view", ("hfov", "focal_eq_mm", "size")),
        Group("Place", ("lat", "lon", "tz")),
        Group("Days, hours, interval", ("first", "last", "from", "until", "interval")),
    ),
    moment="before",
    parts=(),
)
