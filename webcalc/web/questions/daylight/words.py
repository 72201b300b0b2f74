"""The daylight page in words: tables of days, dark stretches, the camera clock, and what the picture shows."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime, time, timedelta
from math import ceil

from webcalc.calc.formula import Working, work
from webcalc.calc.light import results
from webcalc.calc.light.days import (
    ClockStretch,
    DarkRun,
    SunDay,
    begin_dark,
    clock_extremes,
    dark_between,
    end_dark,
    state_runs,
)
from webcalc.calc.light.sun import DayEvents
from webcalc.calc.schedule.schedule import DailyWindow
from webcalc.calc.schedule.zone import NOON_GAP_ASK_H, nearest_zones, noon_gap, zone_rules_version
from webcalc.calc.unknown import need, or_none
from webcalc.web.http.page import Asked
from webcalc.web.pictures.daylight import Raster, light_picture
from webcalc.web.places.towns import CREDIT
from webcalc.web.words.answer import ASK, LOOK, Block, Fact, Facts, Picture, Points, Row, Table, Text
from webcalc.web.words.cautions import LOCAL_CODES, SUN_IN_LENS, SUN_ON_SENSOR
from webcalc.web.words.say import NBSP, Say

NONE = "–"
#: Between two clock times that stay on one line.
TO = f"{NBSP}–{NBSP}"
KEY_DAYS = {"today": "Today", "first": "First day", "last": "Last day", "worst": "Least light"}
_SUN_HOW = (
    "The sun’s upper edge at a flat horizon, air bending its light: its centre 0.833° below. Civil twilight: 6° below. "
    "To the nearest minute; hills and buildings aren’t known.",
)
_DARK_HOW = ("Minutes of the window in which the sun stands lower than “Light enough” asks.",)
#: Stretches that are listed on the page itself; the rest stand in the table of all days.
MOST_RUNS = 6
ALL_DAYS_NOTE = f"On the site’s wall clock. Light: in the recorded hours; {NONE} where nothing is recorded."
#: Days up to which the page itself lists every one of them.
FEW_DAYS = 10
STAYS = {"polar_day": "up all day", "polar_night": "down all day"}
SUN_CAUTION = f"{SUN_IN_LENS} {SUN_ON_SENSOR} {LOCAL_CODES}"


def window_words(say: Say, window: DailyWindow) -> str:
    """Write a window: 08:00 – 18:00; one of 24 hours by its start."""
    if window.start == window.end:
        return f"24 h from {say.clock(window.start)}"
    return f"{say.clock(window.start)}{TO}{say.clock_end(window.end)}"


def noon_question(asked: Asked) -> tuple[Text, Working] | None:
    """Ask whether the zone is right where clock noon is far from solar noon, with the working."""
    room, today = asked.shoot.daylight, asked.site_today
    site, zone = or_none(room.site), or_none(room.zone)
    if today is None or site is None or zone is None:
        return None
    gap_h, noon = need(room.noon_gap_h(today), room.first_noon(today))
    if gap_h <= NOON_GAP_ASK_H:
        return None
    offset_h = (noon.astimezone(zone).utcoffset() or timedelta(0)) / timedelta(hours=1)
    working = work(noon_gap, offset_h=offset_h, longitude_deg=site.longitude_deg)
    nearest = nearest_zones(site.latitude_deg, site.longitude_deg, 1)[0].zone
    apart = asked.say.unit(gap_h, "h", 2)
    words = f"Is {site.zone_key} the right zone? Clock noon and solar noon are {apart} apart there."
    if nearest == site.zone_key:
        return Text(words, ASK), working
    return Text(words, ASK, asked.url(asked.page.name, tz=nearest), f"Use {nearest}"), working


# -- days -------------------------------------------------------------------------------------------------------


def _clocks(asked: Asked, instants: Sequence[datetime]) -> str:
    say, zone = asked.say, need(asked.shoot.daylight.zone)
    return ", ".join(say.clock_nearest(instant.astimezone(zone)) for instant in instants) or NONE


def light_words(asked: Asked, day: SunDay) -> str:
    """Return every light part of a date; empty where there is none."""
    say, zone, parts = asked.say, need(asked.shoot.daylight.zone), []
    for span in day.sun.light:
        start, end = (instant.astimezone(zone) for instant in span)
        until = say.clock_nearest(end) if end.date() == start.date() else say.clock_end(time(0))
        parts.append(f"{say.clock_nearest(start)}{TO}{until}")
    return ", ".join(parts)


def _dawn_and_dusk(asked: Asked, civil: DayEvents) -> tuple[str, str]:
    if civil.state == "normal":
        return _clocks(asked, civil.rises), _clocks(asked, civil.sets)
    return ("all day" if civil.state == "always_above" else "none"), NONE


def _sun_cells(asked: Asked, day: SunDay) -> tuple[str, ...]:
    """Return sunrise, sunset, light in the window, civil dawn and dusk."""
    rise, fall = _clocks(asked, day.sun.sunrises), _clocks(asked, day.sun.sunsets)
    if day.sun.state in STAYS:
        rise, fall = STAYS[day.sun.state], NONE
    in_window = asked.say.minutes(day.window.window_light_s) if day.window else NONE
    return rise, fall, in_window, *_dawn_and_dusk(asked, day.civil)


_HEAD = ("Sunrise", "Sunset", "Light", "Civil dawn", "Civil dusk")


def key_days_of(asked: Asked) -> list[tuple[str, SunDay]]:
    """Return today, first, last and worst day, as far as they are known."""
    return results.key_days(asked.shoot, asked.site_today) if asked.site_today else []


def key_days(asked: Asked) -> Facts | None:
    """Show today, the first, the last and the worst day."""
    shown = key_days_of(asked)
    if not shown:
        return None
    named: dict[date, list[str]] = {}
    for what, day in shown:
        named.setdefault(day.date, []).append(KEY_DAYS[what])
    days = {day.date: day for _what, day in shown}
    return Facts([day_fact(asked, names, days[day]) for day, names in named.items()], "Sunrise and sunset on site")


def day_fact(asked: Asked, names: Sequence[str], day: SunDay) -> Fact:
    """Show sunrise, sunset, twilight and the light in the window of one day; ``names`` say which day it is."""
    say = asked.say
    rise, fall, in_window, dawn, dusk = _sun_cells(asked, day)
    label = f"{', '.join([names[0], *map(str.lower, names[1:])])}: {say.day(day.date)}"
    more = f"civil twilight {_between(dawn, dusk)}"
    parts = light_words(asked, day) if len(day.sun.light) > 1 else _between(rise, fall)
    return Fact(label, parts, more + (f"; {in_window} light in the window" if day.window else ""), _SUN_HOW)


def _between(begin: str, end: str) -> str:
    return f"{begin}{TO}{end}" if end != NONE or begin[:1].isdigit() else begin


def all_days_table(asked: Asked) -> Table:
    """Show every calendar date."""
    days = need(asked.shoot.daylight.days)
    few = len(days) <= FEW_DAYS
    rows = [Row((asked.say.day(day.date, weekday=few), *_sun_cells(asked, day))) for day in days]
    return Table("Every day", ("Day", *_HEAD), rows, ALL_DAYS_NOTE)


def every_day(asked: Asked) -> Block | None:
    """Show every day of a short shoot, and of a longer one the way to the table of all of them."""
    days = or_none(asked.shoot.daylight.days)
    if not days:
        return None
    if len(days) <= FEW_DAYS:
        table = all_days_table(asked)
        return Table(table.title, table.head, table.rows, table.note, folded=True)
    return asked.step(f"All {asked.say.count(len(days), 'day')} as a table", "daylight/days")


def polar_facts(asked: Asked) -> Facts | None:
    """Show when the sun stays up or down."""
    say, rows = asked.say, []
    for state, words in (("polar_day", "Sun up all day"), ("polar_night", "Sun down all day")):
        runs = state_runs(or_none(asked.shoot.daylight.days) or (), state)
        if runs:
            days = sum((last - first).days + 1 for first, last in runs)
            more = "; ".join(say.days(*run) for run in runs[:MOST_RUNS])
            rows.append(Fact(words, say.count(days, "day"), more + ("; …" if len(runs) > MOST_RUNS else ""), _SUN_HOW))
    return Facts(rows) if rows else None


# -- dark ends --------------------------------------------------------------------------------------------------


def dark_days(asked: Asked) -> Facts | None:
    """Show the stretches of days that begin or end in the dark, or are dark between."""
    say, windows = asked.say, asked.shoot.daylight.windows
    kinds = (("begins dark", begin_dark), ("ends dark", end_dark), ("dark between", dark_between))
    runs = sorted(((kind, run) for kind, find in kinds for run in find(windows)), key=lambda one: one[1].first)
    if not runs:
        return None
    rows = [_dark_fact(say, kind, run) for kind, run in runs[:MOST_RUNS]]
    if len(runs) > MOST_RUNS:
        rows.append(Fact("and", say.count(len(runs) - MOST_RUNS, "more stretch", "more stretches"), "in the data"))
    return Facts(rows, "Days with dark in the window")


def _dark_fact(say: Say, kind: str, run: DarkRun) -> Fact:
    longest = say.minutes(ceil(run.longest_dark_s / 60) * 60)
    return Fact(say.days(run.first, run.last), kind, f"{say.count(run.days, 'day')}, up to {longest}", _DARK_HOW)


def always_text(asked: Asked) -> Text | None:
    """Say which window is light on every recorded day, with the step to use it."""
    light = or_none(asked.shoot.daylight.light)
    if light is None:
        return None
    if light.always_light is None:
        return Text("No minute of the day is light on every recorded day.", LOOK)
    found = light.always_light
    words = window_words(asked.say, found)
    length = asked.say.length(found.length_s)
    if found == need(asked.shoot.window):
        return Text("This is the longest window that is light on every recorded day.")
    return Text(
        f"Light on every recorded day: {words} on the camera clock, {length}.",
        href=asked.url("daylight", from_=found.start, until=found.end),
        link_words=f"Use {words}",
    )


# -- the camera clock -------------------------------------------------------------------------------------------


def behind_words(say: Say, camera_minus_wall_min: int) -> str:
    """Write how the camera clock stands to the wall clock."""
    if not camera_minus_wall_min:
        return "right"
    side = "behind" if camera_minus_wall_min < 0 else "ahead"
    return f"{say.length(abs(camera_minus_wall_min) * 60)} {side}"


def clock_blocks(asked: Asked) -> list[Block]:
    """Say what changes of summer time do to the window."""
    say, stretches = asked.say, or_none(asked.shoot.daylight.clock_stretches) or ()
    wrong = [stretch for stretch in stretches if stretch.camera_minus_wall_min]
    if not stretches:
        return []
    offset = say.offset(need(asked.shoot.daylight.camera_offset))
    if not wrong:
        return [Facts([Fact("Camera clock", offset, "agrees with the wall clock all through")])]
    first = wrong[0]
    words = (
        f"From {say.day(first.since)} the camera clock is {behind_words(say, first.camera_minus_wall_min)} the wall "
        f"clock: the window is then {window_words(say, first.wall)} on site, {_still_light(say, first)}."
    )
    blocks: list[Block] = [Text(words, LOOK)]
    if len(stretches) > 2 or stretches[0] is first:
        items = [_stretch_words(say, stretch) for stretch in stretches]
        items.append(f"The camera clock keeps {offset}, whatever summer time does, until someone sets it.")
        blocks.append(Points("Camera clock against summer time", items, folded=True))
    return blocks


def _stretch_words(say: Say, stretch: ClockStretch) -> str:
    stands = behind_words(say, stretch.camera_minus_wall_min)
    since, wall = say.day(stretch.since, weekday=False), window_words(say, stretch.wall)
    return f"From {since} camera {stands}: {wall} on site, {_still_light(say, stretch)}."


def _still_light(say: Say, stretch: ClockStretch) -> str:
    if not stretch.windows:
        return "no recorded day"
    if not stretch.dark_days:
        return "all light"
    return f"partly dark on {say.number(stretch.dark_days)} of {say.count(len(stretch.windows), 'day')}"


# -- picture and small print ------------------------------------------------------------------------------------


def picture(asked: Asked) -> Picture | None:
    """Draw the light of all days, and say the same."""
    room, say = asked.shoot.daylight, asked.say
    days, zone, stretches = or_none(room.days), or_none(room.zone), or_none(room.clock_stretches)
    if not days or zone is None or not stretches:
        return None
    first, last = (say.day(days[n].date, weekday=False) for n in (0, -1))
    svg = light_picture(days, zone, stretches, (first, last))
    step = Raster.of(len(days)).step_days
    by_sun = isinstance(asked.inputs.get("light"), str)
    columns = f" One column stands for {say.count(step, 'day')}." if step > 1 else ""
    walls = list(dict.fromkeys(window_words(say, stretch.wall) for stretch in stretches))
    over_midnight = ", over midnight: outside the lines" if stretches[0].wall.crosses_midnight else ""
    text = (
        f"White: {'sun up' if by_sun else 'light enough'}. Grey: civil twilight{'' if by_sun else ' to light enough'}. "
        f"Black: dark. Lines: the window, {' or '.join(walls)} on the wall clock{over_midnight}; bars beside them: "
        f"recorded hours. {_extremes(asked, days)}{columns}"
    )
    return Picture(f"Light by date and hour, {first} to {last}" if len(days) > 1 else f"Light on {first}", svg, text)


def _extremes(asked: Asked, days: Sequence[SunDay]) -> str:
    """Say between which clock times sunrise and sunset move."""
    say, zone, parts = asked.say, need(asked.shoot.daylight.zone), []
    for word, kind in (("Sunrise", "sunrises"), ("Sunset", "sunsets")):
        ends = clock_extremes([instant.astimezone(zone) for day in days for instant in getattr(day.sun, kind)])
        if ends:
            parts.append(f"{word} {TO.join(dict.fromkeys(say.clock_nearest(one) for one in ends))}.")
    return " ".join(parts) or "No sunrise or sunset."


def small_print(asked: Asked) -> Points:
    """Say how good the times are, and the caution."""
    rules, zone_key = zone_rules_version(), need(asked.shoot.daylight.zone_key)
    items = [
        "Printed to the minute; may be off by a minute or more even under ideal conditions (USNO).",
        "For sea level and a free horizon: hills, trees and buildings take light away.",
        f"Time-zone rules {rules.version}, {zone_key}. A camera clock may drift a minute a month, too.",
    ]
    if asked.shoot.daylight.stands_by_city:
        items.append("The city’s coordinates are good to some kilometres, about a minute of sunrise.")
    if asked.inputs.has("site"):
        items.append(CREDIT)
    return Points("How good this is", [*items, SUN_CAUTION])
