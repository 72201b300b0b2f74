"""Does the motion read as smooth?"""

from __future__ import annotations

from fractions import Fraction

from webcalc.calc.formula import COMMON_PRACTICE, work
from webcalc.calc.optics import motion
from webcalc.calc.optics.motion import Fit, NeutralDensity, Pace
from webcalc.calc.optics.results import MotionResults, motion_results
from webcalc.calc.unknown import given, known, need, or_none
from webcalc.web.http.page import Asked, Group, Page
from webcalc.web.link.quantities import QUANTITIES
from webcalc.web.questions.framing import optics_notes
from webcalc.web.words.answer import (
    FAILS,
    HOLDS,
    LOOK,
    Answer,
    Fact,
    Facts,
    Points,
    Row,
    Table,
    Text,
    span,
    spread,
    unknown_names,
)
from webcalc.web.words.cautions import LOCAL_CODES, PEOPLE_IN_THE_PICTURE, SUN_IN_LENS
from webcalc.web.words.pictures import motion_itself
from webcalc.web.words.say import Say
from webcalc.web.words.values import solved_notes
from webcalc.web.words.working import How, picked

#: Above this share of the interval a camera may not be done writing before the next frame; common practice.
_FULL_SHARE = 0.8
#: Slower than this a speed is told by the day.
_SLOW_M_S = 1e-4


def answer(asked: Asked) -> Answer:
    """Say how far it moves between frames, which interval still reads as movement, and what to expose."""
    shoot, found = asked.shoot, motion_results(asked.shoot)
    by_speed = () if shoot.moving.by_stars is True else (shoot.moving.speed_m_s, shoot.moving.distances_m)
    by_speed += (shoot.moving.pace,) if shoot.moving.is_progress is True else ()
    needs = unknown_names(
        *(*by_speed, shoot.moving.is_progress, shoot.view.view, shoot.view.size_px),
        *(shoot.moving.px_per_s, shoot.interval_s),
    )
    reply = Answer(found, needs=needs, working=shoot.moving.workings())
    if known(shoot.moving.largest_interval_s) and known(shoot.moving.is_progress):
        _smooth(asked, reply)
        _steps(asked, found, reply)
        reply.add(None if shoot.moving.is_progress is True else motion_itself(asked, or_none(shoot.interval_s)))
    reply.notes.extend([*_taken_distance(asked), *solved_notes(shoot, asked.say), *optics_notes(shoot.view)])
    _conflict(asked, reply)
    reply.add(_intervals(asked))
    _exposure(asked, reply)
    reply.add(_cautions(asked))
    return reply


def _smooth(asked: Asked, reply: Answer) -> None:
    """Say whether it reads as movement at the fast end of the speeds, and the longest interval at which it does."""
    say, room = asked.say, asked.shoot.moving
    largest, interval_s = need(room.largest_interval_s), or_none(asked.shoot.interval_s)
    rule = f"{say.number(need(room.frames_across), 1)} frames to cross the picture"
    if not given(asked.shoot.across):
        rule += ", this project’s choice"
    if largest.low is None:
        reply.head("No limit", HOLDS, "Nothing moves across the picture.")
        return
    longest = say.brief(largest.low)
    if interval_s is None:
        reply.head(longest, LOOK, f"is the longest interval that still reads as movement: {rule}.")
        return
    interval, pace = say.length(interval_s), or_none(room.pace)
    if need(room.is_progress):
        _progress(asked, reply)
    elif pace is Pace.TOO_SLOW:
        told = f"Every {interval} it moves too little to be seen to move in the clip{_seen_from(asked)}."
        reply.head("Too slow to see", LOOK, told)
    elif pace is Pace.VARIES and need(room.reads(largest.low)):
        reply.head("Perhaps", LOOK, f"Every {interval} it is seen to move only if fast{_seen_from(asked)}.")
    elif need(room.reads(largest.low)):
        told = f"Every {interval} reads as movement; up to {longest} does, by the rule of {rule}."
        reply.head("It flows", HOLDS, told)
    elif need(room.reads(largest.high)):
        reply.figure, reply.tone = "Perhaps", LOOK
        slow = say.brief(largest.high)
        reply.sentence = f"Every {interval} reads as movement only if slow: at most {longest} if fast, {slow} if slow."
    elif or_none(room.jumps_as_usual):
        told = (
            f"Every {interval} single movements aren’t followed, which is usual for {_kind_words(asked)}: things come "
            f"and go. To follow them, at most {longest}."
        )
        reply.head("It jumps", LOOK, told)
    else:
        told = f"Every {interval} is too long to read as movement: at most {longest}, for {rule}."
        reply.head("It jumps", FAILS, told)


def _speed(say: Say, speed_m_s: float) -> str:
    """Write a speed; a slow one by the day."""
    by_day = 0 < speed_m_s < _SLOW_M_S
    return say.unit(speed_m_s * 86_400_000, "mm a day", 2) if by_day else say.unit(speed_m_s, "m/s")


def _seen_from(asked: Asked) -> str:
    """Write from which interval on it is seen to move, fast or slow."""
    smallest = need(asked.shoot.moving.smallest_interval_s)
    return "" if smallest.high is None else f"; from {asked.say.brief(smallest.high)} on surely"


def _kind_words(asked: Asked) -> str:
    return dict(QUANTITIES["kind"].kind.options)[asked.inputs.get("kind")]


def _taken_distance(asked: Asked) -> list[str]:
    """Say which distance is taken where none was typed."""
    distances = or_none(asked.shoot.moving.distances_m)
    if given(asked.shoot.distance_m) or distances is None or asked.shoot.moving.by_stars is True:
        return []
    ends = f"{asked.say.metres(distances.low)} to {asked.say.metres(distances.high)}"
    return [f"No distance was typed: {ends} is taken, usual for {_kind_words(asked)} ({COMMON_PRACTICE})."]


_PROGRESS = {
    Pace.FLOWS: ("It shows", HOLDS, ""),
    Pace.VARIES: ("Perhaps", LOOK, " It shows only if fast, or jumps."),
    Pace.TOO_SLOW: ("Too slow to see", LOOK, " Come nearer, take a longer lens, or make a shorter clip."),
    Pace.JUMPS: ("It jumps", FAILS, " Take more frames."),
}


def _progress(asked: Asked, reply: Answer) -> None:
    """Judge over the whole clip what is about what becomes of it."""
    say, room, pace = asked.say, asked.shoot.moving, or_none(asked.shoot.moving.pace)
    if pace is None:
        told = "is the longest interval. Whether it is seen to change takes the days of the shoot and the clip."
        reply.head(say.brief(need(room.largest_interval_s).low), LOOK, told)
        return
    reply.figure, reply.tone, advice = _PROGRESS[pace]
    moves, (width_px, _height), made = need(room.px_in_clip, asked.shoot.view.size_px, asked.shoot.clip_made)
    px = spread(lambda px: say.unit(px, "px", 2), moves)
    share = say.percent(moves.expected / width_px)
    reply.sentence = f"In the whole clip of {say.clip(made.clip_s)} it moves {px}, {share} of the width.{advice}"


def _steps(asked: Asked, found: MotionResults, reply: Answer) -> None:
    """Tell steps and crossing, and the speed they come from."""
    say, rows, frames = asked.say, [], found.crossing_frames_range
    progress, works = need(asked.shoot.moving.is_progress), reply.working
    crossing = picked(works, motion.crossing_frames)
    if found.px_per_interval_range is not None and frames is not None:
        step = span(lambda px: say.unit(px, "px", 2), found.px_per_interval_range)
        ends = "Range: the slowest far away to the fastest near."
        rows.append(Fact("Between frames", *step, (*picked(works, motion.px_per_interval, motion.star_px_per_s), ends)))
        if progress:
            pass  # Nothing crosses: it stays and changes.
        elif frames.high is not None and frames.high < 1:
            rows.append(Fact("Crosses in", "less than a frame", how=crossing))
        elif frames.expected is not None:
            rows.append(Fact("Crosses in", *span(lambda n: f"{say.figures(n, 2)} frames", frames), crossing))
            if found.crossing_clip_s_range is not None:
                values = {"crossing_frames": frames.expected, "fps": float(need(asked.shoot.fps))}
                shown = (work(motion.crossing_clip_s, **values),)
                rows.append(Fact("On screen for", *span(say.brief, found.crossing_clip_s_range), shown))
    if found.largest_interval_s is not None and not progress:
        how = picked(works, motion.largest_interval_s)
        rows.append(Fact("Longest interval", *span(say.brief, found.largest_interval_s_range), how))
    if need(asked.shoot.moving.by_stars):
        more = "a star on the celestial equator: the fastest"
        rows.append(Fact("Speed", "15°/h", more, ("360° in a turn of the earth of 23 h 56 min 4 s.",)))
    else:
        value, more = span(lambda speed: _speed(say, speed), found.speed_m_s_range)
        # How the source is known stands in the data.
        source = (found.speed_source or "").partition(" (")[0]
        usual = f"Usual for {_kind_words(asked)}, slow to fast; not measured." if not given(asked.shoot.speed) else ""
        rows.append(Fact("Speed", value, "; ".join(filter(None, (more, source))), (usual or "As typed.",)))
    reply.add(Facts(rows))


def _conflict(asked: Asked, reply: Answer) -> None:
    """Say plainly where the clip and the kind ask for different intervals."""
    fit, say = or_none(asked.shoot.moving.fit), asked.say
    if fit is None:
        return
    ends = f"{say.length(fit.usual_s.low)} to {say.length(fit.usual_s.high)}"
    usual = f"{ends} is usual for {_kind_words(asked)} ({COMMON_PRACTICE})"
    clip = f"The clip asks for {say.length(fit.clip_interval_s)}"
    times = f"{say.figures(fit.factor, 2)} times"
    if fit.fit is Fit.WITHIN:
        reply.add(Text(f"{clip}; {usual}: they agree.", HOLDS))
    elif fit.fit is Fit.LONGER:
        reply.add(
            Text(f"{clip}, {times} longer than fits: {usual}. Shorter means a longer clip, or fewer hours.", LOOK)
        )
    else:
        reply.add(Text(f"{clip}, {times} shorter than needed: {usual}. It will look slow.", LOOK))


def _intervals(asked: Asked) -> Table | None:
    """Put the intervals to choose from side by side, each a step to it."""
    say, shoot, room = asked.say, asked.shoot, asked.shoot.moving
    kind, for_clip, still_flows = or_none(room.kind), or_none(room.clip_interval_s), or_none(room.rule_interval_s)
    if or_none(room.is_progress):
        still_flows = None
    usual = Fraction(kind.interval_s.expected) if kind else None
    offers: dict[Fraction, list[str]] = {}
    for interval_s, why in ((usual, "usual"), (for_clip, "for the clip"), (still_flows, "still flows")):
        if interval_s is not None:
            offers.setdefault(interval_s, []).append(why)
    if not offers:
        return None
    rows, here_s = [], or_none(shoot.interval_s)
    for interval_s, reasons in sorted(offers.items()):
        step_px, made = or_none(room.step_px(interval_s)), or_none(shoot.clip_at(interval_s))
        chosen = interval_s == here_s
        cells = (
            say.length(interval_s),
            ", ".join(reasons),
            _step_cell(asked, step_px.expected) if step_px else "–",
            say.clip(made.clip_s) if made else "–",
        )
        rows.append(Row(cells, chosen, "" if chosen else asked.url("motion", interval=interval_s)))
    note = f"Usual for the kind: {COMMON_PRACTICE}." if kind and not or_none(room.fit) else ""
    return Table("Use one of these", ("Interval", "Why", "Step", "Clip"), rows, note)


def _step_cell(asked: Asked, step_px: float) -> str:
    """Write a step; one that leaves the picture as more than its width."""
    width_px = need(asked.shoot.view.size_px)[0]
    return f"> {asked.say.unit(width_px, 'px')}" if step_px > width_px else asked.say.unit(step_px, "px", 2)


def _exposure(asked: Asked, reply: Answer) -> None:
    """Tell blur, the exposure for the wanted share, and the filter for it."""
    say, shoot, room, rows = asked.say, asked.shoot, asked.shoot.moving, []
    blur, shutter_s, wanted_s = or_none(room.blur_px), or_none(room.shutter_s), or_none(room.exposure_wanted_s)
    density, interval_s = _filter(asked), or_none(shoot.interval_s)
    if blur is not None:
        step = or_none(room.px_per_interval) or need(room.px_per_s)
        values = {"px_per_interval": step.expected, "interval_s": interval_s or 1, "exposure_s": shutter_s}
        how, at = (work(motion.blur_px, **values),), say.exposure(need(shoot.shutter))
        rows.append(Fact(f"Blur at {at}", *span(lambda px: say.unit(px, "px", 2), blur), how))
        reply.working.extend(how)
    if wanted_s is not None:
        share = say.percent(need(room.exposed_share))
        more = f"180° of shutter; {COMMON_PRACTICE}" if not given(shoot.exposed) else ""
        values = {"share": need(room.exposed_share), "interval_s": float(need(shoot.interval_s))}
        how = (work(motion.exposure_for_share_s, **values),)
        if or_none(room.exposure_proposed_s) is None:
            dark = f"{share} of the interval, {say.brief(wanted_s)}, is for the dark"
            rows.append(Fact("Exposure", "as metered", dark, how))
        else:
            rows.append(Fact(f"{share} of the interval", say.brief(wanted_s), more, how))
    if density is not None:
        stops = work(motion.nd_stops, metered_s=shutter_s, wanted_s=wanted_s)
        how = (stops, work(motion.nd_density, stops=density.stops))
        rows.extend(_filter_rows(density, say, how))
        reply.working.extend(how)
    if rows and (known(room.px_per_s) or density is not None):
        reply.add(Facts(rows, "Exposure"))
    if shutter_s is not None and interval_s is not None and shutter_s >= interval_s:
        reply.add(Text("The exposure is as long as the interval or longer: frames will be missing.", FAILS))
    elif density is not None and need(room.exposed_share) > _FULL_SHARE:
        reply.add(Text("Leave the camera time to write a frame before the next one.", LOOK))


def _filter(asked: Asked) -> NeutralDensity | None:
    """Return the filter for the exposure that is proposed; None where none is."""
    room = asked.shoot.moving
    return or_none(room.density) if or_none(room.exposure_proposed_s) is not None else None


def _filter_rows(found: NeutralDensity, say: Say, how: How) -> list[Fact]:
    """Tell the exact need in stops and density, and the filter as sold."""
    if found.stops <= 0:
        return [Fact("Neutral density", "none", f"light is short of it by {say.number(-found.stops, 1)} stops", how)]
    exact = f"density {say.number(found.density, 2)} exactly, {say.number(found.nominal_density, 2)} at 0.3 a stop"
    rows = [Fact("Neutral density", f"{say.number(found.stops, 1)} stops", exact, how)]
    if found.whole_stops:
        sold = f"{say.count(found.whole_stops, 'stop')} (density {say.number(found.whole_density, 1)})"
        whole = ("Filters are sold by whole stops: the exposure makes up for the rest.", *how)
        rows.append(Fact("Filter", sold, f"then expose {say.exposure(found.exposure_s)}", whole))
    return rows


def _cautions(asked: Asked) -> Points | None:
    """Return what to mind with filters and with people in the picture."""
    items, density = [], _filter(asked)
    if density is not None and density.whole_stops:
        items.append(f"{SUN_IN_LENS} Such a filter doesn’t change that.")
    if asked.inputs.get("kind") in ("people", "traffic", "site_machines", "building"):
        items.append(PEOPLE_IN_THE_PICTURE)
    if not items:
        return None
    return Points("Cautions", [*items, LOCAL_CODES], folded=True)


MOTION = Page(
    "motion",
    "Motion",
    "Does the motion read as smooth?",
    ("kind", "distance_m", "interval", "shutter"),
    answer,
    (
        Group("Speed and direction", ("speed", "direction", "across")),
        Group("Lens and picture", ("sensor", "focal_mm", "focal_eq_mm", "hfov", "size", "projection")),
        Group("Exposure and clip", ("exposed", "clip")),
    ),
    moment="mast",
    parts=(),
    results=MotionResults,
    scripts=("exif.js",),
)
