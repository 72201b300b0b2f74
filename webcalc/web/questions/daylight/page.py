"""Is it light in those hours?"""

from __future__ import annotations

from datetime import time, timedelta
from typing import Any
from zoneinfo import ZoneInfo

from flask import Blueprint

from webcalc.calc.formula import work
from webcalc.calc.schedule.recording import frames_in
from webcalc.calc.schedule.zone import noon_gap, zone_rules_version
from webcalc.calc.verdict import Part
from webcalc.web.http.page import Asked, Group, Page
from webcalc.web.questions.daylight import words
from webcalc.web.questions.daylight.case import ClockStretch, DarkRun, DaylightCase, SunDay
from webcalc.web.questions.groups import HOURS
from webcalc.web.words.answer import FAILS, HOLDS, LOOK, Answer
from webcalc.web.words.solved import solved_notes


def answer(asked: Asked) -> Answer:
    """Put the daily window over the light of every day."""
    case = DaylightCase(asked)
    reply = _begin(case)
    if case.known is None:
        return reply
    _ask_about_noon(case, reply)
    _verdict(case, reply)
    if case.light:
        reply.add(words.dark_days(case), words.always_text(case))
    reply.add(words.key_days(case), words.polar_facts(case), *words.clock_blocks(case), words.picture(case))
    reply.add(words.every_day(case), words.small_print(case))
    return reply


def answer_days(asked: Asked) -> Answer:
    """Show the same for every day, as one long table."""
    case = DaylightCase(asked)
    reply = _begin(case)
    if case.known is None or not case.days:
        return reply
    _verdict(case, reply)
    reply.add(words.all_days_table(case), words.polar_facts(case), words.small_print(case))
    return reply


def _begin(case: DaylightCase) -> Answer:
    """Start an answer with its data, what is missing, and the questions to settle before any light is computed."""
    asked, place, shoot = case.asked, case.asked.old.place, case.asked.old
    reply = Answer(_results(case))
    no_rule = [] if place.light_rule else ["light"]
    reply.needs = [*place.missing, *shoot.missing_for_schedule(), *no_rule]
    reply.notes = solved_notes(asked.shoot, asked.say)
    if place.told_twice:
        reply.notes.append("The place is given in more than one way: coordinates count first, then the geo link.")
    if place.zone_proposals:
        reply.sentence = "Which time zone is the site in? Choose one below, or type it: no light is computed without."
    reply.add(*words.zone_question(asked))
    return reply


def _ask_about_noon(case: DaylightCase, reply: Answer) -> None:
    """Ask whether the zone is right where clock noon is far from solar noon, and show the working."""
    question = words.noon_question(case)
    if question and case.known and case.place.zone:
        offset = case.first_noon.astimezone(case.place.zone).utcoffset() or timedelta(0)
        hours, longitude = offset / timedelta(hours=1), case.known[0].longitude_deg
        reply.add(question)
        reply.working.append(work(noon_gap, offset_h=hours, longitude_deg=longitude))


def _verdict(case: DaylightCase, reply: Answer) -> None:
    """Fill in figure and sentence."""
    asked, say, light = case.asked, case.asked.say, case.light
    if case.schedule is None:
        _today(case, reply)
        return
    if light is None:
        reply.figure, reply.tone = "no recorded day", FAILS
        reply.sentence = "No weekday between the first and the last day is left to record on."
        return
    if light.frames is not None:
        seconds, interval = case.schedule.window.length_s, asked.old.interval_s
        reply.working.append(work(frames_in, window_s=seconds, interval_s=interval))
    reply.figure = f"{say.percent(light.light_share)} light"
    dark = len(set(light.begin_dark) | set(light.end_dark))
    reply.tone = LOOK if dark else HOLDS
    if not dark:
        counted = say.length(case.schedule.recorded_s) if light.frames is None else say.count(light.frames, "frame")
        reply.sentence = f"All in the light: {counted} on {say.count(len(light.days), 'recorded day')}."
        return
    if light.light_share == 0:
        reply.tone = FAILS
    counted = f"{say.percent(light.time_share)} of the recorded time is light."
    if light.frames is not None:
        counted = f"{say.number(light.light_frames)} of {say.count(light.frames, 'frame')} are in the light."
    days = say.count(len(light.days), "day")
    ends = [
        f"{word} in the dark on {say.number(len(found))}"
        for word, found in (("begins", light.begin_dark), ("ends", light.end_dark))
        if found
    ]
    reply.sentence = f"{counted} Recording {' and '.join(ends)} of {days}."


def _today(case: DaylightCase, reply: Answer) -> None:
    """Answer the quick check: today, before the shoot has a last day."""
    say = case.asked.say
    day = case.key_days[0][1]
    state = words.STAYS.get(day.sun.state)
    light = []
    for span in day.sun.light:
        start, end = (instant.astimezone(case.place.zone) for instant in span)
        until = say.clock_nearest(end) if end.date() == start.date() else say.clock_end(time(0))
        light.append(f"{say.clock_nearest(start)}{words.TO}{until}")
    reply.figure = ", ".join(light) or "no light"
    reply.sentence = f"is light enough today, {say.day(day.date)}."
    if not light:
        reply.sentence = f"Nothing is light enough today, {say.day(day.date)}."
    if state:
        reply.sentence += f" The sun is {state}."
    if day.window:
        length = say.length((day.window.end_utc - day.window.start_utc).total_seconds())
        reply.sentence += f" In the window: {say.minutes(day.window.window_light_s)} of {length}."


# -- the data -------------------------------------------------------------------------------------------------


def _results(case: DaylightCase) -> dict[str, Any]:
    place, light = case.place, case.light
    known = case.known is not None
    rules = zone_rules_version()
    stretches = case.clock_stretches if known else []
    return {
        "today": case.today if known else None,
        "site": {
            "lat_deg": place.site.latitude_deg if place.site else None,
            "lon_deg": place.site.longitude_deg if place.site else None,
            "zone": place.zone_key,
            "by_city": place.stands_by_city,
        },
        "zone_proposals": [{"zone": zone.key, "distance_km": zone.distance_km} for zone in place.zone_proposals],
        "zone_rules": rules.version,
        "zone_rules_origin": rules.origin,
        "noon_gap_h": case.noon_gap_h,
        "light_share": light.light_share if light else None,
        "light_time_share": light.time_share if light else None,
        "frames": light.frames if light else None,
        "light_frames": light.light_frames if light else None,
        "always_light": {"from": light.always_light.start, "until": light.always_light.end}
        if light and light.always_light
        else None,
        "begins_dark": [_run_data(run) for run in case.begin_dark] if light else None,
        "ends_dark": [_run_data(run) for run in case.end_dark] if light else None,
        "camera_offset_min": _minutes(case) if known else None,
        "camera_minus_wall_min": stretches[0].camera_minus_wall_min if stretches else None,
        "clock_changes": [_change_data(stretch, place.zone) for stretch in stretches[1:]] if stretches else None,
        "key_days": [{"what": what, **_day_data(case, day)} for what, day in case.key_days] if known else None,
        "days": [_day_data(case, day) for day in case.days] if case.days else None,
    }


def _minutes(case: DaylightCase) -> int | None:
    return None if case.camera_offset is None else int(case.camera_offset.total_seconds() // 60)


def _run_data(run: DarkRun) -> dict[str, Any]:
    return {"first": run.first, "last": run.last, "days": run.days, "longest_dark_s": run.most_s}


def _change_data(stretch: ClockStretch, zone: ZoneInfo | None) -> dict[str, Any]:
    return {
        "date": stretch.since,
        "at": stretch.since_utc.astimezone(zone),
        "shift_min": stretch.shift_min,
        "camera_minus_wall_min": stretch.camera_minus_wall_min,
        "wall_from": stretch.wall.start,
        "wall_until": stretch.wall.end,
        "recorded_days": len(stretch.windows),
        "dark_days": stretch.dark_days,
    }


def _day_data(case: DaylightCase, day: SunDay) -> dict[str, Any]:
    zone, sun, civil = case.place.zone, day.sun, day.civil
    return {
        "date": sun.date,
        "recorded": day.recorded,
        "state": sun.state,
        "sunrise": [instant.astimezone(zone) for instant in sun.sunrises],
        "sunset": [instant.astimezone(zone) for instant in sun.sunsets],
        "civil_dawn": [instant.astimezone(zone) for instant in civil.rises],
        "civil_dusk": [instant.astimezone(zone) for instant in civil.sets],
        "light": [[start.astimezone(zone), end.astimezone(zone)] for start, end in sun.light],
        "light_from": sun.light[0][0].astimezone(zone) if sun.light else None,
        "light_until": sun.light[-1][1].astimezone(zone) if sun.light else None,
        "window_light_s": day.window.window_light_s if day.window else None,
    }


_FOLDED = (
    Group("City or geo link instead", ("place", "geo")),
    HOURS,
    Group("Light, camera clock, interval", ("light", "clock", "interval")),
)


class _DaylightPage(Page):
    """The page and its second step: every day of a long shoot at an address of its own."""

    def blueprint(self) -> Blueprint:
        """Return both, with their data."""
        blueprint = super().blueprint()
        blueprint.add_url_rule(f"/{DAYS.name}", "days", DAYS.view)
        blueprint.add_url_rule(f"/{DAYS.name}.json", "days_data", DAYS.data_view)
        return blueprint


DAYS = Page("daylight/days", "Every day", "When is it light, day by day?", ("first", "last"), answer_days, _FOLDED)
DAYLIGHT = _DaylightPage(
    "daylight",
    "Daylight",
    "Is it light in those hours?",
    ("lat", "lon", "tz", "first", "last"),
    answer,
    _FOLDED,
    parts=(Part.LIGHT,),
)
