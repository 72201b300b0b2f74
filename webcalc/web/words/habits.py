"""How a reader writes values: units, hours of the day, decimal mark. From the link, else from the browser's language.

Only the writing follows habits. What a link says never does: a bare number is always in the unit of its name.
"""

from __future__ import annotations

from werkzeug.datastructures import LanguageAccept

from webcalc.web.link.inputs import Inputs
from webcalc.web.link.quantities import QUANTITIES
from webcalc.web.words.say import Say

#: Languages and regions whose people write a decimal comma; from memory of the CLDR's number patterns.
_COMMA_LANGUAGES = frozenset(
    {
        *("af", "be", "bg", "bs", "ca", "cs", "da", "de", "el", "es", "et", "eu", "fi", "fr", "gl", "hr", "hu", "hy"),
        *("id", "is", "it", "ka", "kk", "lt", "lv", "mk", "nb", "nl", "nn", "no", "pl", "pt", "ro", "ru", "sk", "sl"),
        *("sq", "sr", "sv", "tr", "uk", "uz", "vi"),
    }
)
#: 419 is Latin America (UN M49).
_POINT_REGIONS = frozenset({"CH", "LI", "MX", "GT", "HN", "NI", "PA", "PE", "PR", "SV", "DO", "CU", "US", "419"})
#: Regions where most people use degrees Fahrenheit and feet, and the clock with am and pm; CLDR, from memory.
_FEET_REGIONS = frozenset({"US", "LR", "PR"})
_TWELVE_HOUR_REGIONS = frozenset({"US", "CA", "AU", "NZ", "IN", "PH", "PK", "EG", "SA", "CO"})


def say_for(inputs: Inputs, languages: LanguageAccept) -> Say:
    """Return how this reader wants values written."""
    language, _, region = (languages.best or "").partition("-")
    region = region.rpartition("-")[2].upper()
    units, style = inputs.get("units"), inputs.get("write")
    english = language.lower() == "en"
    return Say(
        imperial=units == "imperial" if units else region in _FEET_REGIONS,
        twelve_hours=style == "12-point" if style else english and region in _TWELVE_HOUR_REGIONS,
        comma=style == "24-comma" if style else language.lower() in _COMMA_LANGUAGES and region not in _POINT_REGIONS,
    )


#: The three ways of writing times and decimals, by name in the link, in the order in which the switch goes round.
_STYLES = ("24-point", "24-comma", "12-point")


def switches(say: Say) -> list[tuple[dict[str, str], str]]:
    """Return the two switches as (change to the link, words of what one gets)."""
    units = "metric" if say.imperial else "imperial"
    style = "12-point" if say.twelve_hours else "24-comma" if say.comma else "24-point"
    following = _STYLES[(_STYLES.index(style) + 1) % len(_STYLES)]
    options = {**dict(QUANTITIES["units"].kind.options), **dict(QUANTITIES["write"].kind.options)}
    return [({"units": units}, options[units]), ({"write": following}, options[following])]
