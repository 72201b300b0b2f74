"""A listing of a card's files, as people get one: pasted from a terminal of any system, or packed by the phone.

Each line is looked through for a date, a time, a size and a name, so that the lists of Unix and Windows, of archives
and of copying programs are read alike, and a plain list of times too.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from webcalc.calc.recorded.files import File
from webcalc.web.link.kinds.dates import MONTHS

#: Endings of pictures and of raw pictures; common practice, no source.
PICTURE_ENDINGS = frozenset(
    (
        *("jpg", "jpeg", "jpe", "heic", "heif", "png", "tif", "tiff", "webp", "raw", "dng", "cr2", "cr3", "crw", "nef"),
        *("nrw", "arw", "srf", "sr2", "raf", "rw2", "orf", "pef", "srw", "gpr"),
    )
)
#: Most files that are read of one listing.
MOST_FILES = 200_000
#: How the phone packs a listing: a line with the first time, then for each file the seconds since the one before it,
#: its size and its name.
PACKED = "packed "

_MONTHS = {name.lower(): n for n, name in enumerate(MONTHS, 1)}
_TIME = r"(?P<hour>\d{1,2}):(?P<minute>\d\d)(?::(?P<second>\d\d)(?:[.,]\d+)?)?(?:\s*(?P<half>[AaPp])\.?[Mm]\.?)?"
#: 2027-03-01 08:00:00, 2027/03/01T08:00, 2027:03:01 08:00:00 as in EXIF.
_YEAR_FIRST = re.compile(rf"(?P<year>\d{{4}})[-/:.](?P<month>\d\d)[-/:.](?P<day>\d\d)[T ]+{_TIME}")
#: 01/03/2027  08:00 AM, 01.03.2027 08:00: which of the first two is the day is decided over the whole listing.
_YEAR_LAST = re.compile(rf"(?<!\d)(?P<a>\d{{1,2}})[-/.](?P<b>\d{{1,2}})[-/.](?P<year>\d{{4}}|\d\d)[ T,]+{_TIME}")
#: Mar  1 08:00, Mar  1 08:00:00 2027, 1 Mar 08:00; without a year it is the last one that isn't in the future.
_NAMED = re.compile(
    rf"(?P<name>[A-Za-z]{{3}})\.? +(?P<day>\d{{1,2}}),? +(?:{_TIME}(?: +(?P<year>\d{{4}}))?|(?P<only>\d{{4}})(?!:))"
)
_NAMED_DAY_FIRST = re.compile(rf"(?P<day>\d{{1,2}}) (?P<name>[A-Za-z]{{3}})\.? +{_TIME}")
_FILE = re.compile(r"(?P<stem>[^\s\\/'\"]+)\.(?P<ending>[A-Za-z0-9]{2,5})['\"]?\s*")
#: A name that doesn't stand last.
_NAMED_FILE = re.compile(r"(?P<stem>[^\s\\/'\",;]+)\.(?P<ending>(?i:" + "|".join(sorted(PICTURE_ENDINGS)) + r"))\b")
_BEFORE_NAME = re.compile(r".*[\s\\/'\"](?=\S)", re.DOTALL)
_SIZE = re.compile(r"(?<![\w.:/-])(\d{1,3}(?:[,.\u00a0\u202f']\d{3})+|\d+)(?![\w.:/-])")
_NUMBER = re.compile(r"(\d+)$")


@dataclass(frozen=True)
class Listing:
    """A listing as it was read.

    files : pictures, and times without a name
    others : lines with a file that is no picture
    unread : lines of which nothing was understood
    two_readings : whether days and months could be the other way round everywhere
    """

    files: tuple[File, ...]
    others: int = 0
    unread: int = 0
    two_readings: bool = False
    cut: bool = False


@dataclass(frozen=True)
class _Line:
    at: datetime | None
    swapped: datetime | None
    size: int | None
    stem: str
    ending: str
    #: Whether day and month are numbers before the year, and whether the clock has twelve hours.
    numbers: bool = False
    halves: bool = False


def read_listing(text: str, today: date, day_first: bool | None = None) -> Listing:
    """Return the files of a listing.

    ``today`` tells the year where a listing leaves it out. ``day_first`` says which number of 01/03/2027 is the day;
    None: what the listing itself decides, else the first.
    """
    if text.startswith(PACKED):
        return _unpacked(text)
    lines, unread = [], 0
    for raw in text.splitlines():
        if not raw.strip():
            continue
        line = _read_line(raw, today)
        if line is None:
            unread += 1
        else:
            lines.append(line)
    swaps = [line for line in lines if line.swapped is not None or line.at is None]
    day_first, open_ = _decided(lines, day_first)
    files, others = [], 0
    for line in lines:
        at = line.at if day_first or line.swapped is None else line.swapped
        at = at or line.swapped
        if at is None or (line.ending and line.ending not in PICTURE_ENDINGS):
            others += 1
        else:
            files.append(_file(at, line.size, line.stem))
    return Listing(tuple(files[:MOST_FILES]), others, unread, bool(swaps) and open_, len(files) > MOST_FILES)


def _file(at: datetime, size: int | None, stem: str) -> File:
    number = _NUMBER.search(stem)
    return File(at, size, stem, int(number[1][-9:]) if number else None)


def _unpacked(text: str) -> Listing:
    head, *rows = text.splitlines()
    files: list[File] = []
    others = unread = 0
    try:
        at = datetime.fromisoformat(head.removeprefix(PACKED).strip())
    except ValueError:
        return Listing((), unread=len(rows) + 1)
    for row in rows[: MOST_FILES + 1]:
        step, _, rest = row.partition(" ")
        size, _, name = rest.partition(" ")
        try:
            at += timedelta(seconds=int(step))
            number_of_bytes = int(size)
        except (ValueError, OverflowError):
            unread += 1
            continue
        stem, _, ending = name.strip().rpartition(".")
        if ending.lower() in PICTURE_ENDINGS:
            files.append(_file(at, number_of_bytes, stem))
        else:
            others += 1
    return Listing(tuple(files[:MOST_FILES]), others, unread, cut=len(files) > MOST_FILES)


def _read_line(raw: str, today: date) -> _Line | None:
    # The name is what stands last: one look from the end is quicker than a search for it from every place.
    start = _BEFORE_NAME.match(raw.rstrip("\"' \t\r"))
    file = _FILE.fullmatch(raw, start.end() if start else 0)
    stem, ending = _name(file) if file else ("", "")
    before = raw[: file.start()] if file else raw
    for found, at, swapped in _dates(raw, today):
        if at is None and swapped is None:
            continue
        if file is None and (named := _NAMED_FILE.search(raw)):
            return _Line(at, swapped, _size_of((raw[: named.start()], raw[named.end() : found.start()])), *_name(named))
        rest = raw[: found.start()], raw[found.end() : file.start() if file and file.start() > found.end() else None]
        if file is None and any(part.strip(" \t,;") and not _SIZE.fullmatch(part.strip(" \t,;")) for part in rest):
            # Words beside a time and no file: a heading, a folder, a total.
            return None if not re.search(r"\d", "".join(rest)) else _Line(at, swapped, None, "", "dir")
        return _Line(at, swapped, _size_of(rest), stem, ending, found.re is _YEAR_LAST, bool(found["half"]))
    return _Line(None, None, None, stem, ending) if file and ending in PICTURE_ENDINGS and before.strip() else None


def _name(file: re.Match[str]) -> tuple[str, str]:
    return file["stem"], file["ending"].lower()


def _size_of(parts: Iterable[str]) -> int | None:
    """Return the size beside the date: the largest number, as owners and links are small ones."""
    found = (number for part in parts for number in _SIZE.findall(part))
    sizes = [int(number if number.isdecimal() else re.sub(r"\D", "", number)) for number in found]
    return max(sizes, default=None)


def _dates(raw: str, today: date) -> Iterator[tuple[re.Match[str], datetime | None, datetime | None]]:
    """Yield each date in a line with its time; where day and month may be swapped, both readings."""
    if found := _YEAR_FIRST.search(raw):
        yield found, _instant(found, int(found["year"]), int(found["month"]), int(found["day"])), None
    elif found := _YEAR_LAST.search(raw):
        a, b, year = int(found["a"]), int(found["b"]), int(found["year"])
        year += 2000 if year < 100 else 0
        yield found, _instant(found, year, b, a), _instant(found, year, a, b)
    elif found := _NAMED.search(raw) or _NAMED_DAY_FIRST.search(raw):
        month = _MONTHS.get(found["name"].lower())
        typed = found.groupdict()
        year_text = typed.get("year") or typed.get("only")
        if month is not None:
            year = int(year_text) if year_text else today.year
            at = _instant(found, year, month, int(found["day"]))
            if not year_text and at is not None and at.date() > today + timedelta(1):
                at = _instant(found, year - 1, month, int(found["day"]))
            yield found, at, None


def _instant(found: re.Match[str], year: int, month: int, day: int) -> datetime | None:
    hour, minute = int(found["hour"] or 0), int(found["minute"] or 0)
    half = (found["half"] or "").lower()
    if half:
        hour = hour % 12 + (12 if half == "p" else 0)
    try:
        return datetime(year, month, day, hour, minute, int(found["second"] or 0))
    except ValueError:
        return None


def _decided(lines: Iterable[_Line], day_first: bool | None) -> tuple[bool, bool]:
    """Return whether the day stands first, and whether that is open: no line decides it."""
    pairs = [line for line in lines if line.numbers]
    only_first = any(line.swapped is None for line in pairs)
    either = [line for line in pairs if line.at is not None and line.swapped is not None and line.at != line.swapped]
    only_second = any(line.at is None for line in pairs)
    if not either:
        return not only_second, False
    if day_first is not None:
        return day_first, True
    if only_second:
        return False, False
    if only_first:
        return True, False
    # Files in a row are days in a row: the reading with the shorter span is the likelier one. Where that is equal, a
    # clock of twelve hours stands beside months that go first more often; common practice, no source.
    as_first = [line.at for line in either if line.at]
    as_second = [line.swapped for line in either if line.swapped]
    longer = (max(as_first) - min(as_first)) - (max(as_second) - min(as_second))
    return not longer > timedelta(0) and not (longer == timedelta(0) and either[0].halves), True
