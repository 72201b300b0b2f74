"""How names of places are compared: accents, letter case, hyphens and apostrophes don't matter."""

from __future__ import annotations

import re
from unicodedata import combining, normalize

#: Letters that Unicode doesn't take apart into a letter and a mark.
_LETTERS = str.maketrans(
    {"ø": "o", "ł": "l", "đ": "d", "ı": "i", "æ": "ae", "œ": "oe", "ð": "d", "þ": "th", "ħ": "h", "ŧ": "t"}
)
_LEFT_OUT = re.compile(r"['’‘`´ʻʼʿʾ]")
_BETWEEN_WORDS = re.compile(r"[\W_]+")
_SAINT = re.compile(r"\b(?:saint|sankt|st)\b")


def folded(name: str) -> str:
    """Return the form that all ways to write a name share: ``Saint-Étienne`` is ``st etienne``."""
    text = name.casefold()
    if not text.isascii():
        text = normalize("NFKD", text.translate(_LETTERS))
        text = "".join(letter for letter in text if not combining(letter))
    return _SAINT.sub("st", _BETWEEN_WORDS.sub(" ", _LEFT_OUT.sub("", text)).strip())
