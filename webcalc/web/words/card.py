"""What is remarked about the card as it was typed, on every page that asks for it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from webcalc.calc.card.space import GB, gib_from_bytes
from webcalc.calc.unknown import or_none
from webcalc.web.words.answer import ASK, Text

if TYPE_CHECKING:
    from webcalc.web.http.page import Asked


def card_remarks(asked: Asked) -> list[Text]:
    """Ask whether the size is what a device shows rather than what is printed on the card."""
    sold_gb = or_none(asked.shoot.card.sold_as_gb) if "card_gb" in asked.page.all_fields else None
    if sold_gb is None:
        return []
    say, shown = asked.say, gib_from_bytes(sold_gb * GB)
    words = f"A {say.number(sold_gb)} GB card shows {say.number(shown, 1)} GiB: is that it?"
    step = asked.url(asked.page.name, card_gb=sold_gb)
    return [Text(words, ASK, step, f"Yes, {say.number(sold_gb)} GB")]
