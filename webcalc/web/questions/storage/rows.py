"""The labelled values of the page on the card: dates and room, files and speed, and what comes after the shoot."""

from __future__ import annotations

from datetime import datetime
from fractions import Fraction

from webcalc.calc.card import limits, space
from webcalc.calc.card.files import BURST_FPS
from webcalc.calc.card.results import CardResults
from webcalc.calc.card.space import FAT32, MEGABIT, burst_bytes
from webcalc.calc.clip import delivery
from webcalc.calc.formula import work
from webcalc.calc.schedule.recording import frames_in
from webcalc.calc.shoot import Shoot
from webcalc.calc.unknown import given, known, need, or_none
from webcalc.web.http.page import Asked
from webcalc.web.words.answer import LOOK, Answer, Fact, Facts, Text, span
from webcalc.web.words.say import Say
from webcalc.web.words.working import FILLING, How, frame_working, room_working

_SMALLEST = (
    "The smallest of the sizes sold whose room, less 1 % for the card itself and what is kept free, holds what the "
    "shoot takes.",
)
_DAY = "Frames, bursts and what motion adds × what each takes on the card, in whole clusters."
_MEASURED = "As measured, in whole clusters."
_FILES = ("A frame is a file, a burst is one; folders hold 9999 (DCF, CIPA DC-009).",)
_VIDEO = "a new one each day and at 4 GiB"
_VIDEO_FILES = "Recorded days × what a day takes ÷ 4 GiB, rounded up; common practice, no source: some cameras go on."
_NUMBERS = ("File 9999 is followed by 0001 (DCF, CIPA DC-009); counted from 0001 at the start.",)
_SPEED = ("A large frame within one interval, or the bit rate of a burst; classes by the SD Association.",)
_LEVELS = ("Most bits a second of the level that such a picture needs: ITU-T H.264, Annex A.",)
_ALL_FILES = ("The files’ own bytes, without what clusters add on the card.",)
_MONTH = ("The files’ own bytes of the recorded days in the month that has most of them.",)


def is_exact(shoot: Shoot) -> bool:
    """Whether no guess at a frame size is in the figures."""
    return not need(shoot.card.takes_frames) or need(shoot.card.as_video) or given(shoot.frame_mb)


def with_large(shoot: Shoot) -> str:
    """Return the condition to say beside a pessimistic figure, empty where the frame size is no guess."""
    return "" if is_exact(shoot) else " with large frames"


def facts(asked: Asked, found: CardResults) -> Facts:
    """Return dates, sizes and the card as labelled values."""
    say, shoot = asked.say, asked.shoot
    has_card, rows = given(shoot.card_gb), []
    if has_card:
        rows += _full_rows(asked, found)
    if found.needed_bytes is not None:
        rows.append(Fact("The shoot takes", *span(say.size, found.needed_bytes), _shoot_how(asked)))
        # Where it doesn't last, the card that does stands above, as a step to take.
        if found.lasts or found.card_needed_gb is None:
            smallest = found.card_needed_gb
            words = "none sold" if smallest is None else say.size(smallest * space.GB)
            rows.append(Fact("Smallest card that lasts", words, with_large(shoot).strip(), _SMALLEST))
    rows.append(Fact("One recorded day", *span(say.size, need(shoot.card.day_bytes)), _day_how(asked)))
    if need(shoot.card.takes_frames):
        rows.append(_frame_row(asked, found))
    if has_card:
        rows += _card_rows(asked, found)
    return Facts(rows)


def _full_rows(asked: Asked, found: CardResults) -> list[Fact]:
    say, shoot, full = asked.say, asked.shoot, found.full_at
    after = found.full_if_left_running_at
    if full and (shoot.open_ended or not found.lasts):
        never = "not in ten years" if shoot.open_ended else "lasts"
        by_frames = (
            ("Full with large frames", full.low),
            ("with expected frames", full.expected),
            ("with small frames", full.high),
        )
        by_end = (("Full", full.low),) if is_exact(shoot) else by_frames
        how = (FILLING, *room_working(shoot))
        return [Fact(label, _without_weekday(say, at) if at else never, how=how) for label, at in by_end]
    if after is None or after.low is None:
        return []
    earliest = "" if is_exact(shoot) else "at the earliest"
    return [Fact("If left running, full", say.instant(after.low), earliest, (FILLING, *room_working(shoot)))]


def _without_weekday(say: Say, at: datetime) -> str:
    """Write an instant so short that it stands in one line beside its label."""
    return f"{say.day(at.date(), weekday=False)}, {say.clock(at)}"


def _shoot_how(asked: Asked) -> How:
    """Say what the whole shoot is made of."""
    schedule, day = need(asked.shoot.schedule, asked.shoot.card.day_bytes)
    days = asked.say.count(schedule.recorded_days, "recorded day")
    return (f"{days} of {asked.say.size(day.expected)}; the range is that of the frames.",)


def _day_how(asked: Asked) -> How:
    """Say what a recorded day is made of."""
    shoot = asked.shoot
    interval_s, window = shoot.card.recording.interval_s if known(shoot.card.recording) else None, shoot.window
    if interval_s is None or not known(window):
        return (_DAY,)
    return (work(frames_in, window_s=window.length_s, interval_s=interval_s), _DAY)


def _frame_row(asked: Asked, found: CardResults) -> Fact:
    say = asked.say
    expected, range_words = span(say.size, need(asked.shoot.card.frame))
    if need(asked.shoot.card.as_video):
        a_minute = say.size(Fraction(need(asked.shoot.video_mb_min)) * space.MB)
        return Fact("One frame", expected, f"of a video file, {a_minute} a minute", tuple(frame_working(asked.shoot)))
    guess = f"{range_words}, a guess" if range_words else "measured"
    cluster = say.unit(Fraction(found.cluster_bytes or 0, space.KIB), "KiB")
    cost = f"{say.percent(found.cluster_cost_share)} more in {cluster} clusters on {found.file_system}"
    how = frame_working(asked.shoot) if range_words else (_MEASURED, *frame_working(asked.shoot))
    return Fact("One frame", expected, f"{guess}; {cost}", tuple(how))


def _card_rows(asked: Asked, found: CardResults) -> list[Fact]:
    say, card = asked.say, asked.shoot.card
    card_bytes, free, reserve, used = need(card.card_bytes, card.free_bytes, card.reserve_share, card.used_bytes)
    how = ("Room on the card ÷ what one takes there, rounded down.",)
    held = Fact("Bursts it holds", say.number(found.bursts_on_card or 0), how=how)
    if found.frames_on_card is not None and need(card.takes_frames):
        held = Fact("Frames it holds", *span(say.number, found.frames_on_card), how)
    room = [
        f"{say.size(card_bytes)} reads as {say.unit(found.card_gib, 'GiB')}",
        f"{say.percent(space.SHORTFALL_SHARE)} off for the card itself",
    ]
    if reserve:
        room.append(f"{say.percent(reserve)} kept free")
    if used:
        room.append(f"{say.size(used)} used already")
    gib = work(space.gib_from_bytes, card_bytes=card_bytes)
    return [held, Fact("Room on the card", say.size(free), ", ".join(room), (*room_working(asked.shoot), gib))]


# -- files and speed --------------------------------------------------------------------------------------------


def files_and_speed(asked: Asked, found: CardResults, reply: Answer) -> None:
    """Add numbers, folders, speed class and what bursts run into."""
    say, rows = asked.say, []
    if found.files is not None:
        in_one = need(asked.shoot.card.takes_frames) and need(asked.shoot.card.as_video)
        more, how = (_VIDEO, (_VIDEO_FILES,)) if in_one else (_folders(say, found.files), _FILES)
        rows.append(Fact("Files of the shoot", say.number(found.files), more, how))
    if found.numbers_roll_over_at is not None:
        when = say.instant(found.numbers_roll_over_at)
        rows.append(Fact("Numbers start again", when, "after 9999: sort by date taken", _NUMBERS))
    folder = found.files_in_one_folder
    if folder is not None and (found.files is None or found.files > folder.long_names):
        more = f"{say.number(folder.long_names)} if names are longer than 8.3"
        how = (work(limits.files_in_fat_folder, entries_per_file=1),)
        rows.append(Fact("One folder on FAT32 holds", say.count(folder.short_names, "file"), more, how))
    if found.write_bytes_per_s is not None:
        words = " or ".join(found.speed_class) if found.speed_class else "no class promises it"
        rows.append(Fact("Card speed", words, f"for {say.size(found.write_bytes_per_s)} a second", _SPEED))
    reply.add(Facts(rows, "Files and speed"))
    _bursts(asked, found, reply)


def _folders(say: Say, files: int) -> str:
    if files > limits.DCF_MOST_FILES:
        return f"more than the {say.number(limits.DCF_MOST_FILES)} that folders 100 to 999 can number"
    folders = -(-files // limits.DCF_FILES_PER_FOLDER)
    return "" if folders < 2 else f"in {say.number(folders)} folders at least"


def _bursts(asked: Asked, found: CardResults, reply: Answer) -> None:
    """Check bursts against the largest file and against what video of usual sizes takes."""
    say, size, usual = asked.say, found.burst_bytes, or_none(asked.shoot.files.burst_level)
    if size is None or usual is None:
        return
    recording = need(asked.shoot.card.recording)
    rate = recording.burst_bits_per_s
    how = work(burst_bytes, bits_per_s=rate, burst_s=recording.burst_s)
    reply.working.append(how)
    if found.burst_passes_4_gib:
        on_fat = found.file_system == FAT32.name
        words = "FAT32 can't hold it: cameras split it or stop" if on_fat else "exFAT holds it, FAT32 wouldn't"
        reply.add(Text(f"A burst of {say.size(size)} passes 4 GiB: {words}.", LOOK if on_fat else ""))
    most = say.unit(Fraction(usual.level.high_profile_bits_per_s, MEGABIT), "Mbit/s")
    typed, level = say.unit(rate / MEGABIT, "Mbit/s"), f"H.264 level {usual.level.name}"
    picture = f"{usual.width_px}x{usual.height_px} at {BURST_FPS} fps"
    if usual.allowed:
        within = f"within {level}, High: {picture}, to {most}"
        reply.add(Facts([Fact("One burst", say.size(size), how=(how,)), Fact("Its bit rate", typed, within, _LEVELS)]))
    else:
        words = f"{typed} is more than {level} allows for {picture}: {most}. Is it really Mbit/s?"
        reply.add(Text(words, LOOK))


# -- after the shoot --------------------------------------------------------------------------------------------


def after_the_shoot(asked: Asked, found: CardResults, reply: Answer) -> None:
    """Add copies, copying, sending."""
    say, shoot, rows = asked.say, asked.shoot, []
    total, reader, link = (
        found.file_bytes,
        or_none(shoot.files.reader_bytes_per_s),
        or_none(shoot.files.upload_bits_per_s),
    )
    if total is not None:
        if any(given(typed) for typed in (shoot.copies, shoot.reader_mbs, shoot.upload_mbps)):
            rows.append(Fact("All files", *span(say.size, total), _ALL_FILES))
        if found.kept_bytes is not None and known(shoot.copies):
            copies = say.count(shoot.copies or 0, "copy", "copies")
            how = (work(delivery.kept_bytes, total_bytes=total.high, copies=shoot.copies or 0),)
            rows.append(Fact(f"in {copies}", *span(say.size, found.kept_bytes), how))
        if found.copy_s is not None and reader is not None:
            copying = work(delivery.copy_s, total_bytes=total.high, bytes_per_s=reader)
            reply.working.append(copying)
            rows.append(Fact("Copying once", *span(say.length, found.copy_s), (copying,)))
        if found.upload_s is not None and link is not None:
            sending = work(delivery.upload_s, total_bytes=total.high, bits_per_s=link)
            reply.working.append(sending)
            rows.append(Fact("Sending it all", *span(say.length, found.upload_s), (sending,)))
    month = found.busiest_month_bytes
    if month is not None:
        more = "" if month.is_exact else f"to {say.size(month.high)}"
        rows.append(Fact("Sent daily, busiest month", say.size(month.expected), more, _MONTH))
    reply.add(Facts(rows, "After the shoot"))
    if shoot.files.keeps_up is False and found.upload_day_s is not None:
        words = f"Sending a recorded day takes {say.length(found.upload_day_s)}: the link doesn't keep up."
        reply.add(Text(words, LOOK))
