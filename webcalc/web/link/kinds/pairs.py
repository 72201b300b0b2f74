"""A pair of coordinates in any usual writing, in a ``geo:`` URI, or in an address shared from a map."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from decimal import Decimal
from urllib.parse import parse_qsl, unquote_plus

from webcalc.web.link.kinds.basics import BadInput, Reading, plain

Pair = tuple[Decimal, Decimal]
_PLACES = Decimal("0.000001")  # 0.1 m on the ground
#: Texts longer than this hold more than a place.
LONGEST = 500

#: Marks that stand for one another; dashes are minus signs, and what brackets a pair says nothing.
_MARKS = str.maketrans(
    {
        **dict.fromkeys("’‘′´`ʹ", "'"),
        **dict.fromkeys("”“″„ʺ", '"'),
        **dict.fromkeys("º˚", "°"),
        **dict.fromkeys("−–—‐‑‒﹣－", "-"),
        **dict.fromkeys("()[]{}", " "),
        **dict.fromkeys("\u00a0\u202f\u2009\t\n\r", " "),
        "，": ",",
        "；": ";",
    }
)
_WORDS = {
    r"\bnorth\b": "N",
    r"\bsouth\b": "S",
    r"\beast\b": "E",
    r"\bwest\b": "W",
    # What is said of the number that follows.
    r"\b(?:latitude|longitude|lat|lon|lng|long|gps)\b\s*[:=]?": " ",
    # Degrees, minutes and seconds by their letters: the s of seconds is not the S of south.
    r"(?<=[0-9])\s*d(?:eg)?\s*([0-9.,]+)\s*m(?:in)?(?:\s*([0-9.,]+)\s*s(?:ec)?)?": r"°\1'\2",
    r"(?<=[0-9]):(?=[0-9])": " ",
    r"''": '"',
}
_PART = r"([0-9]{1,2}(?:[.,][0-9]+)?)"
_HALF = re.compile(
    rf"([NSEWO])?\s*([+-])?\s*([0-9]{{1,3}}(?:[.,][0-9]+)?)\s*°?\s*(?:{_PART}\s*'?\s*(?:{_PART}\s*\"?\s*)?)?([NSEWO])?",
    re.IGNORECASE,
)
#: Where one half may end and the other begin.
_BETWEEN = re.compile(r"\s*[,;/|]\s*|\s+|(?<=[NSEWOnsewo\"'°])(?=[NSEWOnsewo+\-0-9])")
_NUMBER = r"-?[0-9]+(?:\.[0-9]+)?"
_GEO = re.compile(
    rf"geo:({_NUMBER}),({_NUMBER})(?:,{_NUMBER})?"
    r"(?:;crs=([A-Za-z0-9-]+))?(?:;u=[0-9]+(?:\.[0-9]+)?)?(?:;(?!(?:crs|u)[=;])[A-Za-z0-9-]+(?:=[^;?\s]*)?)*"
    r"(?:\?(.*))?",
    re.IGNORECASE,
)
_IN_ADDRESS = re.compile(
    r"(?<![0-9.])(?=(-?[0-9]{1,3}\.[0-9]{3,})\s*[,/;]\s*(-?[0-9]{1,3}\.[0-9]{3,})(?![0-9.]*[0-9]))"
)
_LATITUDE_NAMES = ("lat", "latitude", "mlat")
_LONGITUDE_NAMES = ("lon", "lng", "long", "longitude", "mlon")


def pair_text(pair: Pair) -> str:
    """Write a pair so that no other reading is left: both with a decimal point."""
    return ",".join(text if "." in text else f"{text}.0" for text in map(plain, pair))


def checked(latitude: Decimal, longitude: Decimal) -> Pair:
    """Return a pair to six places; one out of range is refused, with the swapped one offered where that is a place."""
    if abs(latitude) <= 90 and abs(longitude) <= 180:
        return latitude.quantize(_PLACES), longitude.quantize(_PLACES)
    swapped = abs(longitude) <= 90 and abs(latitude) <= 180
    readings = _readings(checked(longitude, latitude)) if swapped else ()
    raise BadInput("{label}: latitude must be within 90 degrees and longitude within 180", readings)


def _readings(*pairs: Pair) -> tuple[Reading, ...]:
    return tuple(Reading(", ".join(map(plain, pair)), pair_text(pair)) for pair in pairs)


def read_pair(text: str) -> Pair | None:
    """Return latitude and longitude; None where the text is something else, BadInput where it is a wrong pair."""
    if len(text) > LONGEST:
        raise BadInput("{label} is too long")
    if text.lower().startswith("geo:"):
        return _geo_uri(text)
    if "://" in text:
        return _address(text)
    text = text.translate(_MARKS)
    for pattern, instead in _WORDS.items():
        text = re.sub(pattern, instead, text, flags=re.IGNORECASE)
    return _written(" ".join(text.split()).strip(" ,;"))


def _written(text: str) -> Pair | None:
    found = dict.fromkeys(pair for split in _BETWEEN.finditer(text) if (pair := _halves(text, split)))
    if len(found) == 1:
        return checked(*next(iter(found)))
    if len(found) > 1:
        raise BadInput("{label} can be read in more ways; write it like 45.76, 4.84")
    if re.fullmatch(r"[NSEWO+\-0-9.,°'\" ]*[0-9][NSEWO+\-0-9.,°'\" ]*", text, re.IGNORECASE):
        raise BadInput("{label} must have latitude and longitude, like 45.76, 4.84")
    return None


def _halves(text: str, split: re.Match[str]) -> Pair | None:
    """Return the pair that a split of the text gives, if both sides are halves of the same writing."""
    one, other = _half(text[: split.start()]), _half(text[split.end() :])
    if one is None or other is None or bool(one.letter) != bool(other.letter):
        return None
    if one.letter:
        if (one.letter in "NS") == (other.letter in "NS"):
            return None
        return (other.degrees, one.degrees) if one.letter in "EW" else (one.degrees, other.degrees)
    if one.parts != other.parts:
        return None
    # Whole degrees: 45,76 may be one number, and 45 4 may be degrees and minutes.
    bare = one.parts == 1 and "°" not in text and one.whole and other.whole
    if bare and not re.search(r"[,;/]\s|;", split[0]):
        return None
    return one.degrees, other.degrees


@dataclass(frozen=True)
class _Half:
    """One coordinate as it was written; ``parts``: how many of degrees, minutes, seconds."""

    degrees: Decimal
    letter: str
    parts: int

    @property
    def whole(self) -> bool:
        return self.degrees == self.degrees.to_integral_value()


def _half(text: str) -> _Half | None:
    """Read one half of a pair; None where its parts don't fit together."""
    match = _HALF.fullmatch(text.strip())
    if not match:
        return None
    before, sign, *numbers, after = match.groups()
    parts = [number.replace(",", ".") for number in numbers if number]
    letter = (before or after or "").upper()
    if (before and after) or any("." in part for part in parts[:-1]) or any(Decimal(part) >= 60 for part in parts[1:]):
        return None
    if letter == "O":
        raise BadInput("{label}: O is east in one language and west in another; write E or W")
    if sign and letter:
        raise BadInput("{label}: write a minus sign or a letter, not both")
    degrees = sum((Decimal(part) / 60**n for n, part in enumerate(parts)), Decimal(0))
    return _Half(-degrees if sign == "-" or letter in ("S", "W") else degrees, letter, len(parts))


def _geo_uri(text: str) -> Pair:
    """Read a geo URI by RFC 5870, and the common tail ``?q=`` with the point that is marked."""
    match = _GEO.fullmatch(text)
    if not match:
        raise BadInput("{label}: a geo link is written like geo:45.76,4.84")
    if match[3] and match[3].lower() != "wgs84":
        raise BadInput("{label}: only the reference system wgs84 can be used")
    pair = checked(Decimal(match[1]), Decimal(match[2]))
    marked = next((value for name, value in parse_qsl(match[4] or "") if name == "q"), "")
    at = re.match(rf"({_NUMBER}),\s*({_NUMBER})(?:\(|$)", marked)
    if not at:
        if marked and not any(pair):
            raise BadInput("{label}: this geo link has no coordinates; type those, or the town")
        return pair
    point = checked(Decimal(at[1]), Decimal(at[2]))
    if any(pair) and max(abs(a - b) for a, b in zip(pair, point, strict=True)) > Decimal("0.01"):
        raise BadInput("{label}: this geo link has two places", _readings(point, pair))
    return point


def _address(text: str) -> Pair:
    """Read the one pair of coordinates in an address of a map; nothing is fetched."""
    found = list(dict.fromkeys(_in_address(text)))
    apart = [pair for pair in found if max(abs(a - b) for a, b in zip(pair, found[0], strict=True)) > Decimal("0.0001")]
    if not found:
        raise BadInput(
            "{label}: no coordinates stand in this address, and it isn't opened here; copy them from the map"
        )
    if apart:
        raise BadInput("{label}: more than one place stands in this address", _readings(found[0], *apart[:3]))
    return found[0]


def _in_address(text: str) -> Iterator[Pair]:
    pairs = {name.lower(): value for name, value in parse_qsl(re.sub(r"[?#]", "&", text))}
    latitude = next((pairs[name] for name in _LATITUDE_NAMES if name in pairs), "")
    longitude = next((pairs[name] for name in _LONGITUDE_NAMES if name in pairs), "")
    if re.fullmatch(_NUMBER, latitude) and re.fullmatch(_NUMBER, longitude):
        yield checked(Decimal(latitude), Decimal(longitude))
    for match in _IN_ADDRESS.finditer(unquote_plus(text)):
        if abs(Decimal(match[1])) <= 90 and abs(Decimal(match[2])) <= 180:
            yield checked(Decimal(match[1]), Decimal(match[2]))
