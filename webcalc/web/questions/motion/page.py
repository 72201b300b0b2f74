"""Does the motion read as smooth?"""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from typing import Any

from webcalc.calc.estimate import Estimate
from webcalc.calc.formula import COMMON_PRACTICE, work
from webcalc.calc.optics import motion
from webcalc.calc.optics.motion import Fit
from webcalc.web.http.page import Asked, Group, Page
from webcalc.web.link.quantities import QUANTITIES
from webcalc.web.questions.framing import optics_notes
from webcalc.web.questions.motion.case import MotionCase
from webcalc.web.words.answer import FAILS, HOLDS, LOOK, Answer, Fact, Facts, Points, Row, Table, Text
from webcalc.web.words.cautions import LOCAL_CODES, people_in_the_picture, sun
from webcalc.web.words.say import Say
from webcalc.web.words.solved import solved_notes

#: Above this share of the interval a camera may not be done writing before the next frame; common practice.
_FULL_SHARE = 0.8


def answer(asked: Asked) -> Answer:
    """Say how far it moves between frames, which interval still reads as movement, and what to expose."""
    case = MotionCase(asked)
    if case.is_wrong:
        return Answer(case.results())
    reply = Answer(case.results(), needs=case.needs, working=case.workings())
    if case.px_per_s is not None:
        _verdict(case, reply)
        _steps(case, reply)
    reply.notes.extend([*solved_notes(asked.shoot, asked.say), *optics_notes(case.optics)])
    _conflict(case, reply)
    reply.add(_intervals(case))
    _exposure(case, reply)
    reply.add(_cautions(case))
    return reply


def _range(say_end: Callable[[Any], str], estimate: Estimate[Any]) -> tuple[str, str]:
    """Return the expected value, and the range where there is one."""
    low, expected, high = (say_end(end) for end in (estimate.low, estimate.expected, estimate.high))
    return expected, "" if low == high else f"{low} to {high}"


def _verdict(case: MotionCase, reply: Answer) -> None:
    """Say whether it reads as movement at the fast end of the speeds, and the longest interval at which it does."""
    say, largest = case.asked.say, case.largest_interval_s
    rule = f"{say.number(case.frames_across, 1)} frames to cross the picture"
    if not case.inputs.has("across"):
        rule += ", this project’s choice"
    if largest.low is None:
        reply.figure, reply.tone = "No limit", HOLDS
        reply.sentence = "Nothing moves across the picture."
        return
    longest = say.brief(largest.low)
    if case.interval_s is None:
        reply.figure, reply.tone = longest, LOOK
        reply.sentence = f"is the longest interval that still reads as movement: {rule}."
        return
    interval = say.length(case.interval_s)
    if case.reads(largest.low):
        reply.figure, reply.tone = "It flows", HOLDS
        reply.sentence = f"Every {interval} reads as movement; up to {longest} does, by the rule of {rule}."
    elif case.reads(largest.high):
        reply.figure, reply.tone = "Perhaps", LOOK
        slow = say.brief(largest.high)
        reply.sentence = f"Every {interval} reads as movement only if slow: at most {longest} if fast, {slow} if slow."
    else:
        reply.figure, reply.tone = "It jumps", FAILS
        reply.sentence = f"Every {interval} is too long to read as movement: at most {longest}, for {rule}."


def _steps(case: MotionCase, reply: Answer) -> None:
    """Tell steps and crossing, and the speed they come from."""
    say, rows = case.asked.say, []
    if case.px_per_interval is not None:
        rows.append(
            Fact("Between frames", *_range(lambda px: say.unit(px, "px", 2), case.px_per_interval)),
        )
        frames = case.crossing_frames
        if frames.high is not None and frames.high < 1:
            rows.append(Fact("Crosses in", "less than a frame"))
        elif frames.expected is not None:
            rows.append(Fact("Crosses in", *_range(lambda n: f"{say.figures(n, 2)} frames", frames)))
            if case.crossing_clip_s is not None:
                rows.append(Fact("On screen for", *_range(say.brief, case.crossing_clip_s)))
    if case.largest_interval_s.expected is not None:
        rows.append(Fact("Longest interval", *_range(say.brief, case.largest_interval_s)))
    if case.by_stars:
        rows.append(Fact("Speed", "15°/h", "a star on the celestial equator: the fastest"))
    else:
        value, more = _range(lambda speed: say.unit(speed, "m/s"), case.speed_m_s)
        # How the source is known stands in the data.
        source = "" if case.inputs.has("speed") else case.kind.speed_source.partition(" (")[0]
        rows.append(Fact("Speed", value, "; ".join(filter(None, (more, source)))))
    reply.add(Facts(rows))


def _conflict(case: MotionCase, reply: Answer) -> None:
    """Say plainly where the clip and the kind ask for different intervals."""
    fit, say = case.fit, case.asked.say
    if fit is None:
        return
    kind = dict(QUANTITIES["kind"].kind.options)[case.inputs.get("kind")]
    usual = f"{say.length(fit.usual_s.low)} to {say.length(fit.usual_s.high)} is usual for {kind} ({COMMON_PRACTICE})"
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


def _intervals(case: MotionCase) -> Table | None:
    """Put the intervals to choose from side by side, each a step to it."""
    asked, say = case.asked, case.asked.say
    offers: dict[Fraction, list[str]] = {}
    if case.kind is not None:
        offers.setdefault(Fraction(case.kind.interval_s.expected), []).append("usual")
    if case.clip_interval_s is not None:
        offers.setdefault(case.clip_interval_s, []).append("for the clip")
    if case.rule_interval_s is not None:
        offers.setdefault(case.rule_interval_s, []).append("still flows")
    if not offers:
        return None
    rows = []
    for interval_s, reasons in sorted(offers.items()):
        step_px = case.step_px(interval_s)
        chosen = interval_s == case.interval_s
        cells = (
            say.length(interval_s),
            ", ".join(reasons),
            _step_cell(case, step_px.expected) if step_px else "–",
            say.clip(case.clip_at(interval_s)) if case.clip_at(interval_s) is not None else "–",
        )
        rows.append(Row(cells, chosen, "" if chosen else asked.url("motion", interval=interval_s)))
    note = f"Usual for the kind: {COMMON_PRACTICE}." if case.kind and not case.fit else ""
    return Table("Use one of these", ("Interval", "Why", "Step", "Clip"), rows, note)


def _step_cell(case: MotionCase, step_px: float) -> str:
    """Write a step; one that leaves the picture as more than its width."""
    if step_px > case.width_px:
        return f"> {case.asked.say.unit(case.width_px, 'px')}"
    return case.asked.say.unit(step_px, "px", 2)


def _exposure(case: MotionCase, reply: Answer) -> None:
    """Tell blur, the exposure for the wanted share, and the filter for it."""
    say, rows = case.asked.say, []
    if case.blur_px is not None:
        value, more = _range(lambda px: say.unit(px, "px", 2), case.blur_px)
        rows.append(Fact(f"Blur at {say.exposure(case.inputs.get('shutter'))}", value, more))
        reply.working.append(
            work(
                motion.blur_px,
                px_per_interval=(case.px_per_interval or case.px_per_s).expected,
                interval_s=case.interval_s or 1,
                exposure_s=case.shutter_s,
            )
        )
    if case.exposure_s is not None:
        share = say.percent(case.exposed_share)
        more = f"180° of shutter; {COMMON_PRACTICE}" if not case.inputs.has("exposed") else ""
        rows.append(Fact(f"{share} of the interval", say.brief(case.exposure_s), more))
    if case.density is not None:
        rows.extend(_filter_rows(case, say))
        reply.working.append(work(motion.nd_stops, metered_s=case.shutter_s, wanted_s=case.exposure_s))
        reply.working.append(work(motion.nd_density, stops=case.density.stops))
    if rows and (case.px_per_s is not None or case.density is not None):
        reply.add(Facts(rows, "Exposure"))
    if case.shutter_s is not None and case.interval_s is not None and case.shutter_s >= case.interval_s:
        reply.add(Text("The exposure is as long as the interval or longer: frames will be missing.", FAILS))
    elif case.density is not None and case.exposed_share > _FULL_SHARE:
        reply.add(Text("Leave the camera time to write a frame before the next one.", LOOK))


def _filter_rows(case: MotionCase, say: Say) -> list[Fact]:
    """Tell the exact need in stops and density, and the filter as sold."""
    found = case.density
    if found.stops <= 0:
        return [Fact("Neutral density", "none", f"light is short of it by {say.number(-found.stops, 1)} stops")]
    exact = f"density {say.number(found.density, 2)} exactly, {say.number(found.nominal_density, 2)} at 0.3 a stop"
    rows = [Fact("Neutral density", f"{say.number(found.stops, 1)} stops", exact)]
    if found.whole_stops:
        sold = f"{say.count(found.whole_stops, 'stop')} (density {say.number(found.whole_density, 1)})"
        rows.append(Fact("Filter", sold, f"then expose {say.exposure(found.exposure_s)}"))
    return rows


def _cautions(case: MotionCase) -> Points | None:
    """Return what to mind with filters and with people in the picture."""
    items = []
    if case.density is not None and case.density.whole_stops:
        items.append(f"{sun()} Such a filter doesn’t change that.")
    if case.inputs.get("kind") in ("people", "traffic", "site_machines"):
        items.append(people_in_the_picture())
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
        Group("Lens and picture", ("sensor", "focal_mm", "focal_eq_mm", "hfov", "size")),
        Group("Exposure and clip", ("exposed", "clip")),
    ),
    moment="mast",
    parts=(),
)
