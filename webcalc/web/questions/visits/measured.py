"""What the readings of past visits measured, and the step that plans on with it."""

from __future__ import annotations

from webcalc.calc.onsite.seen import Ask
from webcalc.web.http.page import Asked
from webcalc.web.link.inputs import can_be_typed
from webcalc.web.link.quantities import QUANTITIES
from webcalc.web.words.answer import LOOK, Block, Fact, Facts, Text

#: What is to be said first, by what isn't said of the readings.
_UNSAID = {Ask.BATTERY_SHOWS: "battery_shows", Ask.GB_SHOWS: "gb_shows"}


def measured_before(asked: Asked) -> list[Block]:
    """Return what the log's readings measured, with its range and a tap; nothing where there are none."""
    past, say = asked.shoot.past, asked.say
    rows = []
    if past.frame_bytes is not None:
        size = past.frame_bytes
        spread = f"{say.size(size.low)} to {say.size(size.high)} on the card"
        rows.append(Fact("A frame takes", say.size(size.expected), spread))
    if past.draw is not None:
        low, mean, high = (say.figures(each) for each in (past.draw.low, past.draw.expected, past.draw.high))
        rows.append(
            Fact(
                "True draw",
                f"{mean} × planned",
                f"{f'{low} to {high}, ' if low != high else ''}at the planned temperature",
            )
        )
    blocks: list[Block] = [Facts(rows, "Measured by the visits noted")] if rows else []
    names = [QUANTITIES[name].label.lower() for ask, name in _UNSAID.items() if ask in past.asks]
    if names:
        blocks.append(Text(f"Readings noted measure more once it is said: {', '.join(names)}.", LOOK))
    if past.changes and can_be_typed(past.changes) and asked.inputs.query(**past.changes) != asked.inputs.query():
        framed, drawn = past.frame_bytes is not None, bool(past.changes.keys() & {"standby_mw", "frame_j"})
        what = ["the frames"] * framed + ["the heaviest draw"] * drawn
        words = f"Plan with {' and '.join(what)} measured"
        blocks.append(Text("", href=asked.url("visits", **past.changes), link_words=words))
    return blocks
