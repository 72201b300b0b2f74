"""The part "today" of a plan: what should be true at this moment, or at the one that was asked for."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

from webcalc.calc.card import forecast as card_forecast
from webcalc.calc.clip import frames as clip
from webcalc.calc.estimate import Estimate
from webcalc.calc.schedule.moment import Moment, Phase, moment
from webcalc.calc.schedule.zone import camera_to_utc, utc_to_camera
from webcalc.calc.visits.rules import VisitPlan
from webcalc.web.http.data import ends
from webcalc.web.http.page import Asked
from webcalc.web.shoot.visits import ShootVisits
from webcalc.web.words.answer import Fact, Facts, Text


def camera_moment(asked: Asked) -> datetime | None:
    """Return the moment to look at, on the camera clock.

    That is ``on`` where it was typed (site time; a date alone means the end of its window hours), else now. None while
    the camera clock's offset isn't known and now would have to be put on it.
    """
    shoot, typed = asked.old, asked.inputs.get("on")
    if shoot.schedule is None:
        return None
    if isinstance(typed, date) and not isinstance(typed, datetime):
        return shoot.schedule.window_on(typed)[1]
    if typed is not None:
        return shoot.place.site_to_camera(typed)
    offset = shoot.place.camera_offset
    return None if offset is None else utc_to_camera(asked.now, offset).replace(second=0, microsecond=0)


@dataclass(frozen=True)
class NextVisit:
    """The planned visit that comes next: its date, in how many days, and whether it only fetches the camera."""

    date: date
    days: int
    fetches: bool


def today_block(asked: Asked) -> tuple[dict[str, Any] | None, list[Facts | Text]]:
    """Return the data of the moment and what the page shows of it; None and nothing where it can't be told."""
    shoot, say, at = asked.old, asked.say, camera_moment(asked)
    if at is None or shoot.schedule is None:
        return None, []
    here = moment(shoot.schedule, shoot.recording, at)
    title = "Now" if asked.inputs.get("on") is None else "At that moment"
    used, left = _card_used(asked, here), _battery_left(asked, here)
    made_s = _clip_s(asked, here)
    visits, today = _visits(asked), _site_date(asked, at)
    coming = _next_visit(visits, today)
    data = {
        "at": shoot.place.dated(at),
        "phase": here.phase,
        "recording": here.phase is Phase.RECORDING,
        "files": here.counts.frames + here.counts.bursts,
        "frames": here.counts.stills,
        "motion_frames": here.counts.motion_frames,
        "bursts": here.counts.bursts,
        "card_used_bytes": ends(used),
        "battery_left_share": ends(left),
        "done_share": here.done_share,
        "clip_s": made_s,
        "next_window_at": shoot.place.dated(here.next_window_at),
        "next_visit_on": coming.date if coming else None,
        "days_to_next_visit": coming.days if coming else None,
    }
    if here.phase is Phase.BEFORE:
        begins = Fact("Not begun", f"starts {say.instant(here.next_window_at)}", f"camera clock {say.instant(at)}")
        return data, [Facts([begins], title)]
    facts = [
        Fact("Recording", _phase_words(asked, here), f"camera clock {say.instant(at)}"),
        Fact("Frames so far", say.number(here.counts.frames), f"{say.percent(here.done_share)} of the shoot"),
    ]
    if used:
        facts.append(Fact("On the card", say.size(used.expected), _range(say.size(used.low), say.size(used.high))))
    if left:
        facts.append(
            Fact("Battery left", say.percent(left.expected), _range(say.percent(left.low), say.percent(left.high)))
        )
    if made_s is not None:
        facts.append(Fact("Clip so far", say.clip(made_s)))
    if coming:
        facts.append(Fact("Next visit", say.day(coming.date), _until_words(asked, coming)))
    blocks: list[Facts | Text] = [Facts(facts, title)]
    if visits and any(visit.date < today for visit in visits.services) and (used or left):
        blocks.append(Text("Counted from the start, as if no visit had changed card or battery."))
    return data, blocks


def _site_date(asked: Asked, at: datetime) -> date:
    """Return the date at the site when the camera clock reads ``at``."""
    place = asked.old.place
    if place.zone is None or place.camera_offset is None:
        return at.date()
    return camera_to_utc(at, place.camera_offset).astimezone(place.zone).date()


def _visits(asked: Asked) -> VisitPlan | None:
    """Return the planned visits; None while nothing is known that would call for one."""
    visits = ShootVisits(asked.old)
    return None if visits.planner is None or visits.nothing_to_plan_by else visits.planner.plan()


def _next_visit(visits: VisitPlan | None, today: date) -> NextVisit | None:
    for visit in visits.visits if visits else ():
        if visit.date >= today:
            return NextVisit(visit.date, (visit.date - today).days, visit not in visits.services)
    return None


def _until_words(asked: Asked, coming: NextVisit) -> str:
    when = f"in {asked.say.count(coming.days, 'day')}" if coming.days else "that day"
    return f"{when}, to fetch the camera" if coming.fetches else when


def _range(low: str, high: str) -> str:
    return "" if low == high else f"{low} to {high}"


def _phase_words(asked: Asked, here: Moment) -> str:
    say = asked.say
    if here.phase is Phase.RECORDING:
        return f"yes, until {say.clock(here.window_ends_at)}"
    if here.next_window_at is not None:
        return f"no; next {say.instant(here.next_window_at)}"
    return "no; the shoot is over"


def _card_used(asked: Asked, here: Moment) -> Estimate[int] | None:
    shoot = asked.old
    if shoot.frame is None or shoot.schedule is None or not shoot.card_load_known:
        return None
    used = card_forecast.used_at(
        shoot.schedule, shoot.recording, shoot.frame, shoot.cluster_bytes, here.at, used_bytes=shoot.used_bytes
    ).used_bytes
    whole = shoot.card_bytes
    # A full card takes no more; what is kept free on it is a plan, the camera doesn't know of it.
    return used if whole is None else used.map(lambda size: min(size, whole))


def _battery_left(asked: Asked, here: Moment) -> Estimate[float] | None:
    return asked.old.battery.left_at(asked.old.recording, here.at)


def _clip_s(asked: Asked, here: Moment) -> Any:
    fps = asked.inputs.get("fps")
    if fps is None or "kept" in asked.inputs.errors:
        return None
    return clip.clip_s(clip.kept_frames(here.counts.stills, asked.old.kept_share), fps)
