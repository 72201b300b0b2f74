"""Will the card last?"""

from __future__ import annotations

from fractions import Fraction

from webcalc.calc.card import frame_size, space
from webcalc.calc.card.results import CardResults, card_results
from webcalc.calc.unknown import given, known, need
from webcalc.calc.verdict import Part
from webcalc.calc.visits.rules import Reason
from webcalc.web.http.page import Asked, Group, Page
from webcalc.web.questions.storage.rows import after_the_shoot, facts, files_and_speed, is_exact, with_large
from webcalc.web.words.answer import FAILS, HOLDS, LOOK, Answer, Text
from webcalc.web.words.pictures import own_row
from webcalc.web.words.values import solved_notes, value_words
from webcalc.web.words.working import frame_working, room_working

#: Hours of a window within which most places are light most of the year; outside, the note on night noise shows.
_LIGHT_FROM_H, _LIGHT_UNTIL_H = 6, 20


def answer(asked: Asked) -> Answer:
    """Say when the card is full, which card lasts, and what else the files run into."""
    shoot = asked.shoot
    found = card_results(shoot)
    if not shoot.card.kept:
        return Answer(found, "No card", "Frames are sent on and nothing is kept on a card: there is none to fill.")
    reply = Answer(found, notes=solved_notes(shoot, asked.say), needs=shoot.card.asked_for)
    if reply.needs:
        if reply.needs == ("card_gb", "last"):
            reply.sentence = "A card gives the day it is full; a last day gives the card that is needed."
        return reply
    if asked.records_nothing:
        return reply
    reply.working = [*frame_working(shoot), *room_working(shoot)]
    if not given(shoot.card_gb):
        _which_card(asked, found, reply)
    elif shoot.open_ended:
        _until_when(asked, found, reply)
    else:
        _whether(asked, found, reply)
    reply.picture = own_row(asked, Reason.CARD)
    reply.lead_with_first(facts(asked, found), 3)
    files_and_speed(asked, found, reply)
    after_the_shoot(asked, found, reply)
    _notes(asked, found, reply)
    return reply


# -- the answer -------------------------------------------------------------------------------------------------


def _which_card(asked: Asked, found: CardResults, reply: Answer) -> None:
    """Answer without a card: the smallest that lasts."""
    say, needed_gb = asked.say, found.card_needed_gb
    takes = f"the shoot takes {say.size(need(asked.shoot.card.needed_bytes).high)}{with_large(asked.shoot)}"
    if needed_gb is None:
        told = f"No card sold holds it: {takes}. Use a longer interval, or change cards on the way."
        reply.head(f"over {say.size(space.CARD_SIZES_GB[-1] * space.GB)}", FAILS, told)
        return
    reply.head(say.size(needed_gb * space.GB), LOOK, f"is the smallest card that lasts to the end: {takes}.")
    reply.add(asked.step("Take this card into the plan", "storage", card_gb=needed_gb, used_gb=None))


def _until_when(asked: Asked, found: CardResults, reply: Answer) -> None:
    """Answer without a last day: when the card is full."""
    say, first_full = asked.say, found.full_at.low if found.full_at else None
    if first_full is None:
        reply.head("Over 10 years", HOLDS, "The card isn't full within ten years.")
        return
    reply.figure = f"Until {say.day(first_full.date(), weekday=False)}"
    earliest = "" if is_exact(asked.shoot) else " at the earliest"
    reply.sentence = f"The card is full{earliest} on {say.instant(first_full)} on the camera clock."
    if found.last is not None:
        reply.add(asked.step(f"End the shoot on {say.day(found.last)}", "storage", last=found.last))


def _whether(asked: Asked, found: CardResults, reply: Answer) -> None:
    """Answer with card and last day: whether it lasts, and what would."""
    say, shoot, large = asked.say, asked.shoot, with_large(asked.shoot)
    schedule, free, usable = need(shoot.schedule, shoot.card.free_bytes, shoot.card.usable_bytes)
    if found.lasts:
        left = free - need(shoot.card.needed_bytes).high
        reply.figure, reply.tone = "Lasts", HOLDS
        share = f" ({say.percent(Fraction(left, usable))})" if usable else ""
        reply.sentence = (
            f"to the end, {say.instant(schedule.ends_at)}{large and ', even' + large}; "
            f"{say.size(left)}{share} of the card stay free."
        )
        return
    at = need(shoot.card.full_at).low
    reply.figure = f"Until {say.day(at.date(), weekday=False)}"
    if found.lasts_expected:
        reply.tone = LOOK
        reply.sentence = (
            f"The card can be full on {say.instant(at)} if frames are large; with frames of the expected size it lasts "
            f"to the end. {_what_to_do(asked, found)}"
        )
    else:
        reply.tone = FAILS
        early = (schedule.last - at.date()).days
        before = f", {say.count(early, 'day')} before the last" if early > 0 else ""
        earliest = "" if is_exact(shoot) else " at the earliest"
        reply.sentence = f"The card is full{earliest} on {say.instant(at)}{before}. {_what_to_do(asked, found)}"
    _changes(asked, found, reply)


def _what_to_do(asked: Asked, found: CardResults) -> str:
    choices = []
    if found.card_needed_gb is not None:
        choices.append(_needed_card(asked, found.card_needed_gb))
    if found.interval_that_lasts_s is not None:
        choices.append(f"{asked.say.length(found.interval_that_lasts_s)} interval")
    lasting = f" What lasts: {', '.join(choices)}." if choices else ""
    return f"Change cards before then.{lasting}"


def _needed_card(asked: Asked, needed_gb: int) -> str:
    empty = "empty " if need(asked.shoot.card.used_bytes) else ""
    return f"{empty}{asked.say.size(needed_gb * space.GB)} card"


def _changes(asked: Asked, found: CardResults, reply: Answer) -> None:
    """Add the changes that make it last: card, interval, picture quality."""
    say, shoot = asked.say, asked.shoot
    if found.card_needed_gb is not None:
        words = f"{_needed_card(asked, found.card_needed_gb)}: lasts"
        reply.add(asked.step(words, "storage", card_gb=found.card_needed_gb, used_gb=None))
    interval_s = found.interval_that_lasts_s
    if interval_s is not None:
        made = shoot.clip_at(interval_s)
        with_clip = f", clip {say.clip(made.clip_s)}" if known(made) and made.frames else ""
        reply.add(asked.step(f"Every {say.length(interval_s)}: lasts{with_clip}", "storage", interval=interval_s))
    for lower in need(shoot.card.lower_pictures):
        words = value_words("picture", lower.picture, say)
        if lower.lasts:
            reply.add(asked.step(f"Picture as {words}: lasts", "storage", picture=lower.picture))
        else:
            reply.add(Text(f"Picture as {words}: full on {say.instant(lower.full_at)} at the earliest."))
    if need(shoot.card.takes_frames) and need(shoot.card.as_video):
        reply.add(Text("A lower bit rate makes a smaller file: measure a minute of it and type that."))
    elif given(shoot.frame_mb) and need(shoot.card.takes_frames):
        reply.add(Text("A lower picture quality makes smaller frames: measure one at it and type its size."))


def _notes(asked: Asked, found: CardResults, reply: Answer) -> None:
    """Add what the numbers can't know."""
    say, shoot = asked.say, asked.shoot
    needed_gb, window = found.card_needed_gb, need(shoot.window)
    has_gb = need(shoot.card_gb) if given(shoot.card_gb) else 0
    if needed_gb and needed_gb * space.GB > space.LARGEST_FAT32_CARD_BYTES and has_gb < needed_gb:
        reply.notes.append("Cards over 32 GB are SDXC: see that the camera takes them.")
    if not need(shoot.card.takes_frames):
        return
    start_h = window.start_s / 3600
    dark = start_h < _LIGHT_FROM_H or start_h + window.length_s / 3600 > _LIGHT_UNTIL_H
    if need(shoot.card.as_video):
        reply.notes.append(
            f"The file’s rate, {asked.inputs.canonical['fps']} fps, is set before it records: another one, or fewer "
            "frames, takes coding it anew."
        )
        return
    raw = not given(shoot.frame_mb) and frame_size.PICTURES[need(shoot.picture)].raw
    if dark and not raw:
        noise = frame_size.NIGHT_NOISE
        reply.notes.append(
            f"Frames in the dark are noisy and take {say.number(noise.low, 1)} to {say.number(noise.high, 1)} times as "
            "much: measure one at night too, and type the larger."
        )
    if not given(shoot.frame_mb):
        reply.notes.append("Best: type the size of a test frame of the real scene.")
    if known(shoot.burst_mbps) and not given(shoot.burst):
        reply.notes.append("No burst length is given, so no bursts are counted.")


STORAGE = Page(
    "storage",
    "Card",
    "Will the card last?",
    ("card_gb", "interval", "last"),
    answer,
    (
        Group(
            "Picture and card", ("frame_mb", "frame_mb_max", "size", "picture", "used_gb", "card_reserve", "kept_on")
        ),
        Group("Video file instead of stills", ("recorded_as", "video_mb_min", "fps")),
        Group("Days and hours", ("first", "from", "until", "days", "skip")),
        Group("Bursts and motion", ("stills", "burst", "burst_mbps", "motion")),
        Group("After the shoot", ("copies", "reader_mbs", "upload_mbps")),
    ),
    parts=(Part.CARD,),
    results=CardResults,
    scripts=("exif.js",),
)
