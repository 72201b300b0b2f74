"""How a typed text becomes a value and how the value is written in a link: numbers and choices.

A kind has ``read(text)``, which returns the value or raises ``BadInput`` with a plain sentence, and
``write(value)``, which returns the one canonical text: ``read(write(value)) == value``. ``{label}`` in a sentence
stands for the quantity's label.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal, localcontext
from fractions import Fraction
from typing import Any
from unicodedata import category

from webcalc.calc.clip import frames as clip
from webcalc.web.link.kinds.writing import ALL_DIGITS, Size, decimals_of, ungrouped


@dataclass(frozen=True)
class Reading:
    """What a text may mean: in words, and as the canonical text of the quantity."""

    words: str
    text: str


class BadInput(ValueError):
    """A typed text that can't be used; the message is a sentence for the person who typed it.

    ``readings``: what the text may mean, the likeliest first, to choose from.
    """

    def __init__(self, sentence: str, readings: Sequence[Reading] = ()) -> None:
        super().__init__(sentence)
        self.readings = tuple(readings)


class Kind:
    """Base of all kinds: a text field. ``options`` makes it a list to choose from."""

    inputmode: str = ""
    input_type: str = "text"
    options: Sequence[tuple[str, str]] = ()
    #: Whether the name may come several times in a link (ticked boxes), to be joined.
    several: bool = False

    #: What joins the texts of several ticked boxes into one.
    joint: str = ""
    #: Whether the text may have several lines.
    lines: bool = False
    #: Longest text that is looked at; anything longer is an error in itself.
    longest_text: int = 4_000

    def read(self, text: str) -> Any:
        """Return the value of a stripped, non-empty text."""
        raise NotImplementedError

    def left_out(self, text: str) -> Sequence[str]:
        """Return a sentence for each part of a text that ``read`` left out because it can't be read."""
        return ()

    def write(self, value: Any) -> str:
        """Return the canonical text of a value."""
        return str(value)

    def doubts(self, text: str, imperial: bool = False) -> tuple[Reading, ...]:
        """Return what a text that can be read may mean instead, when a person has just typed it; nothing if it's clear.

        ``imperial``: the page shows °F, feet and miles.
        """
        return ()


_NUMBER = re.compile(r"([+\-−]?)([0-9]{0,15})(?:[.,]([0-9]{1,40}))?")
_POINTED = re.compile(r"[1-9][0-9]{0,2}\.[0-9]{3}")
_THOUSANDS = re.compile(r"[1-9][0-9]{0,2},[0-9]{3}")


def plain(number: Decimal) -> str:
    """Write a decimal without exponent, trailing zeros or a negative zero."""
    text = format(number, "f")
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


#: Exact by international agreement of 1959 (foot 0.3048 m, mile 1609.344 m).
METRES_A_FOOT = Decimal("0.3048")
KILOMETRES_A_MILE = Decimal("1.609344")


@dataclass(frozen=True)
class OtherUnit:
    """A unit that may be typed behind a number instead: value = (number − zero) × factor."""

    spellings: tuple[str, ...]
    factor: Decimal
    zero: Decimal = Decimal(0)

    def base(self, number: Decimal) -> Decimal:
        """Return the value in the quantity's own unit, to six decimals, or to more where as many are written."""
        with localcontext(ALL_DIGITS):
            return round((number - self.zero) * self.factor, max(6, decimals_of(number) + 1))

    def shown(self, value: Decimal) -> str:
        """Return the value in this unit, with the unit, to four decimals, or to more where the value has many."""
        with localcontext(ALL_DIGITS):
            number = round(value / self.factor + self.zero, max(4, decimals_of(value) - 1))
        return f"{plain(number)} {self.spellings[0]}"


FAHRENHEIT = OtherUnit(("°F", "F"), Decimal(5) / 9, Decimal(32))
FEET = OtherUnit(("ft",), METRES_A_FOOT)
MILES = OtherUnit(("mi",), KILOMETRES_A_MILE)


@dataclass(frozen=True)
class Number(Kind):
    """A finite decimal between ``low`` and ``high``; the unit may be typed behind it.

    One decimal point or comma, no exponent; groups of thousands where they can't be read otherwise. A comma before
    exactly three digits is asked about when it could as well mean thousands.
    """

    low: Decimal
    high: Decimal
    units: tuple[str, ...] = ()
    whole: bool = False
    other: OtherUnit | None = None
    sizes: tuple[Size, ...] = ()

    @property
    def inputmode(self) -> str:  # type: ignore[override]
        """Keypad: none for signed numbers and for those with two units, since keypads may lack minus and letters."""
        if self.low < 0 or self.other:
            return ""
        return "numeric" if self.whole else "decimal"

    def read(self, text: str) -> Decimal | int:
        """Return an int for whole numbers, else a Decimal."""
        number, other = self._without_unit(text)
        number = ungrouped(number)
        match = _NUMBER.fullmatch(number)
        if not match or not (match[2] or match[3]):
            example = "12" if self.whole else "2.5"
            raise BadInput(f"{{label}} must be a number, like {example}")
        if _THOUSANDS.fullmatch(number) and self.low <= Decimal(number.replace(",", "")) <= self.high:
            raise BadInput(
                f"{{label}}: {number} can be read in two ways; write {number.replace(',', '')} "
                f"or {number.replace(',', '.')}",
                self._as_point_and_as_group(number, text.removeprefix(number)),
            )
        sign = "-" if match[1] in ("-", "−") else ""
        value = Decimal(f"{sign}{match[2] or '0'}.{match[3] or '0'}")
        if other:
            value = other.base(value)
        if self.whole and value != value.to_integral_value():
            raise BadInput("{label} must be a whole number")
        if not self.low <= value <= self.high:
            unit = f" {self.units[0]}" if self.units else ""
            raise BadInput(f"{{label}} must be between {plain(self.low)} and {plain(self.high)}{unit}")
        return int(value) if self.whole else value

    def doubts(self, text: str, imperial: bool = False) -> tuple[Reading, ...]:
        """Return 2 and 2000 for ``2.000``, and both units for a bare number beside an answer in the other one."""
        number, _unit = self._without_unit(text)
        if _POINTED.fullmatch(number) and text != self.write(self.read(text)):
            return self._as_point_and_as_group(number, text.removeprefix(number))
        if imperial and self.other and number == text and self.read(text):
            return self._readings(*(f"{number} {name}" for name in (self.other.spellings[0], self.units[0])))
        return ()

    def _as_point_and_as_group(self, number: str, unit: str) -> tuple[Reading, ...]:
        whole, rest = re.split(r"[.,]", number)
        return self._readings(f"{plain(Decimal(f'{whole}.{rest}'))}{unit}", f"{whole}{rest}{unit}")

    def _readings(self, *texts: str) -> tuple[Reading, ...]:
        """Return these texts as readings, as far as they can be read; none where one alone can."""
        found = []
        for text in texts:
            try:
                found.append(Reading(text, self.write(self.read(text))))
            except BadInput:
                return ()
        return tuple(found)

    def write(self, value: Decimal | int | float | Fraction) -> str:
        """Return digits only, with a decimal point: all decimals that were typed, at most nine of what is computed."""
        if isinstance(value, Decimal):
            return plain(value)
        if isinstance(value, Fraction):
            value = Decimal(value.numerator) / Decimal(value.denominator)
        return plain(round(Decimal(value), 9))

    def write_imperial(self, value: Decimal | int) -> str:
        """Return the text for a reader who uses the other unit, if it reads back to the same value."""
        if self.other is None:
            return self.write(value)
        text = self.other.shown(Decimal(value))
        return text if self.read(text) == value else f"{self.write(value)} {self.units[0]}"

    def _without_unit(self, text: str) -> tuple[str, OtherUnit | Size | None]:
        """Take the longest unit off the text's end that stands there."""
        units: list[tuple[str, OtherUnit | Size | None]] = [(unit, None) for unit in self.units]
        for other in (*((self.other,) if self.other else ()), *self.sizes):
            units += [(spelling, other) for spelling in other.spellings]
        for unit, other_unit in sorted(units, key=lambda one: -len(one[0])):
            if text.lower().endswith(unit.lower()):
                return text[: -len(unit)].rstrip(), other_unit
        return text, None


@dataclass(frozen=True)
class Choice(Kind):
    """One of a few words; the canonical text is the first of each pair in ``options``."""

    options: tuple[tuple[str, str], ...]

    def read(self, text: str) -> str:
        """Return the option's name; letter case doesn't matter."""
        for name, _label in self.options:
            if text.lower() == name.lower():
                return name
        raise BadInput("{label} must be one of " + ", ".join(name for name, _ in self.options if name))


@dataclass(frozen=True)
class Choices(Kind):
    """Any of a few words, ticked one by one; in a link separated by commas, ``none`` for none of them."""

    options: tuple[tuple[str, str], ...]
    several = True
    joint = ","
    none = "none"

    def read(self, text: str) -> frozenset[str]:
        """Return the chosen words as a set."""
        names = {name.strip().lower() for name in text.split(",") if name.strip()}
        known = {name for name, _ in self.options}
        if not names - {self.none} <= known:
            raise BadInput("{label} must be some of " + ", ".join(name for name, _ in self.options) + ", or none")
        return frozenset(names & known)

    def write(self, value: frozenset[str]) -> str:
        """Return the words in the order of the options."""
        return ",".join(name for name, _ in self.options if name in value) or self.none


@dataclass(frozen=True)
class Words(Kind):
    """Free text of limited length, shown as typed (escaped), control characters left out."""

    longest: int

    def read(self, text: str) -> str:
        """Return the text without control characters."""
        kept = "".join(c for c in text if c.isprintable() or c in "\u200d\ufe0f")
        if len(kept) > self.longest:
            raise BadInput(f"{{label}} must be {self.longest} characters or fewer")
        return kept.strip()


#: What ends a line: that of any system, and the separators of Unicode.
_LINE_ENDS = re.compile("\r\n|[\n\v\f\r\x85\u2028\u2029]")


@dataclass(frozen=True)
class Lines(Kind):
    """Free text of several lines and limited length.

    Shown as typed (escaped): marks for writing from right to left stay, only control characters are left out.
    """

    longest: int
    lines = True

    def read(self, text: str) -> str:
        """Return the text with line feeds at its line ends."""
        kept = "".join(
            c for c in _LINE_ENDS.sub("\n", text).replace("\t", " ") if c == "\n" or category(c) not in ("Cc", "Cs")
        ).strip()
        if len(kept) > self.longest:
            raise BadInput(f"{{label}} must be {self.longest} characters or fewer; these are {len(kept)}")
        return kept


#: The usual names of the exact rates, in the order of ``clip.FRAME_RATES``.
_RATE_NAMES = ("24", "25", "30", "50", "60", "23.976", "29.97", "59.94")
FRAME_RATES: dict[str, Fraction] = dict(zip(_RATE_NAMES, clip.FRAME_RATES, strict=True))


class FrameRate(Kind):
    """An exact frame rate by its usual name."""

    options = tuple((name, name) for name in FRAME_RATES)

    def read(self, text: str) -> Fraction:
        """Return the exact rate: 29.97 is 30000/1001."""
        name = text.lower().removesuffix("fps").strip().replace(",", ".")
        if re.fullmatch(r"[0-9]{2}\.0{1,3}", name):
            name = name.partition(".")[0]
        if name not in FRAME_RATES:
            raise BadInput("{label} must be one of " + ", ".join(FRAME_RATES))
        return FRAME_RATES[name]

    def write(self, value: Fraction) -> str:
        """Return the usual name of the rate."""
        return next(name for name, rate in FRAME_RATES.items() if rate == value)


_SIZE = re.compile(r"([0-9]{1,5})\s*[xX×*]\s*([0-9]{1,5})")


class PictureSize(Kind):
    """Width by height in pixels."""

    def read(self, text: str) -> tuple[int, int]:
        """Return (width, height), each 16 to 20,000."""
        match = _SIZE.fullmatch(text.removesuffix("px").strip())
        if not match:
            raise BadInput("{label} must be width x height in pixels, like 1920x1080")
        width, height = int(match[1]), int(match[2])
        if not (16 <= width <= 20_000 and 16 <= height <= 20_000):
            raise BadInput("{label}: each side must be between 16 and 20000 pixels")
        return width, height

    def write(self, value: tuple[int, int]) -> str:
        """Return ``1920x1080``."""
        return f"{value[0]}x{value[1]}"
