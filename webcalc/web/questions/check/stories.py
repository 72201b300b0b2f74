"""What may have happened, said to somebody at the camera."""

from __future__ import annotations

from webcalc.calc.estimate import Estimate
from webcalc.calc.onsite.fit import GOES_AS_PLANNED, MOST_TOLD, Reading, Story, TellsApart
from webcalc.calc.onsite.life import Code
from webcalc.calc.onsite.shoot import ShootLook
from webcalc.calc.unknown import need
from webcalc.web.http.page import Asked
from webcalc.web.questions.check.words import since_change
from webcalc.web.words.answer import Points
from webcalc.web.words.say import Say

_NTH = ("", "first", "second", "third", "fourth")


def told(asked: Asked, look: ShootLook) -> Points | None:
    """Return the stories in order of fit, and what would tell the first two apart; None where all is as planned.

    A clock that summer time put off as expected stands in the sentence of the page.
    """
    stories = need(look.stories)
    if not stories or (stories[0].code in GOES_AS_PLANNED and not need(look.comparison).doubts):
        return None
    told = [f"{story_words(asked, look, story)}." for story in stories[:MOST_TOLD]]
    apart = need(look.apart)
    if apart is not None:
        told.append(apart_words(asked.say, apart))
    return Points("What may have happened, the likeliest first", told)


def story_words(asked: Asked, look: ShootLook, story: Story) -> str:
    """Say one story in a sentence without its stop."""
    say, life, code = asked.say, story.life, story.code
    at = say.instant(story.at) if story.at else ""
    words = {
        Code.AS_PLANNED: "All as planned",
        Code.STOPPED_CARD_FULL: f"It stopped {at}: the card was full",
        Code.STOPPED_BATTERY_EMPTY: f"It stopped {at}: the battery was empty",
        Code.STOPPED: f"It stopped {at}; nothing read says why",
        Code.PAUSED: "It was off for a while in between, without power perhaps",
        Code.OTHER_INTERVAL: f"It takes a frame every {say.length(life.recording.interval_s)}",
        Code.OTHER_HOURS: f"It records {say.clock(life.schedule.window.start)} to "
        f"{say.clock_end(life.schedule.window.end)}, {say.length(life.schedule.window.length_s)} a day",
        Code.OTHER_WEEKDAYS: f"It records on other weekdays: {say.weekdays(life.schedule.weekdays)}",
        Code.LATE_START: f"It began late: {at}",
        Code.LARGER_FRAMES: f"Its frames are larger, {say.figures(life.size)} × planned",
        Code.SMALLER_FRAMES: f"Its frames are smaller, {say.figures(life.size)} × planned",
        Code.HEAVIER_DRAW: f"It draws more, {say.figures(life.draw)} × planned",
        Code.LIGHTER_DRAW: f"It draws less, {say.figures(life.draw)} × planned, or the battery was changed or charged",
        Code.ROLLED_OVER: _rolled_over(look),
        Code.BURSTS_COUNTED: "Bursts, or a second file of each frame, are in the count",
        Code.BURSTS_LEFT_OUT: "Bursts are not in the count",
        Code.OLDER_FILES: "Older files are in the count",
        Code.CLOCK_SUMMER_TIME: _summer_time(asked, look, story),
        Code.CLOCK_OFFSET: "Its clock is set to another offset from UTC",
        Code.CLOCK_SET_WRONG: "Its clock was set wrong",
        Code.CLOCK_DRIFT: "Its clock drifts more than planned",
    }
    return words[code]


def _rolled_over(look: ShootLook) -> str:
    if need(look.found).files is None:
        return "The numbers passed 9999 once more: that is counted in"
    return "The numbers passed 9999 once more than the count has it"


def _summer_time(asked: Asked, look: ShootLook, story: Story) -> str:
    running, fast_s = need(look.running), story.life.clock_fast_s
    if not running.clock_shift_s:
        return "Its clock was set with summer time taken for winter time, or the other way round"
    if fast_s == running.clock_shift_s:
        amount, fast = asked.say.length(abs(running.clock_shift_s)), running.clock_shift_s > 0
        return (
            f"{since_change(asked, look)} its clock is {amount} {'fast' if fast else 'slow'}: by the site’s time it "
            f"records {amount} {'earlier' if fast else 'later'}"
        )
    return f"{since_change(asked, look)} somebody set its clock, or it follows by itself"


def apart_words(say: Say, apart: TellsApart) -> str:
    """Say what to look at, and what it is by the first story and by the other."""
    first, other = (_reading(say, apart.reading, each) for each in (apart.first, apart.other))
    look_at = {
        Reading.LAST_AT: "Look at the date of the last file",
        Reading.FIRST_AT: "Look at the date of the first file",
        Reading.FRAMES: "Count the frames",
        Reading.SPACE: "Look at the space used",
        Reading.BATTERY: "Look at the battery",
        Reading.CLOCK: "Look at the clock",
    }[apart.reading]
    return f"{look_at}: {first} by the first, {other} by the {_NTH[apart.nth]}."


def _reading(say: Say, reading: Reading, value: object) -> str:
    if reading in (Reading.LAST_AT, Reading.FIRST_AT):
        return say.instant(value)
    if reading is Reading.FRAMES:
        return say.number(value)
    middle = value.expected if isinstance(value, Estimate) else value
    return say.size(middle) if reading is Reading.SPACE else say.percent(middle)
