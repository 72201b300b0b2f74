"""The daylight page in words: tables of days, dark stretches, the camera clock, and what the picture shows."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime
from math import ceil

from webcalc.calc.light.sun import DayEvents
from webcalc.calc.schedule.schedule import DailyWindow
from webcalc.calc.schedule.zone import NOON_GAP_ASK_H, nearest_zones, zone_rules_version
from webcalc.web.http.page import Asked
from webcalc.web.pictures.daylight import Raster, light_picture
from webcalc.web.questions.daylight.case import ClockStretch, DarkRun, DaylightCase, SunDay, state_runs
from webcalc.web.words.answer import ASK, LOOK, Block, Fact, Facts, Picture, Points, Row, Table, Text
from webcalc.web.words.cautions import LOCAL_CODES, sensor, sun
from webcalc.web.words.say import NBSP, Say

NONE = "–"
#: Between two clock times that stay on one line.
TO = f"{NBSP}–{NBSP}"
KEY_DAYS = {"today": "Today", "first": "First day", "last": "Last day", "worst": "Least light"}
#: Stretches that are listed on the page itself; the rest stand in the table of all days.
MOST_RUNS = 6
ALL_DAYS_NOTE = f"On the site’s wall clock. Light: in the recorded hours; {NONE} where nothing is recorded."
#: Days up to which the page itself lists every one of them.
FEW_DAYS = 10
STAYS = {"polar_day": "up all day", "polar_night": "down all day"}
SUN_CAUTION = f"{sun()} {sensor()} {LOCAL_CODES}"


def window_words(say: Say, window: DailyWindow) -> str:
    """Write a window: 08:00 – 18:00; one of 24 hours by its start."""
    if window.start == window.end:
        return f"24 h from {say.clock(window.start)}"
    return f"{say.clock(window.start)}{TO}{say.clock_end(window.end)}"


def zone_question(asked: Asked) -> list[Block]:
    """Ask which zone it is, nearest proposals first."""
    proposals = asked.old.place.zone_proposals
    if not proposals:
        return []
    blocks: list[Block] = [
        Text("Zones whose main place is nearest. Zones end at borders, so the nearest may be wrong.", ASK)
    ]
    for proposal in proposals:
        words = f"Use {proposal.key} ({asked.say.number(proposal.distance_km)} km)"
        blocks.append(Text("", href=asked.url(asked.page.name, tz=proposal.key), link_words=words))
    return blocks


def noon_question(case: DaylightCase) -> Text | None:
    """Ask whether the zone is right where clock noon is far from solar noon."""
    asked, gap_h = case.asked, case.noon_gap_h
    if gap_h is None or gap_h <= NOON_GAP_ASK_H or case.place.site is None:
        return None
    nearest = nearest_zones(case.place.site.latitude_deg, case.place.site.longitude_deg, 1)[0].key
    apart = asked.say.unit(gap_h, "h", 2)
    words = f"Is {case.place.zone_key} the right zone? Clock noon and solar noon are {apart} apart there."
    if nearest == case.place.zone_key:
        return Text(words, ASK)
    return Text(words, ASK, asked.url(asked.page.name, tz=nearest), f"Use {nearest}")


# -- days -------------------------------------------------------------------------------------------------------


def _clocks(case: DaylightCase, instants: Sequence[datetime]) -> str:
    say, zone = case.asked.say, case.place.zone
    return ", ".join(say.clock_nearest(instant.astimezone(zone)) for instant in instants) or NONE


def _window_light(say: Say, day: SunDay) -> str:
    return say.minutes(day.window.window_light_s) if day.window else NONE


def _dawn_and_dusk(case: DaylightCase, civil: DayEvents) -> tuple[str, str]:
    if civil.state == "normal":
        return _clocks(case, civil.rises), _clocks(case, civil.sets)
    return ("all day" if civil.state == "always_above" else "none"), NONE


def _sun_cells(case: DaylightCase, day: SunDay) -> tuple[str, ...]:
    """Return sunrise, sunset, light in the window, civil dawn and dusk."""
    rise, fall = _clocks(case, day.sun.sunrises), _clocks(case, day.sun.sunsets)
    if day.sun.state in STAYS:
        rise, fall = STAYS[day.sun.state], NONE
    return rise, fall, _window_light(case.asked.say, day), *_dawn_and_dusk(case, day.civil)


_HEAD = ("Sunrise", "Sunset", "Light", "Civil dawn", "Civil dusk")


def key_days(case: DaylightCase) -> Facts | None:
    """Show today, the first, the last and the worst day."""
    if not case.key_days:
        return None
    named: dict[date, list[str]] = {}
    for what, day in case.key_days:
        named.setdefault(day.date, []).append(KEY_DAYS[what])
    days = {day.date: day for _what, day in case.key_days}
    return Facts([day_fact(case, names, days[day]) for day, names in named.items()], "Sunrise and sunset on site")


def day_fact(case: DaylightCase, names: Sequence[str], day: SunDay) -> Fact:
    """Show sunrise, sunset, twilight and the light in the window of one day; ``names`` say which day it is."""
    say = case.asked.say
    rise, fall, in_window, dawn, dusk = _sun_cells(case, day)
    label = f"{', '.join([names[0], *map(str.lower, names[1:])])}: {say.day(day.date)}"
    more = f"civil twilight {_between(dawn, dusk)}"
    return Fact(label, _between(rise, fall), more + (f"; {in_window} light in the window" if day.window else ""))


def _between(begin: str, end: str) -> str:
    return f"{begin}{TO}{end}" if end != NONE or begin[:1].isdigit() else begin


def all_days_table(case: DaylightCase) -> Table:
    """Show every calendar date."""
    return Table("Every day", ("Day", *_HEAD), [_day_row(case, day) for day in case.days], ALL_DAYS_NOTE)


def every_day(case: DaylightCase) -> Block | None:
    """Show every day of a short shoot, and of a longer one the way to the table of all of them."""
    if not case.days:
        return None
    if len(case.days) <= FEW_DAYS:
        table = all_days_table(case)
        return Table(table.title, table.head, table.rows, table.note, folded=True)
    words = f"All {case.asked.say.count(len(case.days), 'day')} as a table"
    return Text("", href=case.asked.url("daylight/days"), link_words=words)


def _day_row(case: DaylightCase, day: SunDay) -> Row:
    return Row((case.asked.say.day(day.date, weekday=len(case.days) <= FEW_DAYS), *_sun_cells(case, day)))


def polar_facts(case: DaylightCase) -> Facts | None:
    """Show when the sun stays up or down."""
    say, rows = case.asked.say, []
    for state, words in (("polar_day", "Sun up all day"), ("polar_night", "Sun down all day")):
        runs = state_runs(case.days, state)
        if runs:
            days = sum((last - first).days + 1 for first, last in runs)
            more = "; ".join(_run_words(say, *run) for run in runs[:MOST_RUNS])
            rows.append(Fact(words, say.count(days, "day"), more + ("; …" if len(runs) > MOST_RUNS else "")))
    return Facts(rows) if rows else None


def _run_words(say: Say, first: date, last: date) -> str:
    one = say.day(first, weekday=False)
    return one if first == last else f"{one} to {say.day(last, weekday=False)}"


# -- dark ends --------------------------------------------------------------------------------------------------


def dark_days(case: DaylightCase) -> Facts | None:
    """Show the stretches of days that begin or end in the dark."""
    say = case.asked.say
    runs = [("begins", run) for run in case.begin_dark] + [("ends", run) for run in case.end_dark]
    if not runs:
        return None
    runs.sort(key=lambda one: one[1].first)
    rows = [_dark_fact(say, side, run) for side, run in runs[:MOST_RUNS]]
    if len(runs) > MOST_RUNS:
        rows.append(Fact("and", say.count(len(runs) - MOST_RUNS, "more stretch", "more stretches"), "in the data"))
    return Facts(rows, "Days that begin or end in the dark")


def _dark_fact(say: Say, side: str, run: DarkRun) -> Fact:
    longest = say.minutes(ceil(run.most_s / 60) * 60)
    return Fact(_run_words(say, run.first, run.last), f"{side} dark", f"{say.count(run.days, 'day')}, up to {longest}")


def always_text(case: DaylightCase) -> Text | None:
    """Say which window is light on every recorded day, with the step to use it."""
    asked, light = case.asked, case.light
    if light is None:
        return None
    if light.always_light is None:
        return Text("No minute of the day is light on every recorded day.", LOOK)
    found = light.always_light
    words = window_words(asked.say, found)
    length = asked.say.length(found.length_s)
    if found == asked.old.window:
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


def clock_blocks(case: DaylightCase) -> list[Block]:
    """Say what changes of summer time do to the window."""
    say, stretches = case.asked.say, case.clock_stretches
    wrong = [stretch for stretch in stretches if stretch.camera_minus_wall_min]
    if not stretches or case.camera_offset is None:
        return []
    offset = say.offset(case.camera_offset)
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
    return f"dark ends on {say.number(stretch.dark_days)} of {say.count(len(stretch.windows), 'day')}"


# -- picture and small print ------------------------------------------------------------------------------------


def picture(case: DaylightCase) -> Picture | None:
    """Draw the light of all days, and say the same."""
    days, zone, say = case.days, case.place.zone, case.asked.say
    if not days or zone is None:
        return None
    first, last = (say.day(days[n].date, weekday=False) for n in (0, -1))
    svg = light_picture(days, zone, case.clock_stretches, (first, last))
    step = Raster.of(len(days)).step_days
    rule = case.asked.inputs.get("light")
    white = "sun up" if isinstance(rule, str) else "light enough"
    columns = f" One column stands for {say.count(step, 'day')}." if step > 1 else ""
    text = (
        f"White: {white}. Grey: civil twilight{'' if isinstance(rule, str) else ' to light enough'}. Black: dark. "
        f"Lines: the window, {_walls(case)}. {_extremes(case)}{columns}"
    )
    return Picture(f"Light by date and hour, {first} to {last}" if len(days) > 1 else f"Light on {first}", svg, text)


def _walls(case: DaylightCase) -> str:
    say = case.asked.say
    walls = list(dict.fromkeys(window_words(say, stretch.wall) for stretch in case.clock_stretches))
    return " or ".join(walls) + " on the wall clock"


def _extremes(case: DaylightCase) -> str:
    """Say between which clock times sunrise and sunset move."""
    zone, parts = case.place.zone, []
    for word, kind in (("Sunrise", "sunrises"), ("Sunset", "sunsets")):
        times = [instant.astimezone(zone) for day in case.days for instant in getattr(day.sun, kind)]
        if times:
            early, late = min(times, key=datetime.time), max(times, key=datetime.time)
            between = dict.fromkeys(case.asked.say.clock_nearest(one) for one in (early, late))
            parts.append(f"{word} {TO.join(between)}.")
    return " ".join(parts) or "No sunrise or sunset."


def small_print(case: DaylightCase) -> Points:
    """Say how good the times are, and the caution."""
    rules = zone_rules_version()
    items = [
        "Printed to the minute; may be off by a minute or more even under ideal conditions (USNO).",
        "For sea level and a free horizon: hills, trees and buildings take light away.",
        f"Time-zone rules {rules.version}, {case.place.zone_key}. A camera clock may drift a minute a month, too.",
    ]
    if case.place.stands_by_city:
        items.append("The city’s coordinates are good to some kilometres, about a minute of sunrise.")
    return Points("How good this is", [*items, SUN_CAUTION])
