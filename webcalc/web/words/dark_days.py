"""What dark days do to a battery with a panel, in words: how often they empty it, and how many in a row."""

from __future__ import annotations

import math

from webcalc.calc.power.panel import season_of
from webcalc.calc.power.panel_chance import Chance
from webcalc.calc.shoot import Shoot
from webcalc.calc.unknown import known, or_none
from webcalc.web.link.quantities import QUANTITIES
from webcalc.web.words.say import Say

#: Nearer to the equator no season is dark.
_TROPICS_DEG = 23.5
#: Days of local winter that make a shoot's year a winter.
_WINTER_DAYS = 30
_WINTER = 0

BY_MEAN_DAYS = (
    "A panel carries the battery on mean days; how often dark days empty it is not known: "
    f"add {QUANTITIES['sunshine'].label}."
)


def _spell(shoot: Shoot) -> str:
    """Return what the years of a shoot are called: winters, where it has one."""
    draw, latitude = or_none(shoot.battery.dark_runs.draw), or_none(shoot.daylight.latitude_deg)
    if draw is None or latitude is None or abs(latitude) < _TROPICS_DEG:
        return "year"
    span = min(365, (draw.last - draw.first).days + 1)
    days = sum(season_of(draw.day(n).month, latitude > 0) == _WINTER for n in range(span))
    return "winter" if days >= _WINTER_DAYS else "year"


def often(chance: Chance, shoot: Shoot) -> str:
    """Write a chance as people count: 1 of 20 winters; rounded to the more frequent side."""
    spell, least = _spell(shoot), "at least " if chance.at_least else ""
    if chance.share < 0.01:
        return f"{least or 'fewer than '}1 of 100 {spell}s"
    if chance.share > 0.9:
        return f"nearly every {spell}"
    if chance.share > 0.3:
        return f"{least}{math.ceil(chance.share * 10)} of 10 {spell}s"
    years = math.floor(1 / chance.share)
    return f"{least}1 of {years if years <= 20 else years // 5 * 5} {spell}s"


def dark_days_words(shoot: Shoot) -> str:
    """Say how often dark days bring the battery to its reserve, as far as that is known."""
    chance = shoot.battery.dark_runs.chance
    if not known(chance) or chance is None:
        return BY_MEAN_DAYS
    return f"Dark days bring the battery to its reserve in {often(chance, shoot)}."


def in_a_row(shoot: Shoot, say: Say) -> str:
    """Name the run of dark days that empties it; empty where none does."""
    days = or_none(shoot.battery.dark_runs.days_to_reserve)
    if days is None:
        return ""
    if not days:
        return "One dark day brings it to its reserve."
    return f"{say.count(days, 'dark day')} in a row {'brings' if days == 1 else 'bring'} it from full to its reserve."
