"""Rows of the crew sheet: what is set, where the camera looks, what it shows if all goes by the plan."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise
from typing import Any

from markupsafe import Markup

from webcalc.calc.estimate import Estimate
from webcalc.calc.schedule.count import Counts, counts_between
from webcalc.calc.unknown import given, known, or_none
from webcalc.calc.visits.rules import Visit
from webcalc.web.http.data import ends
from webcalc.web.http.page import Asked
from webcalc.web.link.quantities import QUANTITIES
from webcalc.web.pictures.framing import aim_sketch
from webcalc.web.questions.daylight.words import window_words
from webcalc.web.questions.visits.words import range_words
from webcalc.web.words.answer import Fact
from webcalc.web.words.say import NBSP, Say
from webcalc.web.words.values import value_words

_STRETCHES = 8
_KEPT = "Set once, and never put forward or back while the shoot lasts."
_BY_VIEW = ("By the angle of view that lens and sensor give.",)
_BY_GROUND = ("By height, tilt and angle of view, over level ground.",)


def set_rows(asked: Asked) -> Iterator[Fact]:
    """Yield what to set in the camera's menu, its clock last."""
    shoot, say, inputs = asked.shoot, asked.say, asked.inputs
    has = inputs.has
    window, last, interval_s = or_none(shoot.window), or_none(shoot.last_day), or_none(shoot.interval_s)
    if interval_s is not None:
        how = ("Worked out from the clip: the longest that can be set and gives it.",) if shoot.interval_solved else ()
        yield Fact("Interval", say.length(interval_s), how=how)
    for name in ("burst", "motion", "fps"):
        if has(name):
            yield _typed(asked, name)
    if shoot.card.as_video is True:
        yield Fact("Recorded as", "one video file", "its rate can’t be changed later; a new file each day and at 4 GiB")
    pictured = ("size",) if shoot.card.as_video is True else ("size", "picture")
    if any(map(has, pictured)):
        words = [value_words(name, inputs.get(name), say) for name in pictured if has(name)]
        yield Fact("Picture", ", ".join(words))
    for name in ("aperture", "shutter"):
        if has(name):
            yield _typed(asked, name)
    if window is not None:
        over = ", over midnight" if window.crosses_midnight else ""
        yield Fact("Records", window_words(say, window), f"on the camera clock{over}")
    if has("days"):
        yield Fact("On", say.weekdays(inputs.get("days")))
    if has("first"):
        yield Fact("From", say.day(inputs.get("first")))
    if last is not None:
        yield Fact("To", say.day(last))
    if inputs.get("skip"):
        yield Fact("Not on", _skipped(asked))
    yield from _clock(asked)


def _typed(asked: Asked, name: str) -> Fact:
    return Fact(QUANTITIES[name].label, value_words(name, asked.inputs.get(name), asked.say))


def _clock(asked: Asked) -> Iterator[Fact]:
    """Yield by what the camera clock is set: the phone in the hand, where the site's zone tells what that shows."""
    room, say = asked.shoot.daylight, asked.say
    offset, settings = or_none(room.camera_offset), room.clock_settings(asked.now)
    if offset is None:
        return
    if not known(settings):
        yield Fact("Camera clock", say.offset(offset), "as planned; no summer time", (_KEPT,))
        return
    now, *later = settings
    words = [f"{say.offset(offset)}; a phone on {or_none(room.zone_key)} time"]
    words += [f"from {say.day(one.since, weekday=False)} {_less(say, one.minus)}" for one in later]
    clock, more = f"your phone’s time now, {_less(say, now.minus)}", f"{'; '.join(words)}. No summer time"
    how = f"{_KEPT} It keeps {say.offset(offset)}; a phone goes by the site’s time, which summer time moves."
    yield Fact("Camera clock", clock, more, (how,))


def _less(say: Say, minus: timedelta) -> str:
    seconds = int(abs(minus).total_seconds())
    return f"{'plus' if minus < timedelta(0) else 'minus'} {say.length(seconds) if seconds else '0 h'}"


def _skipped(asked: Asked) -> str:
    found = _runs(sorted(asked.inputs.get("skip")))
    words = [asked.say.days(*run) for run in found[:_STRETCHES]]
    more = len(found) - _STRETCHES
    if more > 0:
        words.append(f"and {asked.say.count(more, 'more stretch', 'more stretches')}")
    return "; ".join(words)


def _runs(days: list[date]) -> list[tuple[date, date]]:
    """Group dates in a row."""
    breaks = [(a, b) for a, b in pairwise(days) if b - a > timedelta(1)]
    return list(zip([days[0], *(b for _, b in breaks)], [*(a for a, _ in breaks), days[-1]], strict=True))


# -- where it looks ---------------------------------------------------------------------------------------------


def aim_rows(asked: Asked) -> Iterator[Fact]:
    """Yield where camera and panel look, as far as the plan says it."""
    if asked.inputs.errors:
        return
    shoot, say, has = asked.shoot, asked.say, asked.inputs.has
    optics, bearing = shoot.view, or_none(shoot.sunlight.bearing_deg)
    if has("camera_m"):
        yield Fact("Height", say.metres(asked.inputs.get("camera_m")), "above ground")
    if bearing is not None:
        by = "clockwise" if given(shoot.bearing) else "clockwise, from the landmark"
        yield Fact("Bearing", f"{say.degrees(bearing)} from true north", f"{by}; a needle shows magnetic north")
    if has("tilt"):
        yield Fact("Tilt", tilt_words(say, asked.inputs.get("tilt")))
    yield from _lens(asked)
    if has("distance_m"):
        width_m, share = or_none(optics.width_m), or_none(optics.subject_share)
        more = [f"the picture is {say.metres(width_m)} wide there"] if width_m is not None else []
        more += [f"it fills {say.percent(share)} of the height"] if share is not None else []
        yield Fact("Subject", f"{say.metres(asked.inputs.get('distance_m'))} away", "; ".join(more), _BY_VIEW)
    horizon = optics.horizon_share
    if has("tilt") and known(horizon):
        where = "not in the picture" if horizon is None else f"{say.percent(horizon)} down from the picture’s top"
        yield Fact("Horizon", where, "on level ground", _BY_GROUND)
    ground = optics.ground
    if has("tilt") and known(ground) and ground is not None:
        far = "the horizon" if ground.far_m is None else say.metres(ground.far_m)
        middle_m = or_none(optics.ground_middle_m)
        middle = "" if middle_m is None else f"{say.metres(middle_m)} in the middle; "
        behind = " behind the foot" if ground.near_m < 0 else ""
        yield Fact(
            "Level ground", f"{say.metres(abs(ground.near_m))}{behind} to {far}", f"{middle}from the foot", _BY_GROUND
        )
    if has("panel_w"):
        faces = value_words("panel_facing", asked.inputs.get("panel_facing") or "equator", say)
        tilted = f"tilted {say.degrees(asked.inputs.get('panel_tilt'))}, 0 flat" if has("panel_tilt") else ""
        yield Fact("Solar panel", f"faces {faces}", tilted)


def tilt_words(say: Say, degrees: Any) -> str:
    """Return a tilt as it is set."""
    if not degrees:
        return "level"
    return f"{say.degrees(abs(degrees))} {'down' if degrees < 0 else 'up'}"


def _lens(asked: Asked) -> Iterator[Fact]:
    optics, say, inputs = asked.shoot.view, asked.say, asked.inputs
    view, focal_mm = or_none(optics.view), or_none(optics.focal_mm)
    across = "" if view is None else f"{say.degrees(view.hfov_deg)} across, {say.degrees(view.vfov_deg)} high"
    if focal_mm is not None:
        yield Fact("Lens", say.unit(focal_mm, "mm"), across, _BY_VIEW)
    elif across:
        yield Fact("Lens", across, how=_BY_VIEW)
    if inputs.get("sensor_mm") or inputs.get("sensor"):
        name = "sensor_mm" if inputs.get("sensor_mm") else "sensor"
        yield _typed(asked, name)


def sketch(asked: Asked) -> Markup | None:
    """Return the framing as a small sketch; None where it would show no more than a frame."""
    optics, say = asked.shoot.view, asked.say
    size, horizon, ground = or_none(optics.size_px), or_none(optics.horizon_share), optics.ground
    if asked.inputs.errors or size is None or not given(asked.shoot.tilt) or not known(optics.horizon_share):
        return None
    top = middle = bottom = ""
    if known(ground) and ground is not None:
        middle_m = or_none(optics.ground_middle_m)
        top = "" if ground.far_m is None else say.metres(ground.far_m)
        middle = "" if middle_m is None else say.metres(middle_m)
        bottom = "" if ground.near_m < 0 else say.metres(ground.near_m)
    if horizon is None and not bottom:
        return None
    return aim_sketch(*size, horizon, (top, middle, bottom))


def aim_data(asked: Asked) -> dict[str, Any]:
    """Return where camera and panel look as data."""
    shoot, view = asked.shoot, or_none(asked.shoot.view.view)
    return {
        "bearing_deg": or_none(shoot.sunlight.bearing_deg),
        "tilt_deg": or_none(shoot.tilt),
        "camera_height_m": or_none(shoot.camera_m),
        "distance_m": or_none(shoot.distance_m),
        "focal_mm": or_none(shoot.view.focal_mm),
        "hfov_deg": view.hfov_deg if view else None,
        "vfov_deg": view.vfov_deg if view else None,
        "horizon_share": or_none(shoot.view.horizon_share) if given(shoot.tilt) else None,
        "panel_facing": asked.inputs.get("panel_facing") or None,
        "panel_tilt_deg": asked.inputs.get("panel_tilt"),
    }


#: After how much recording the crew may compare the camera with the plan.
CHECKED_AFTER = {"10 min": timedelta(minutes=10), "1 hour": timedelta(hours=1), "1 day": timedelta(days=1)}
#: Dates before the first visit on which somebody may come by; own choice, for one page of paper.
DATES = 4
_NOT_KNOWN = "not known"


@dataclass(frozen=True)
class Expected:
    """What the camera shows at a time: frames, what they take on the card at most, what is left of the battery."""

    data: Mapping[str, Any]
    when: str
    frames: str
    card: str
    battery: str = ""


def soon(asked: Asked) -> list[Expected]:
    """Return what the camera shows soon after the start; nothing where no frames are planned."""
    shoot, say, found = asked.shoot, asked.say, []
    schedule = None if asked.inputs.errors else or_none(shoot.schedule)
    recording, interval_s = or_none(shoot.recording), or_none(shoot.interval_s)
    if schedule is None or recording is None or interval_s is None or not schedule.recorded_dates:
        return []
    begin = schedule.window_on(schedule.recorded_dates[0])[0]
    for after, length in CHECKED_AFTER.items():
        counts = counts_between(schedule, recording, begin, begin + length)
        size = or_none(shoot.card.taken(begin, begin + length))
        words = range_words(size.map(say.size)) if size else _NOT_KNOWN
        data = {"after_s": length, "frames": counts.frames, "bursts": counts.bursts, "card_bytes": ends(size)}
        found.append(Expected(data, f"after {after}", _counted(say, counts, " frame"), words))
    return found


def by_date(asked: Asked, visits: Sequence[Visit]) -> list[Expected]:
    """Return what it shows on dates before the first of these visits, which are planned, and at each of them."""
    looks = () if asked.inputs.errors else or_none(asked.shoot.visits.looks(DATES)) or ()
    # A look at the end of the day on which somebody comes anyway says the same twice.
    before = [_row(asked, "after", look) for look in looks if not visits or look.date < visits[0].date]
    return [*before, *(_row(asked, "visit", visit) for visit in visits)]


def _row(asked: Asked, which: str, visit: Visit) -> Expected:
    """Return one date; the end that protects stands beside the expected value."""
    shoot, say = asked.shoot, asked.say
    # Four columns on the narrowest phone: a date may be broken there.
    when = f"{which} {say.day(visit.date, weekday=False)}".replace(NBSP, " ")
    card, left = visit.card_used_bytes, visit.battery_left_share
    on_card = "" if not shoot.card.kept else _with_end(card, say.size, "at most")
    battery = _with_end(left, say.percent, "at least") if shoot.battery.needed else ""
    data = {
        "at": shoot.visits.site_time(visit.at),
        "frames": visit.counts.frames,
        "bursts": visit.counts.bursts,
        "card_bytes": ends(card),
        "battery_left_share": ends(left),
        "visit": bool(visit.reasons),
    }
    return Expected(data, when, _counted(say, visit.counts), on_card, battery)


def _counted(say: Say, counts: Counts, unit: str = "") -> str:
    frames = say.count(counts.frames, "frame") if unit else say.number(counts.frames)
    return frames + (f", {say.count(counts.bursts, 'burst')}" if counts.bursts else "")


def _with_end(value: Estimate[Any] | None, write: Callable[[Any], str], which: str) -> str:
    """Return the expected value, and the end that protects where it reads otherwise."""
    if value is None:
        return _NOT_KNOWN
    expected, end = write(value.expected), write(value.high if which == "at most" else value.low)
    return expected if end == expected else f"{expected}, {which} {end}"
