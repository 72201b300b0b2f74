"""Will the card last?"""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from webcalc.calc.card import frame_size
from webcalc.calc.card import space as card
from webcalc.calc.clip import solve
from webcalc.calc.formula import work
from webcalc.calc.verdict import Part
from webcalc.web.http.data import ends
from webcalc.web.http.page import Asked, Group, Page
from webcalc.web.questions.groups import HOURS
from webcalc.web.questions.storage.case import NEEDED_RIGHT, StorageCase
from webcalc.web.questions.storage.facts import facts
from webcalc.web.questions.storage.limits import after_the_shoot, limits
from webcalc.web.words.answer import FAILS, HOLDS, LOOK, Answer, Facts, Text
from webcalc.web.words.solved import solved_notes
from webcalc.web.words.values import value_words

#: Hours of a window within which most places are light most of the year; outside, the note on night noise shows.
_LIGHT_FROM_H, _LIGHT_UNTIL_H = 6, 20


def answer(asked: Asked) -> Answer:
    """Say when the card is full, which card lasts, and what else the files run into."""
    reply = Answer(_no_results())
    if any(name in asked.inputs.errors for name in NEEDED_RIGHT):
        return reply
    case, results = StorageCase(asked), reply.results
    _sizes(case, results)
    reply.notes.extend(solved_notes(asked.shoot, asked.say))
    reply.needs = case.needs
    if reply.needs:
        if reply.needs == ["card_gb", "last"]:
            reply.sentence = "A card gives the day it is full; a last day gives the card that is needed."
        return reply
    if not case.records:
        reply.figure, reply.tone = "no files", LOOK
        reply.sentence = "Nothing is recorded: no stills, no bursts, no motion-triggered frames."
        return reply
    if not case.schedule.recorded_days:
        reply.figure, reply.tone = "no recorded day", FAILS
        reply.sentence = "No weekday between the first and the last day is left to record on."
        return reply

    _fill_results(case, results)
    _workings(case, reply)
    if asked.old.card_bytes is None:
        _which_card(case, reply)
    elif case.until_full:
        _until_when(case, reply)
    else:
        _whether(case, reply)
    reply.add(Facts(facts(case, reply.results)))
    limits(case, reply)
    after_the_shoot(case, reply)
    _notes(case, reply)
    return reply


def _no_results() -> dict[str, Any]:
    unknown = ends(None)
    dates = ends(None, "earliest", "latest")
    return {
        "frame_bytes": unknown,
        "on_card_frame_bytes": unknown,
        "cluster_bytes": None,
        "cluster_cost_share": None,
        "file_system": None,
        "day_bytes": unknown,
        "card_usable_bytes": None,
        "card_gib": None,
        "used_bytes": None,
        "frames_on_card": ends(None, "fewest", "most"),
        "bursts_on_card": None,
        "full_at": dates,
        "full_if_left_running_at": dates,
        "lasts": None,
        "lasts_expected": None,
        "last": None,
        "needed_bytes": unknown,
        "left_bytes": unknown,
        "card_needed_gb": None,
        "interval_that_lasts_s": None,
        "picture_that_lasts": None,
        "files": None,
        "numbers_roll_over_at": None,
        "files_in_one_folder": None,
        "write_bytes_per_s": None,
        "speed_class": None,
        "burst_bytes": None,
        "burst_passes_4_gib": None,
        "burst_h264": None,
        "file_bytes": unknown,
        "kept_bytes": None,
        "copy_s": None,
        "upload_s": None,
        "upload_day_s": None,
        "busiest_month_bytes": unknown,
    }


def _sizes(case: StorageCase, results: dict[str, Any]) -> None:
    """Fill in what needs no schedule."""
    shoot = case.shoot
    results["frame_bytes"] = ends(shoot.frame)
    if shoot.card_bytes is not None:
        results["card_usable_bytes"] = shoot.card_usable_bytes
        results["card_gib"] = card.gib_from_bytes(shoot.card_bytes)
        results["used_bytes"] = shoot.used_bytes


def _fill_results(case: StorageCase, results: dict[str, Any]) -> None:
    shoot, cluster = case.shoot, case.file_system.cluster_bytes
    on_card = shoot.frame.map(lambda n: card.on_card_bytes(n, cluster))
    results["cluster_bytes"] = cluster
    results["file_system"] = case.file_system.name
    results["on_card_frame_bytes"] = ends(on_card)
    results["cluster_cost_share"] = Fraction(on_card.expected, shoot.frame.expected) - 1
    results["day_bytes"] = ends(case.day_bytes(cluster))
    results["needed_bytes"] = ends(case.needed)
    results["card_needed_gb"] = case.card_needed_gb
    results["last"] = case.last_whole_day if case.until_full else shoot.last
    if shoot.card_bytes is None:
        return
    results["frames_on_card"] = ends(case.forecast.frames_on_card, "fewest", "most")
    if not case.takes_frames:
        burst = card.burst_bytes(case.recording.burst_bits_per_s, case.recording.burst_s)
        results["bursts_on_card"] = case.free_bytes // card.on_card_bytes(burst, cluster)
    results["full_at"] = ends(case.full_at(), "earliest", "latest")
    if not case.until_full:
        results["lasts"] = case.forecast.lasts
        results["lasts_expected"] = case.forecast.lasts_expected
        results["full_if_left_running_at"] = ends(case.full_at(past_last=True), "earliest", "latest")
        results["left_bytes"] = ends(case.needed.map_falling(lambda n: max(0, case.free_bytes - n)))


def _workings(case: StorageCase, reply: Answer) -> None:
    shoot, cluster = case.shoot, case.file_system.cluster_bytes
    if case.takes_frames:
        if not case.inputs.has("frame_mb"):
            width, height = case.inputs.get("size")
            bits = frame_size.PICTURES[case.inputs.get("picture")].bits_per_px.high
            reply.working.append(
                work(frame_size.frame_bytes_at, width_px=width, height_px=height, bits_per_px=bits),
            )
        reply.working.append(work(card.on_card_bytes, file_bytes=shoot.frame.high, cluster_bytes=cluster))
    if shoot.card_bytes is not None:
        reply.working.append(
            work(
                card.usable_bytes,
                card_bytes=shoot.card_bytes,
                reserve_share=shoot.reserve_share,
                shortfall_share=card.SHORTFALL_SHARE,
            )
        )


def _which_card(case: StorageCase, reply: Answer) -> None:
    """Answer without a card: the smallest that lasts."""
    say, needed_gb = case.asked.say, case.card_needed_gb
    takes = f"the shoot takes {say.size(case.needed.high)}{case.with_large}"
    if needed_gb is None:
        reply.figure, reply.tone = f"over {say.size(card.CARD_SIZES_GB[-1] * card.GB)}", FAILS
        reply.sentence = f"No card sold holds it: {takes}. Use a longer interval, or change cards on the way."
        return
    reply.figure, reply.tone = say.size(needed_gb * card.GB), HOLDS
    reply.sentence = f"is the smallest card that lasts to the end: {takes}."
    reply.add(_step(case, "Take this card into the plan", card_gb=needed_gb, used_gb=None))


def _until_when(case: StorageCase, reply: Answer) -> None:
    """Answer without a last day: when the card is full."""
    say, full = case.asked.say, reply.results["full_at"]
    first_full = full["earliest"]
    if first_full is None:
        reply.figure, reply.tone = "over 10 years", HOLDS
        reply.sentence = "The card isn't full within ten years."
        return
    reply.figure = say.day(first_full.date(), weekday=False)
    earliest = "" if case.is_exact else " at the earliest"
    reply.sentence = f"The card is full{earliest} on {say.instant(first_full)} on the camera clock."
    whole = case.last_whole_day
    if whole is not None:
        reply.add(_step(case, f"End the shoot on {say.day(whole)}", last=whole))


def _whether(case: StorageCase, reply: Answer) -> None:
    """Answer with card and last day: whether it lasts, and what would."""
    say, found, full = case.asked.say, case.forecast, reply.results["full_at"]
    end = say.instant(case.schedule.ends_at)
    if found.lasts:
        left = case.free_bytes - case.needed.high
        reply.figure, reply.tone = "lasts", HOLDS
        share = say.percent(Fraction(left, case.shoot.card_usable_bytes)) if case.shoot.card_usable_bytes else ""
        reply.sentence = (
            f"to the end, {end}{case.with_large and ', even' + case.with_large}; "
            f"{say.size(left)} ({share}) of the card stay free."
        )
        return
    at = full["earliest"]
    reply.figure = say.day(at.date(), weekday=False)
    if found.lasts_expected:
        reply.tone = LOOK
        reply.sentence = (
            f"The card can be full on {say.instant(at)} if frames are large; with frames of the expected size it lasts "
            f"to the end. {_what_to_do(case)}"
        )
    else:
        reply.tone = FAILS
        early = (case.schedule.last - at.date()).days
        before = f", {say.count(early, 'day')} before the last" if early > 0 else ""
        earliest = "" if case.is_exact else " at the earliest"
        reply.sentence = f"The card is full{earliest} on {say.instant(at)}{before}. {_what_to_do(case)}"
    _changes(case, reply)


def _what_to_do(case: StorageCase) -> str:
    say, choices = case.asked.say, []
    if case.card_needed_gb is not None:
        choices.append(_needed_card(case))
    if case.interval_that_lasts_s is not None:
        choices.append(f"{say.length(case.interval_that_lasts_s)} interval")
    lasting = f" What lasts: {', '.join(choices)}." if choices else ""
    return f"Change cards before then.{lasting}"


def _needed_card(case: StorageCase) -> str:
    empty = "empty " if case.shoot.used_bytes else ""
    return f"{empty}{case.asked.say.size(case.card_needed_gb * card.GB)} card"


def _step(case: StorageCase, words: str, **changes: Any) -> Text:
    return Text("", href=case.asked.url("storage", **changes), link_words=words)


def _changes(case: StorageCase, reply: Answer) -> None:
    """Add the changes that make it last: card, interval, picture quality."""
    say, inputs, results = case.asked.say, case.inputs, reply.results
    if case.card_needed_gb is not None:
        reply.add(_step(case, f"{_needed_card(case)}: lasts", card_gb=case.card_needed_gb, used_gb=None))
    interval_s = case.interval_that_lasts_s
    results["interval_that_lasts_s"] = interval_s
    if interval_s is not None:
        with_clip = ""
        if case.recording.stills and inputs.has("fps"):
            clip = solve.clip_from_interval(case.schedule, interval_s, inputs.get("fps"), case.shoot.kept_share)
            with_clip = f", clip {say.clip(clip.clip_s)}"
        reply.add(_step(case, f"Every {say.length(interval_s)}: lasts{with_clip}", interval=interval_s))
    if not case.takes_frames:
        return
    for picture, needed in case.lower_pictures:
        words = value_words("picture", picture, say)
        if needed.high <= case.free_bytes:
            results["picture_that_lasts"] = picture
            reply.add(_step(case, f"Picture as {words}: lasts", picture=picture))
        else:
            full = case.full_at(case.frame_with(picture)).low
            reply.add(Text(f"Picture as {words}: full on {say.instant(full)} at the earliest."))
    if inputs.has("frame_mb"):
        reply.add(Text("A lower picture quality makes smaller frames: measure one at it and type its size."))


def _notes(case: StorageCase, reply: Answer) -> None:
    """Add what the numbers can't know."""
    say, inputs, window = case.asked.say, case.inputs, case.shoot.window
    needed_gb = case.card_needed_gb
    if needed_gb and needed_gb * card.GB > card.LARGEST_FAT32_CARD_BYTES and (inputs.get("card_gb") or 0) < needed_gb:
        reply.notes.append("Cards over 32 GB are SDXC: see that the camera takes them.")
    if not case.takes_frames:
        return
    start_h = window.start_s / 3600
    dark = start_h < _LIGHT_FROM_H or start_h + window.length_s / 3600 > _LIGHT_UNTIL_H
    raw = not inputs.has("frame_mb") and frame_size.PICTURES[inputs.get("picture")].raw
    if dark and not raw:
        noise = frame_size.NIGHT_NOISE
        reply.notes.append(
            f"Frames in the dark are noisy and take {say.number(noise.low, 1)} to {say.number(noise.high, 1)} times as "
            "much: measure one at night too, and type the larger."
        )
    if not case.shoot.frame.is_exact:
        reply.notes.append("Best: type the size of a test frame of the real scene.")
    if inputs.has("burst_mbps") and not inputs.has("burst"):
        reply.notes.append("No burst length is given, so no bursts are counted.")


STORAGE = Page(
    "storage",
    "Card",
    "Will the card last?",
    ("card_gb", "interval", "first", "last"),
    answer,
    (
        Group("Picture and card", ("frame_mb", "size", "picture", "used_gb", "card_reserve")),
        HOURS,
        Group("Bursts and motion", ("stills", "burst", "burst_mbps", "motion")),
        Group("After the shoot", ("copies", "reader_mbs", "upload_mbps")),
    ),
    parts=(Part.CARD,),
)
