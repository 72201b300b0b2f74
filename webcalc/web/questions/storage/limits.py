"""Blocks of the page ``/storage`` besides space: file numbers, folders, file size, speed; and after the shoot."""

from __future__ import annotations

from fractions import Fraction

from webcalc.calc.card import limits as card_limits
from webcalc.calc.card.file_numbers import files_of_shoot, numbers_start_again_at
from webcalc.calc.card.space import FAT32, MB, MEGABIT, burst_bytes
from webcalc.calc.clip import delivery
from webcalc.calc.estimate import Estimate
from webcalc.calc.formula import work
from webcalc.web.http.data import ends
from webcalc.web.questions.storage.case import StorageCase
from webcalc.web.questions.storage.facts import span
from webcalc.web.words.answer import LOOK, Answer, Fact, Facts, Text
from webcalc.web.words.say import Say

#: Video sizes that bursts usually have, at 30 frames a second: common practice, no source.
BURST_PICTURES = ((1280, 720), (1920, 1080), (3840, 2160))
BURST_FPS = 30
#: Letters, dots and digits of a name that takes three directory entries.
LONG_NAME = 26


def limits(case: StorageCase, reply: Answer) -> None:
    """Add numbers, folders, speed class and what bursts run into."""
    say, recording = case.asked.say, case.recording
    rows: list[Fact] = []
    if not case.until_full:
        files = files_of_shoot(case.schedule, recording)
        reply.results["files"] = files
        rows.append(Fact("Files of the shoot", say.number(files), _folders(say, files)))
    again = case.dated(numbers_start_again_at(case.schedule, recording))
    reply.results["numbers_roll_over_at"] = again
    if again is not None:
        rows.append(Fact("Numbers start again", say.instant(again), "after 9999: sort by date taken"))
    _folder_entries(case, reply, rows)
    _speed(case, reply, rows)
    reply.add(Facts(rows, "Files and speed"))
    _bursts(case, reply)


def _folders(say: Say, files: int) -> str:
    if files > card_limits.DCF_MOST_FILES:
        return f"more than the {say.number(card_limits.DCF_MOST_FILES)} that folders 100 to 999 can number"
    folders = -(-files // card_limits.DCF_FILES_PER_FOLDER)
    return "" if folders < 2 else f"in {say.number(folders)} folders at least"


def _folder_entries(case: StorageCase, reply: Answer, rows: list[Fact]) -> None:
    """Say how many files one folder holds where the shoot could pass that."""
    if case.file_system is not FAT32:
        return
    say = case.asked.say
    short = card_limits.files_in_fat_folder(1)
    long = card_limits.files_in_fat_folder(card_limits.long_name_entries(LONG_NAME))
    reply.results["files_in_one_folder"] = {"short_names": short, "long_names": long}
    files = reply.results["files"]
    if files is None or files > long:
        more = f"{say.number(long)} if names are longer than 8.3"
        rows.append(Fact("One folder on FAT32 holds", say.count(short, "file"), more))


def _speed(case: StorageCase, reply: Answer, rows: list[Fact]) -> None:
    say, recording = case.asked.say, case.recording
    if recording.interval_s is None or not (recording.stills or recording.burst_s):
        return
    values = {
        "frame_bytes": case.shoot.frame.high if recording.stills else 0,
        "interval_s": recording.interval_s,
        "burst_bits_per_s": recording.burst_bits_per_s if recording.burst_s else 0,
    }
    rate = card_limits.sustained_bytes_per_s(**values)
    speed = card_limits.speed_class_for(rate)
    reply.results["write_bytes_per_s"] = rate
    reply.results["speed_class"] = list(speed.marks) if speed else None
    words = " or ".join(speed.marks) if speed else "no class promises it"
    rows.append(Fact("Card speed", words, f"for {say.size(rate)} a second"))


def _bursts(case: StorageCase, reply: Answer) -> None:
    """Check bursts against the largest file and against what video of usual sizes takes."""
    say, recording = case.asked.say, case.recording
    if not recording.burst_s:
        return
    values = {"bits_per_s": recording.burst_bits_per_s, "burst_s": recording.burst_s}
    working = work(burst_bytes, **values)
    reply.working.append(working)
    reply.results["burst_bytes"] = working.result
    reply.results["burst_passes_4_gib"] = card_limits.passes_4_gib(working.result)
    if reply.results["burst_passes_4_gib"]:
        on_fat = case.file_system is FAT32
        words = "FAT32 can't hold it: cameras split it or stop" if on_fat else "exFAT holds it, FAT32 wouldn't"
        reply.add(Text(f"A burst of {say.size(working.result)} passes 4 GiB: {words}.", LOOK if on_fat else ""))
    rate = recording.burst_bits_per_s
    for width, height in BURST_PICTURES:
        level = card_limits.lowest_h264_level(width, height, BURST_FPS)
        limit = level.high_profile_bits_per_s
        if rate <= limit:
            reply.results["burst_h264"] = {"width_px": width, "height_px": height, "level": level.name}
            reply.add(
                Facts(
                    [
                        Fact("One burst", say.size(working.result)),
                        Fact(
                            "Its bit rate",
                            say.unit(rate / MEGABIT, "Mbit/s"),
                            f"within H.264 level {level.name}, High: {width}x{height} at {BURST_FPS} fps, "
                            f"to {say.unit(Fraction(limit, MEGABIT), 'Mbit/s')}",
                        ),
                    ]
                )
            )
            return
    most = say.unit(Fraction(limit, MEGABIT), "Mbit/s")
    reply.add(
        Text(
            f"{say.unit(rate / MEGABIT, 'Mbit/s')} is more than H.264 level {level.name} allows for {width}x{height} "
            f"at {BURST_FPS} fps: {most}. Is it really Mbit/s?",
            LOOK,
        )
    )


def after_the_shoot(case: StorageCase, reply: Answer) -> None:
    """Add copies, copying, sending."""
    say, inputs, results = case.asked.say, case.inputs, reply.results
    rows: list[Fact] = []
    total = case.file_bytes
    day = case.day_bytes(1)
    copies, upload_mbps = inputs.get("copies"), inputs.get("upload_mbps")
    if total is not None:
        results["file_bytes"] = ends(total)
        if any(inputs.has(name) for name in ("copies", "reader_mbs", "upload_mbps")):
            rows.append(Fact("All files", *span(say.size, total)))
        if copies:
            kept = total.map(lambda n: delivery.kept_bytes(n, copies))
            results["kept_bytes"] = ends(kept)
            rows.append(Fact(f"in {say.count(copies, 'copy', 'copies')}", *span(say.size, kept)))
        if inputs.has("reader_mbs"):
            rate = Fraction(inputs.get("reader_mbs")) * MB
            results["copy_s"] = ends(total.map(lambda n: delivery.copy_s(n, rate)))
            reply.working.append(work(delivery.copy_s, total_bytes=total.high, bytes_per_s=rate))
            rows.append(Fact("Copying once", *span(say.length, total.map(lambda n: delivery.copy_s(n, rate)))))
        if upload_mbps is not None:
            rate = Fraction(upload_mbps) * MEGABIT
            sending = total.map(lambda n: delivery.upload_s(n, rate))
            results["upload_s"] = ends(sending)
            reply.working.append(work(delivery.upload_s, total_bytes=total.high, bits_per_s=rate))
            rows.append(Fact("Sending it all", *span(say.length, sending)))
    month = day.map(lambda n: delivery.busiest_month_bytes(case.schedule, n))
    results["busiest_month_bytes"] = ends(month)
    rows.append(Fact("Sent daily, busiest month", span(say.size, month)[0], _month_words(say, month)))
    reply.add(Facts(rows, "After the shoot"))
    if upload_mbps is not None:
        _sending_by_day(case, reply, day.high, Fraction(upload_mbps) * MEGABIT)


def _month_words(say: Say, month: Estimate[int]) -> str:
    return "" if month.is_exact else f"to {say.size(month.high)}"


def _sending_by_day(case: StorageCase, reply: Answer, day_bytes: int, bits_per_s: Fraction) -> None:
    """Say whether a link keeps up with the camera."""
    say = case.asked.say
    seconds = delivery.upload_s(day_bytes, bits_per_s)
    reply.results["upload_day_s"] = seconds
    if seconds > 86_400:
        reply.add(Text(f"Sending a recorded day takes {say.length(seconds)}: the link doesn't keep up.", LOOK))
