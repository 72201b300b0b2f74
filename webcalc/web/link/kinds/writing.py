"""How people write what a link writes in one way: digits of any script, groups of thousands, units of every size."""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Context, Decimal, localcontext
from unicodedata import category, decimal

_SPACES = re.compile(r"[\u00a0\u2000-\u200a\u202f\u205f\u3000]")
#: The Arabic decimal and thousands separators, and forms of full width.
_SIGNS = str.maketrans({"٫": ".", "٬": "’", "．": ".", "，": ",", "：": ":", "／": "/", "＋": "+", "－": "-"})


def tidy(text: str) -> str:
    """Return a text with ASCII digits and plain spaces, without marks that nobody sees."""
    if text.isascii():
        return text
    seen = "".join(letter for letter in text.translate(_SIGNS) if category(letter) not in ("Cf", "Cc"))
    digits = "".join(str(decimal(letter)) if category(letter) == "Nd" else letter for letter in seen)
    return _SPACES.sub(" ", digits).strip()


#: 1 750, 1’750, 1.234.567: groups that can't be anything else; both signs in one number tell which is which.
_GROUPS = re.compile(
    r"([+\-−]?)(?:([1-9][0-9]{0,2}(?:[ '’][0-9]{3})+)(?:[.,]([0-9]{1,40}))?"
    r"|([1-9][0-9]{0,2}(?:\.[0-9]{3})+),([0-9]{1,40})|([1-9][0-9]{0,2}(?:,[0-9]{3})+)\.([0-9]{1,40})"
    r"|([1-9][0-9]{0,2}(?:\.[0-9]{3}){2,}|[1-9][0-9]{0,2}(?:,[0-9]{3}){2,}))"
)


def ungrouped(number: str) -> str:
    """Return a number without groups of thousands, where it has some that can't be read otherwise."""
    match = _GROUPS.fullmatch(number)
    if not match:
        return number
    sign, *parts = match.groups()
    whole, *rest = [part for part in parts if part]
    return sign + re.sub(r"[ '’.,]", "", whole) + (f".{rest[0]}" if rest else "")


#: No number that is read has so many.
ALL_DIGITS = Context(prec=100)


def decimals_of(number: Decimal) -> int:
    """Return how many decimals a number is written to."""
    return max(0, -int(number.as_tuple().exponent))


@dataclass(frozen=True)
class Size:
    """A unit of another size of the same kind: value in the quantity's unit = number × factor."""

    spellings: tuple[str, ...]
    factor: Decimal

    def base(self, number: Decimal) -> Decimal:
        """Return the value in the quantity's own unit, to nine decimals, or to more where as many are written."""
        with localcontext(ALL_DIGITS):
            return round(number * self.factor, max(9, decimals_of(number) + 3))


def _sizes(**factors: str) -> tuple[Size, ...]:
    return tuple(Size(tuple(name.split("_")), Decimal(factor)) for name, factor in factors.items())


_MB = _sizes(GB_Go="1000", MB_Mo="1", kB_ko="0.001", GiB_Gio="1073.741824", MiB_Mio="1.048576", KiB_Kio="0.001024")
#: Units that may be typed instead of a quantity's own, by its own (IEC 80000-13 for bytes: k, M, G by thousands).
SIZES: dict[str, tuple[Size, ...]] = {
    "MB": _MB,
    "GB": (
        *_sizes(TB_To="1000", TiB_Tio="1099.511627776"),
        *(Size(size.spellings, size.factor / 1000) for size in _MB),
    ),
    # A minute of so many megabits a second.
    "MB a minute": (Size(("MB/min", "MB"), Decimal(1)), Size(("Mbit/s", "Mbps"), Decimal("7.5"))),
    "GiB": _sizes(TiB_Tio="1024", Gio="1", MiB_Mio="0.0009765625"),
    "mW": _sizes(mW="1", kW="1000000", W="1000"),
    "W": _sizes(kW="1000", mW="0.001"),
    "Wh": _sizes(kWh="1000", mWh="0.001"),
    "mAh": _sizes(mAh="1", Ah="1000"),
    "mA": _sizes(mA="1", A="1000"),
    "V": _sizes(mV="0.001"),
    "J": _sizes(kJ="1000", mJ="0.001"),
    "m": _sizes(km="1000", cm="0.01", mm="0.001"),
    "mm": _sizes(cm="10", mm="1"),
    "km": _sizes(km="1"),
}
