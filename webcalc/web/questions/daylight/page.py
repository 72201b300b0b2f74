"""Is it light in those hours?"""

from __future__ import annotations

from webcalc.calc.formula import work
from webcalc.calc.light.results import DaylightResults, daylight_results
from webcalc.calc.schedule.recording import frames_in
from webcalc.calc.unknown import given, known, need, or_none
from webcalc.calc.verdict import Part
from webcalc.web.http.page import HOURS, Asked, Group, Page
from webcalc.web.questions.daylight import words
from webcalc.web.words.answer import FAILS, HOLDS, LOOK, Answer, Facts, unknown_names
from webcalc.web.words.values import solved_notes


def answer(asked: Asked) -> Answer:
    """Put the daily window over the light of every day."""
    reply = _begin(asked)
    room = asked.shoot.daylight
    if not known(room.site) or not known(room.rule):
        return reply
    question = words.noon_question(asked)
    if question:
        reply.add(question[0])
        reply.working.append(question[1])
    _share(asked, reply)
    key_days = words.key_days(asked)
    if key_days:
        # Today and the day with the least light; between them stand the first and the last.
        first, *others = key_days.rows
        reply.lead_with(Facts([first, *others[-1:]], key_days.title))
        reply.add(Facts(others[:-1]) if others[:-1] else None)
    if not asked.records_nothing:
        reply.add(words.dark_days(asked), words.always_text(asked))
    reply.add(words.polar_facts(asked), *words.clock_blocks(asked), words.picture(asked))
    reply.add(words.every_day(asked), words.small_print(asked))
    return reply


def answer_days(asked: Asked) -> Answer:
    """Show the same for every day, as one long table."""
    reply = _begin(asked)
    if not or_none(asked.shoot.daylight.days):
        return reply
    _share(asked, reply)
    reply.add(words.all_days_table(asked), words.polar_facts(asked), words.small_print(asked))
    return reply


def _begin(asked: Asked) -> Answer:
    """Start an answer with its data, what is missing, and the questions to settle before any light is told."""
    room, shoot = asked.shoot.daylight, asked.shoot
    data = daylight_results(shoot, asked.now) if asked.as_data else None
    reply = Answer(data, notes=solved_notes(shoot, asked.say))
    reply.needs = unknown_names(room.coordinates, room.zone_key, shoot.schedule, room.rule)
    if "site" in reply.needs and not given(shoot.tz):
        # A place brings its zone along.
        reply.needs.remove("tz")
    if room.told_twice:
        reply.notes.append("The place is given in more than one way: coordinates count first, then the geo link.")
    if or_none(room.zone_proposals):
        reply.sentence = "Which time zone is the site in? Choose one, or type it: no light is computed without."
    return reply


def _share(asked: Asked, reply: Answer) -> None:
    """Fill in figure and sentence: "all" is said only where every frame counted is in the light."""
    say, schedule, light = asked.say, asked.shoot.schedule, or_none(asked.shoot.daylight.light)
    if not known(schedule):
        _today(asked, reply)
        return
    if light is None:
        return
    if light.frames is not None:
        seconds, interval_s = schedule.window.length_s, need(asked.shoot.interval_s)
        reply.working.append(work(frames_in, window_s=seconds, interval_s=interval_s))
    reply.figure = f"{say.percent(light.light_share)} light"
    if light.all_light:
        reply.tone = HOLDS
        counted = say.length(schedule.recorded_s) if light.frames is None else say.count(light.frames, "frame")
        reply.sentence = f"All in the light: {counted} on {say.count(len(light.days), 'recorded day')}."
        return
    reply.tone = LOOK if light.light_share else FAILS
    counted = f"{say.percent(light.time_share)} of the recorded time is light."
    if light.frames is not None:
        counted = f"{say.number(light.light_frames)} of {say.count(light.frames, 'frame')} are in the light."
    between = [day for day in light.days if not (day.begins_dark or day.ends_dark or day.all_light)]
    kinds = (
        ("begins in the dark", light.begin_dark),
        ("ends in the dark", light.end_dark),
        ("is dark between", between),
    )
    ends = [f"{word} on {say.number(len(found))}" for word, found in kinds if found]
    days = say.count(len(light.days), "day")
    reply.sentence = f"{counted} Recording {' and '.join(ends)} of {days}." if ends else counted


def _today(asked: Asked, reply: Answer) -> None:
    """Answer the quick check: today, before the shoot has a last day."""
    say, day = asked.say, words.key_days_of(asked)[0][1]
    state = words.STAYS.get(day.sun.state)
    light = words.light_words(asked, day)
    reply.figure = light or "no light"
    reply.sentence = f"is light enough today, {say.day(day.date)}."
    if not light:
        reply.sentence = f"Nothing is light enough today, {say.day(day.date)}."
    if state:
        reply.sentence += f" The sun is {state}."
    if day.window:
        length = say.length((day.window.end_utc - day.window.start_utc).total_seconds())
        reply.sentence += f" In the window: {say.minutes(day.window.window_light_s)} of {length}."


_FOLDED = (
    HOURS,
    Group("Light, camera clock, interval", ("light", "clock", "interval")),
)


DAYS = Page("daylight/days", "Every day", "When is it light, day by day?", ("first", "last"), answer_days, _FOLDED)
DAYLIGHT = Page(
    "daylight",
    "Daylight",
    "Is it light in those hours?",
    ("site",),
    answer,
    (Group("First and last day", ("first", "last")), *_FOLDED, Group("Time zone", ("tz",))),
    parts=(Part.LIGHT,),
    results=DaylightResults,
    seconds=(DAYS,),
)
