"""What is remarked about visits that were noted, on every page that counts from them."""

from __future__ import annotations

from datetime import datetime
from typing import TYPE_CHECKING

from webcalc.web.words.answer import ASK, Text
from webcalc.web.words.say import Say

if TYPE_CHECKING:
    from webcalc.web.http.page import Asked


def to_come_words(say: Say, since: datetime) -> str:
    """Say that a visit that was noted is still to come."""
    return f"{say.instant(since)} is still to come: card and battery count as new from then on"


def since_remarks(asked: Asked) -> list[Text]:
    """Ask about a camera that is said to run since a time that is still to come."""
    since = asked.shoot.done.still_to_come(asked.now) if asked.verdict is not None else None
    if since is None:
        return []
    words = f"Running since {to_come_words(asked.say, since)}. Is that meant?"
    return [Text(words, ASK, asked.url(asked.page.name, since=None), "Take it out")]
