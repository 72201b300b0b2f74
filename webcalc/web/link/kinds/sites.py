"""The kind of the one place field: coordinates in any writing, a geo link, a map's address, or a town."""

from __future__ import annotations

import re
from decimal import Decimal

from webcalc.calc.light.place import Spot
from webcalc.web.link.kinds.basics import BadInput, Kind, Reading, plain
from webcalc.web.link.kinds.pairs import checked, pair_text, read_pair
from webcalc.web.places.towns import Town, meant, names_like, towns_called

_CANONICAL = re.compile(r"(-?[0-9]{1,2}\.[0-9]{1,6}),(-?[0-9]{1,3}\.[0-9]{1,6})(?:,([^\W\d_'‘’].{0,99}|['‘’].{1,99}))?")
#: As the field shows it.
_SHOWN = re.compile(r"([^\W\d_'‘’].{0,99}|['‘’].{1,99}) \((-?[0-9.]{1,12}), (-?[0-9.]{1,12})\)")
#: Towns that are offered to choose from.
_MOST_OFFERED = 5


def spot_of(town: Town) -> Spot:
    """Return the point that stands for a town."""
    return Spot(*checked(town.latitude_deg, town.longitude_deg), town.label)


class PlaceField(Kind):
    """Where the camera stands. The canonical text has the coordinates and the town's name: ``45.75,4.85,Lyon, France``.

    A town stands for one point in it, so that a later list of towns changes no link.
    """

    def read(self, text: str) -> Spot:
        """Return the point; a name that several towns have is asked about, the largest first."""
        canonical = _CANONICAL.fullmatch(text)
        if canonical:
            return Spot(*checked(Decimal(canonical[1]), Decimal(canonical[2])), (canonical[3] or "").strip())
        shown = _SHOWN.fullmatch(text)
        pair = read_pair(f"{shown[2]}, {shown[3]}" if shown else text)
        if shown and pair:
            return Spot(*pair, shown[1].strip())
        if pair is not None:
            return Spot(*pair)
        towns = towns_called(text)
        town = meant(towns)
        if town is not None:
            return spot_of(town)
        if towns:
            raise BadInput("{label}: which of these?", self.choices(towns))
        alike = self.choices(names_like(text))
        known = "Is it one of these?" if alike else "Type coordinates like 45.76, 4.84, or a larger town near by."
        raise BadInput(f"{{label}}: no town of over 15,000 people is called {text[:60]}. {known}", alike)

    def write(self, value: Spot) -> str:
        """Return coordinates and name."""
        pair = pair_text((value.latitude_deg, value.longitude_deg))
        return f"{pair},{value.name}" if value.name else pair

    def shown(self, value: Spot) -> str:
        """Return the text of a named place as people read it; it reads back to the same place."""
        return f"{value.name} ({plain(value.latitude_deg)}, {plain(value.longitude_deg)})"

    def choices(self, towns: tuple[Town, ...]) -> tuple[Reading, ...]:
        """Return towns to choose from; those of one name and country are told apart by where they are."""
        shown = towns[:_MOST_OFFERED]
        labels = [town.label for town in shown]
        return tuple(
            Reading(
                town.label
                if labels.count(town.label) == 1
                else f"{town.label} ({town.latitude_deg}, {town.longitude_deg})",
                self.write(spot_of(town)),
            )
            for town in shown
        )
