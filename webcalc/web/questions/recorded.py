"""What is really on the card? A listing of its files beside the plan; nothing of it is kept."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime
from fractions import Fraction
from math import ceil

from flask import Blueprint, current_app, jsonify, render_template, request
from flask.typing import ResponseReturnValue

from webcalc.calc.recorded.files import hourly_means
from webcalc.calc.recorded.shoot import RecordedResults, ShootRecorded, recorded_results
from webcalc.calc.recorded.stories import Story, Told
from webcalc.calc.unknown import or_none
from webcalc.web.http.arrival import local_today
from webcalc.web.http.page import Asked, Page, data_body
from webcalc.web.link.inputs import read_inputs
from webcalc.web.link.listing import MOST_FILES, Listing, read_listing
from webcalc.web.link.quantities import QUANTITIES
from webcalc.web.pictures.recorded import recorded_picture
from webcalc.web.words.answer import FAILS, HOLDS, LOOK, Answer, Fact, Facts, Picture, Points, Row, Table, Text, span
from webcalc.web.words.say import Say, say_for

_STORIES = {
    Story.AS_PLANNED: "It went as planned",
    Story.STOPPED: "It stopped",
    Story.STOPPED_CARD_FULL: "It stopped as the card was full",
    Story.OTHER_INTERVAL: "Another interval was set",
    Story.OTHER_HOURS: "Other hours were set",
    Story.OTHER_WEEKDAYS: "Other weekdays were set",
    Story.LATE_START: "It began late",
    Story.CLOCK_OFFSET: "Its clock was off",
    Story.CLOCK_SUMMER_TIME: "Its clock changed by an hour",
}
#: Gaps and days that are told one by one.
_MOST_TOLD = 30
_MB = 1_000_000
#: Larger frames than this no link takes.
_LARGEST_MB = QUANTITIES["frame_mb"].kind.high


def recorded_answer(asked: Asked, listing: Listing | None) -> Answer:
    """Say what was recorded, what is missing and since when; without a listing, what to do."""
    if listing is None:
        return Answer(RecordedResults(), sentence="Choose the card’s files, or paste a listing of them.")
    room = ShootRecorded(asked.shoot, listing.files)
    found = recorded_results(room, listing.others)
    reply = Answer(found, notes=_doubts(found, listing))
    if not found.frames:
        return reply.head("No picture", FAILS, "In this listing no line has a picture’s name or a time.")
    _headline(asked, room, found, reply)
    _facts(asked, found, reply)
    reply.add(_picture(asked, room, found), _gaps(asked.say, found), _days(asked.say, found))
    _stories(asked.say, found, reply)
    _sizes(asked, room, found, reply)
    _from_now_on(asked, found, reply)
    return reply


def _doubts(found: RecordedResults, listing: Listing) -> list[str]:
    """Say what can't be trusted."""
    doubts = []
    if found.frames and not found.times_trusted:
        doubts.append(
            "These times can’t be those of recording: copying, or the chooser of the phone, put new ones in their "
            "place. Only number and sizes count here."
        )
    elif found.stamp_s == 60 and found.frames > 2:
        doubts.append("The times have no seconds: intervals and gaps are as near as that.")
    if found.frames:
        doubts.append("Times are taken as the camera’s own clock, as cards keep them: local time, without a zone.")
    if listing.unread:
        doubts.append(f"{listing.unread} lines say nothing of a file and were left out.")
    if listing.cut:
        doubts.append(f"Only the first {MOST_FILES} files were read.")
    return doubts


def _headline(asked: Asked, room: ShootRecorded, found: RecordedResults, reply: Answer) -> None:
    say, frames = asked.say, asked.say.count(found.frames, "frame")
    reply.figure = frames
    if found.missing is None:
        reply.tone = LOOK
        why = "their times can’t be trusted" if not found.times_trusted else "no single interval was kept"
        reply.sentence = f"Whether any are missing isn’t known: {why}."
        return
    against = "the plan" if found.by_plan else "their own hours: no plan came along"
    begin = f"{say.instant(found.first_at)} to {say.instant(found.last_at)}"
    if not found.missing:
        reply.tone = HOLDS if found.by_plan and not found.unplanned else LOOK
        reply.sentence = f"None is missing against {against}. {begin}."
    else:
        reply.tone, longest = FAILS, max(found.gaps, key=lambda gap: gap.missing)
        are = f"{say.number(found.missing)} {'is' if found.missing == 1 else 'are'} missing against {against}"
        span_words = f"from {say.instant(longest.from_)} to {say.instant(longest.until)}"
        reply.sentence = f"{are}, most of them ({say.number(longest.missing)}) {span_words}."
    if found.unplanned:
        reply.points.append(Text(f"{say.count(found.unplanned, 'frame')} lie outside the planned hours.", LOOK))
    if found.by_plan and not asked.inputs.has("at"):
        words = "Whether it stopped after the last frame or the card was taken out then isn’t known: say when it was."
        reply.points.append(Text(words, LOOK))


def _facts(asked: Asked, found: RecordedResults, reply: Answer) -> None:
    say, rows = asked.say, []
    planned_s = or_none(asked.shoot.interval_s)
    if found.interval_likely_s is not None:
        other = planned_s is not None and planned_s != found.interval_likely_s
        planned = f"{say.length(planned_s)} planned" if other else ""
        rows.append(Fact("Interval kept", say.brief(found.interval_likely_s), planned))
    if found.from_ is not None and found.until is not None:
        rows.append(Fact("Hours", f"{say.clock(found.from_)}–{say.clock_end(found.until)}", "camera clock"))
    if found.days_missing:
        rows.append(Fact("Days without a frame", say.number(len(found.days_missing))))
    if found.days_late or found.days_early:
        late, early = say.number(len(found.days_late)), say.number(len(found.days_early))
        rows.append(Fact("Begun late, ended early", f"{late}, {early}", "days"))
    if found.rolled_over:
        rows.append(Fact("Numbers began again", say.count(found.rolled_over, "time")))
    if found.numbers_left_out:
        left_out = say.number(found.numbers_left_out)
        rows.append(Fact("Numbers without a file", left_out, "deleted, or not in the listing"))
    if found.broken:
        rows.append(Fact("Empty or far too small", say.count(found.broken, "file")))
    if found.frame_bytes is not None:
        rows.append(Fact("A frame", *span(say.size, found.frame_bytes)))
    if found.other_files:
        rows.append(Fact("Other files", say.number(found.other_files), "no pictures"))
    reply.add(Facts(rows))


def _picture(asked: Asked, room: ShootRecorded, found: RecordedResults) -> Picture | None:
    if not room.hours or found.first_at is None or found.last_at is None:
        return None
    daylight, schedule = asked.shoot.daylight, room.schedule
    days, zone, stretches = or_none(daylight.days), or_none(daylight.zone), or_none(daylight.clock_stretches)
    by_plan = found.by_plan and schedule is not None
    first = schedule.first if by_plan and schedule else found.first_at.date()
    last = schedule.last if by_plan and schedule else found.last_at.date()
    light = (days, zone, stretches) if by_plan and days and zone and stretches else None
    ends = (asked.say.day(first, weekday=False), asked.say.day(last, weekday=False))
    svg = recorded_picture(room.hours, first, last, ends, light)
    words = "Hours down, dates across. Wide: recorded. Thin and red: missing. Dotted: not planned."
    return Picture("What was recorded", svg, f"{words} {'Behind it the light.' if light else ''}".strip())


def _gaps(say: Say, found: RecordedResults) -> Table | None:
    if not found.gaps:
        return None
    told = sorted(sorted(found.gaps, key=lambda gap: -gap.missing)[:_MOST_TOLD], key=lambda gap: gap.from_)
    rows = [Row((say.instant(gap.from_), say.instant(gap.until), say.number(gap.missing))) for gap in told]
    left = len(found.gaps) - len(told)
    note = f"The {say.number(len(told))} largest; {say.number(left)} more in the data." if left else ""
    return Table("Gaps", ("Last frame before", "First after", "Missing"), rows, note)


def _days(say: Say, found: RecordedResults) -> Points | None:
    groups = (
        ("Without a frame", found.days_missing),
        ("Begun late", found.days_late),
        ("Ended early", found.days_early),
    )
    items = [f"{label}: {_dates(say, days)}" for label, days in groups if days]
    return Points("Days", items, folded=True) if items else None


def _dates(say: Say, days: Sequence[date]) -> str:
    told = ", ".join(say.day(day) for day in days[:_MOST_TOLD])
    return f"{told} and {say.number(len(days) - _MOST_TOLD)} more." if len(days) > _MOST_TOLD else f"{told}."


def _stories(say: Say, found: RecordedResults, reply: Answer) -> None:
    if len(found.stories) > 1:
        items = [f"{_story(say, told, found)}: {say.percent(told.fit)} of the frames agree" for told in found.stories]
        reply.add(Points("What it points to, the best fit first", items))


def _story(say: Say, told: Told, found: RecordedResults) -> str:
    words = _STORIES[told.code]
    if told.code is Story.OTHER_INTERVAL:
        return f"{words}: {say.brief(found.interval_likely_s)}"
    return f"{words}, {say.instant(told.at)}" if told.at is not None else words


def _sizes(asked: Asked, room: ShootRecorded, found: RecordedResults, reply: Answer) -> None:
    say = asked.say
    if found.size_changed_on is not None and found.size_factor is not None:
        dull = ": a lens that is dirty or fogged makes them small" if found.size_factor < 1 else ""
        times = say.figures(found.size_factor, 2)
        reply.add(Text(f"From {say.day(found.size_changed_on)} on frames are {times} times as large{dull}.", LOOK))
    hours = hourly_means(room.frames.files) if found.times_trusted else {}
    if len(hours) > 1:
        rows = [Row((say.clock(datetime.min.replace(hour=hour)), say.size(mean))) for hour, mean in hours.items()]
        reply.add(Table("A frame by hour of the day", ("From", "Mean"), rows, folded=True))


def _from_now_on(asked: Asked, found: RecordedResults, reply: Answer) -> None:
    """Offer what was measured, for the plan."""
    changes, told, say = {}, [], asked.say
    if found.frame_bytes is not None and 0 < found.frame_bytes.high <= _LARGEST_MB * _MB:
        # Up, so that a card isn't told to hold more than it does.
        mean, largest = (
            Fraction(ceil(max(1, size) * 1000 / _MB), 1000)
            for size in (found.frame_bytes.expected, found.frame_bytes.high)
        )
        changes |= {"frame_mb": mean, "frame_mb_max": largest if largest > mean else None}
        told.append(say.size(found.frame_bytes.expected))
        if largest > mean:
            told.append(f"up to {say.size(found.frame_bytes.high)} on the largest day")
    if found.interval_likely_s is not None and found.interval_likely_s != or_none(asked.shoot.interval_s):
        changes["interval"] = found.interval_likely_s
        told.append(f"every {say.brief(found.interval_likely_s)}")
    if changes:
        step = str(asked.url("plan", **changes))
        reply.add(Text("", href=step, link_words=f"Use these from now on: {', '.join(told)}"))
    full = found.card_full_at
    if full is not None and full.low is not None:
        reply.add(Text(f"With frames like these a card put in now is full {say.instant(full.low)} at the earliest."))


recorded = Blueprint("recorded", __name__)

#: Longest listing that is shown again, in characters.
_SHOWN_AGAIN = 20_000
#: Which number of 01/03/2027 is the day: text in the form, meaning.
READINGS = {"day": True, "month": False}

RECORDED = Page(
    "recorded",
    "On the card",
    "What is really on the card?",
    (),
    lambda _asked: Answer(),
    parts=(),
    results=RecordedResults,
)


def _ask() -> Asked:
    """Read the plan of the address; when the card was taken out may be typed beside the listing."""
    now: datetime = current_app.config["NOW"]()
    pairs = list(request.args.items(multi=True))
    if "at" in request.form:
        pairs = [*(pair for pair in pairs if pair[0] != "at"), ("at", request.form["at"].strip())]
    inputs = read_inputs(pairs, local_today(now))
    return Asked(RECORDED, inputs, now, say_for(inputs, request.accept_languages))


def _listing(asked: Asked) -> Listing | None:
    text = request.form.get("listing", "").strip()
    if not text:
        return None
    return read_listing(text, local_today(asked.now), READINGS.get(request.form.get("reading", "")))


@recorded.route("/recorded", methods=["GET", "POST"])
def view() -> ResponseReturnValue:
    """Answer as a page; without a listing, ask for one."""
    asked = _ask()
    listing = _listing(asked)
    answer, text = recorded_answer(asked, listing), request.form.get("listing", "")
    return render_template(
        "recorded.html",
        answer=answer,
        listing=listing,
        reading=request.form.get("reading", ""),
        # Nothing of a whole card's is shown again, which would be sent back for nothing.
        text=text if len(text) <= _SHOWN_AGAIN else "",
        at=asked.inputs.typed.get("at", ""),
        errors=dict(asked.inputs.errors),
        query=asked.inputs.query(),
    )


@recorded.route("/recorded.json", methods=["GET", "POST"])
def data() -> ResponseReturnValue:
    """Answer as data; 422 where there is no picture in the listing, or an input is wrong."""
    asked = _ask()
    listing = _listing(asked)
    answer = recorded_answer(asked, listing)
    body = {**data_body(asked, answer), "needs": [] if listing else ["listing"]}
    wrong = bool(asked.inputs.errors) or not listing or not listing.files
    return jsonify(body), 422 if wrong else 200
