"""What is asked or remarked about card, visits, place and time zone, with the steps that settle it."""

from __future__ import annotations

from datetime import datetime
from decimal import Decimal
from typing import TYPE_CHECKING, Any

from webcalc.calc.card.space import GB, gib_from_bytes
from webcalc.calc.light.place import Spot
from webcalc.calc.unknown import given, known, or_none
from webcalc.web.link.kinds.places import OLD_NAMES, PlaceField
from webcalc.web.link.quantities import QUANTITIES
from webcalc.web.places.towns import towns_called
from webcalc.web.places.zones import FAR_KM, ZoneNear, belongs, zone_of, zones_near
from webcalc.web.words.answer import ASK, Text
from webcalc.web.words.say import Say

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


#: Other towns of one name, and zones, that are offered.
_MOST_OFFERED = 3


def zone_words(near: ZoneNear) -> str:
    """Say which zone a place has, and by which town."""
    away = f", {near.km:.0f} km" if near.km >= 1 else ""
    return f"{near.zone}, as in {near.town.name}{away}"


def place_changes(asked: Asked, spot: Spot) -> dict[str, Any]:
    """Return what changes with the place: it goes for all that told of one, and brings its zone unless one is typed."""
    zone = None if asked.inputs.typed.get("tz") else zone_of(spot, asked.inputs.stretch)
    return {"site": spot, **dict.fromkeys(OLD_NAMES), **({"tz": zone.zone} if zone else {})}


def place_remarks(asked: Asked) -> list[Text]:
    """Return what is asked about place and zone where the page has them."""
    fields = asked.page.all_fields
    if "site" not in fields:
        return []
    return [*_other_towns(asked), *(_zone_question(asked) + _doubt(asked) if "tz" in fields else [])]


def _step(asked: Asked, words: str, **changes: Any) -> Text:
    # Text, not a button: the question stands above the form.
    return Text("", ASK, str(asked.url(asked.page.name, **changes)), words)


def _other_towns(asked: Asked) -> list[Text]:
    """Say which town was taken of several with the typed name."""
    spot, text = asked.inputs.get("site"), asked.inputs.typed.get("site", "")
    if spot is None or not spot.name or text in (QUANTITIES["site"].write(spot), PlaceField().shown(spot)):
        return []
    others = [(reading.words, PlaceField().read(reading.text)) for reading in PlaceField().choices(towns_called(text))]
    steps = [_step(asked, words, **place_changes(asked, other)) for words, other in others if other != spot]
    if not steps:
        return []
    taken = Text(f"{text[:60]} is taken as {spot.name}, the largest of this name.", ASK)
    return [taken, *steps[:_MOST_OFFERED]]


def _zone_question(asked: Asked) -> list[Text]:
    """Ask which zone it is, the likeliest first."""
    place = asked.shoot.daylight.coordinates
    if given(asked.shoot.tz) or known(asked.shoot.daylight.zone_key) or not known(place):
        return []
    near = zones_near(_spot(place), asked.inputs.stretch)[:_MOST_OFFERED]
    return [
        Text("Which time zone is the place in? The likeliest comes first.", ASK),
        *(_step(asked, f"Use {zone_words(one)}", tz=one.zone) for one in near),
    ]


def _doubt(asked: Asked) -> list[Text]:
    """Ask where place and zone lie far apart: a minus sign may be lost, or the numbers changed over."""
    place, zone = or_none(asked.shoot.daylight.coordinates), or_none(asked.shoot.daylight.zone_key)
    if place is None or zone is None or belongs(*place, zone):
        return []
    latitude, longitude = place
    others = {
        "Swap": (longitude, latitude),
        "Other hemisphere, north or south": (-latitude, longitude),
        "Other hemisphere, east or west": (latitude, -longitude),
    }
    fitting = {words: pair for words, pair in others.items() if abs(pair[0]) <= 90 and belongs(*pair, zone)}
    far = asked.say.kilometres(FAR_KM)
    steps = [
        _step(asked, f"{words}: {pair[0]:g}, {pair[1]:g}", site=_spot(pair), **dict.fromkeys(OLD_NAMES))
        for words, pair in fitting.items()
    ]
    own = zone_of(_spot(place), asked.inputs.stretch)
    if own:
        steps.append(_step(asked, f"Use {zone_words(own)}", tz=own.zone))
    return [Text(f"The place is more than {far} from the towns with the time {zone}: is it right?", ASK), *steps]


def _spot(place: tuple[float, float]) -> Spot:
    latitude, longitude = (Decimal(repr(degrees)).quantize(Decimal("0.000001")) for degrees in place)
    return Spot(latitude, longitude)


def taps(asked: Asked, name: str) -> list[tuple[str, str]]:
    """Return address and words of each thing that the text of a quantity may mean."""
    readings = asked.inputs.readings.get(name, ())
    found = []
    for reading in readings:
        value = QUANTITIES[name].read(reading.text)
        changes = place_changes(asked, value) if name == "site" else {name: value}
        found.append((str(asked.url(asked.page.name, **changes)), reading.words))
    return found
