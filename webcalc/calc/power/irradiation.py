"""Sun energy on the ground and on a tilted panel: daily means of a month, from latitude and sky alone.

Horizontal: Allen, Pereira, Raes, Smith (1998), Crop evapotranspiration, FAO Irrigation and
Drainage Paper 56, chapter 3, equations 21–25, 34, 35 ("FAO-56" below).
Tilted: Duffie, Beckman (2013), Solar Engineering of Thermal Processes, 4th ed. ("D&B"): isotropic
sky of Liu & Jordan (1962) and Klein (1977), eq. 2.19.1–2.19.3, with the monthly diffuse share of
Erbs, Klein, Duffie (1982), eq. 2.12.1. The beam part is integrated for any bearing from
eq. 1.6.2, see ``beam_ratio``.

Energies are MJ per square metre and day; 3.6 MJ are 1 kWh. Latitudes are degrees, north positive, -90 to 90.
Day of the year is 1 to 366. The sky is flat: no terrain, no shade, no snow on the panel.
"""

from __future__ import annotations

import math
from functools import lru_cache

from webcalc.calc.formula import formula

#: FAO-56 eq. 21, in MJ per square metre and minute.
FAO_SOLAR_CONSTANT_MJ_PER_M2_MIN = 0.0820
#: Days of the year whose sun stands for the month's mean, January first (Klein 1977, D&B table 1.6.1).
MONTH_MEAN_DAYS = (17, 47, 75, 105, 135, 162, 198, 228, 258, 288, 318, 344)
#: Reflectance of bare ground and grass; fresh snow is about 0.7 (Liu & Jordan, D&B section 2.19).
GROUND_REFLECTANCE = 0.2
MJ_PER_KWH = 3.6
#: FAO-56 chapter 3 calls eq. 21 of limited validity beyond this latitude in winter (from memory).
FAO_WINTER_LATITUDE_DEG = 55.0
#: Below this half-integral of the sun's height (an energy of under 40 mJ per square metre and day) the
#: quotient of two rounding errors would decide; there is no beam then.
_NO_SUN = 1e-9


def _require(condition: bool, message: str) -> None:
    if not condition:
        raise ValueError(message)


@formula("inverse_distance", "1 + 0.033 * cos_deg(360 * day_of_year / 365)", "FAO-56 eq. 23; D&B eq. 1.4.1a")
def inverse_sun_distance(day_of_year: int) -> float:
    """Return the square of mean over actual distance of the sun, 0.967 to 1.033."""
    return 1 + 0.033 * math.cos(math.tau * day_of_year / 365)


@formula("declination_deg", "0.409 * 180 / pi * sin_deg(360 * day_of_year / 365 - 1.39 * 180 / pi)", "FAO-56 eq. 24")
def fao_declination_deg(day_of_year: int) -> float:
    """Return the sun's declination in degrees, north positive."""
    return math.degrees(0.409 * math.sin(math.tau * day_of_year / 365 - 1.39))


@formula(
    "sunset_deg",
    "90 + atan_deg(tan_deg(latitude_deg) * tan_deg(declination_deg)"
    " / sqrt(max(1e-30, 1 - (tan_deg(latitude_deg) * tan_deg(declination_deg)) ** 2)))",
    "FAO-56 eq. 25, arccos(-tan latitude tan declination), written with arctan",
)
def sunset_hour_angle_deg(latitude_deg: float, declination_deg: float) -> float:
    """Return the hour angle of sunset in degrees: 0 in the polar night, 180 in the midnight sun.

    Of the sun's centre without refraction, as energy sums want it. It is no sunset time for people.
    """
    product = math.tan(math.radians(latitude_deg)) * math.tan(math.radians(declination_deg))
    return 90 + math.degrees(math.atan2(product, math.sqrt(max(0.0, 1 - product**2))))


@formula(
    "extraterrestrial_mj_per_m2",
    "24 * 60 / pi * solar_constant_mj_per_m2_min * inverse_distance"
    " * (sunset_deg * pi / 180 * sin_deg(latitude_deg) * sin_deg(declination_deg)"
    " + cos_deg(latitude_deg) * cos_deg(declination_deg) * sin_deg(sunset_deg))",
    "FAO-56 eq. 21 with 0.0820; D&B eq. 1.10.3 with 1367 W/m²",
)
def extraterrestrial_mj_per_m2(
    solar_constant_mj_per_m2_min: float,
    inverse_distance: float,
    latitude_deg: float,
    declination_deg: float,
    sunset_deg: float,
) -> float:
    """Return the energy of one day on a horizontal square metre above the air, MJ."""
    height = _half_sun_height(latitude_deg, declination_deg, sunset_deg)
    return 24 * 60 / math.pi * solar_constant_mj_per_m2_min * inverse_distance * height


def _half_sun_height(latitude_deg: float, declination_deg: float, sunset_deg: float) -> float:
    """Return the integral of the sine of the sun's height from noon to sunset, over the hour angle in radians."""
    latitude, declination, sunset = (math.radians(x) for x in (latitude_deg, declination_deg, sunset_deg))
    return sunset * math.sin(latitude) * math.sin(declination) + (
        math.cos(latitude) * math.cos(declination) * math.sin(sunset)
    )


def fao_extraterrestrial_mj_per_m2(latitude_deg: float, day_of_year: int) -> float:
    """Return FAO-56's Ra of a day in MJ per square metre, 0 in the polar night.

    Raises ValueError for a latitude beyond 90° or a day that is not 1–366.
    """
    _require(-90 <= latitude_deg <= 90, "latitude is -90 to 90 degrees")
    _require(1 <= day_of_year <= 366, "the day of the year is 1 to 366")
    return _whole_day_mj_per_m2(
        FAO_SOLAR_CONSTANT_MJ_PER_M2_MIN, latitude_deg, day_of_year, fao_declination_deg(day_of_year)
    )


def _whole_day_mj_per_m2(constant: float, latitude_deg: float, day_of_year: int, declination_deg: float) -> float:
    sunset_deg = sunset_hour_angle_deg(latitude_deg, declination_deg)
    distance = inverse_sun_distance(day_of_year)
    # At the edge of the polar night two equal terms cancel: rounding must not give a negative energy.
    return max(0.0, extraterrestrial_mj_per_m2(constant, distance, latitude_deg, declination_deg, sunset_deg))


@formula("clearness", "0.25 + 0.50 * sunshine_share", "FAO-56 eq. 35 with as = 0.25, bs = 0.50")
def clearness_of_sky(sunshine_share: float) -> float:
    """Return the share of the extraterrestrial energy that reaches the ground, 0.25 to 0.75.

    ``sunshine_share`` is FAO-56's n/N, bright hours over possible hours: 0 overcast, 1 clear.
    Raises ValueError outside 0–1.
    """
    _require(0 <= sunshine_share <= 1, "the share of sunshine is 0 to 1")
    return 0.25 + 0.50 * sunshine_share


@formula(
    "diffuse_share",
    "1 if clearness < 0.3"
    " else 1.391 - 3.560 * min(clearness, 0.8) + 4.189 * min(clearness, 0.8) ** 2 - 2.137 * min(clearness, 0.8) ** 3"
    " if sunset_deg <= 81.4"
    " else 1.311 - 3.022 * min(clearness, 0.8) + 3.427 * min(clearness, 0.8) ** 2 - 1.821 * min(clearness, 0.8) ** 3",
    "Erbs, Klein, Duffie 1982, D&B eq. 2.12.1 (0.3 to 0.8); below 0.3 all diffuse",
)
def diffuse_share(clearness: float, sunset_deg: float) -> float:
    """Return the share of a month's horizontal energy that comes from the whole sky, 0 to 1.

    The correlation is given for a clearness of 0.3 to 0.8: less is taken as all diffuse, more as 0.8.
    """
    if clearness < 0.3:
        return 1.0
    k = min(clearness, 0.8)
    if sunset_deg <= 81.4:
        return 1.391 - 3.560 * k + 4.189 * k**2 - 2.137 * k**3
    return 1.311 - 3.022 * k + 3.427 * k**2 - 1.821 * k**3


@formula(
    "sun_on_plane",
    "constant * (until_deg - since_deg) * pi / 180 + amplitude * (sin_deg(until_deg) - sin_deg(since_deg))",
    "integral of D&B eq. 1.6.2 over the hour angle",
)
def sun_on_plane(constant: float, amplitude: float, since_deg: float, until_deg: float) -> float:
    """Return the integral of constant + amplitude · cos(angle), the angle in degrees from the plane's best hour."""
    since, until = math.radians(since_deg), math.radians(until_deg)
    return constant * (until - since) + amplitude * (math.sin(until) - math.sin(since))


def beam_ratio(latitude_deg: float, declination_deg: float, tilt_deg: float, from_equator_deg: float) -> float:
    """Return the day's beam energy on the tilted plane over that on the horizontal, 0 if the horizontal gets none.

    ``tilt_deg`` 0 (flat) to 90 (upright); ``from_equator_deg`` is the panel's bearing measured from
    the direction of the equator, 0 to 180, either side (facing the equator 0, east or west 90, away 180).

    Method: the cosine of the incidence angle on a plane of any bearing (D&B eq. 1.6.2) is a constant plus
    a cosine of the hour angle, so the hours with the sun above the horizon and in front of the plane,
    and the energy in them, follow in closed form. As in Liu & Jordan the air is taken as equally clear at all
    hours. Facing the equator this equals D&B eq. 2.19.3. South of the equator latitude and declination are mirrored.
    """
    sunset_deg = sunset_hour_angle_deg(latitude_deg, declination_deg)
    horizontal = 2 * _half_sun_height(latitude_deg, declination_deg, sunset_deg)
    if horizontal < 2 * _NO_SUN:
        return 0.0
    mirror = -1 if latitude_deg < 0 else 1
    latitude, declination = math.radians(mirror * latitude_deg), math.radians(mirror * declination_deg)
    tilt, bearing = math.radians(tilt_deg), math.radians(from_equator_deg)
    constant = math.sin(declination) * (
        math.sin(latitude) * math.cos(tilt) - math.cos(latitude) * math.sin(tilt) * math.cos(bearing)
    )
    cosine = math.cos(declination) * (
        math.cos(latitude) * math.cos(tilt) + math.sin(latitude) * math.sin(tilt) * math.cos(bearing)
    )
    sine = math.cos(declination) * math.sin(tilt) * math.sin(bearing)
    amplitude, best_deg = math.hypot(cosine, sine), math.degrees(math.atan2(sine, cosine))
    if constant <= -amplitude:
        return 0.0
    front_deg = 180.0 if constant >= amplitude else math.degrees(math.acos(-constant / amplitude))
    plane = 0.0
    # In the midnight sun the hours in front of the plane may run over midnight, hence the turns.
    for turn_deg in (-360, 0, 360):
        since = max(-sunset_deg, best_deg + turn_deg - front_deg)
        until = min(sunset_deg, best_deg + turn_deg + front_deg)
        if until > since:
            plane += sun_on_plane(constant, amplitude, since - best_deg - turn_deg, until - best_deg - turn_deg)
    return max(0.0, plane) / horizontal


@formula(
    "plane_mj_per_m2",
    "horizontal_mj_per_m2 * ((1 - diffuse) * beam + diffuse * (1 + cos_deg(tilt_deg)) / 2"
    " + reflectance * (1 - cos_deg(tilt_deg)) / 2)",
    "Liu & Jordan 1962, Klein 1977, D&B eq. 2.19.1–2.19.2",
)
def plane_mj_per_m2(
    horizontal_mj_per_m2: float, diffuse: float, beam: float, tilt_deg: float, reflectance: float
) -> float:
    """Return a day's energy on the tilted plane in MJ per square metre: beam, sky and ground.

    ``diffuse`` is the diffuse share 0–1, ``beam`` the beam ratio, ``reflectance`` that of the ground, 0–1.
    """
    tilt_cosine = math.cos(math.radians(tilt_deg))
    return horizontal_mj_per_m2 * (
        (1 - diffuse) * beam + diffuse * (1 + tilt_cosine) / 2 + reflectance * (1 - tilt_cosine) / 2
    )


@lru_cache(maxsize=4096)
def sun_of_day(
    latitude_deg: float, day_of_year: int, tilt_deg: float, from_equator_deg: float
) -> tuple[float, float, float]:
    """Return FAO-56's Ra in MJ per square metre, the hour angle of sunset in degrees, and the plane's beam ratio."""
    declination_deg = fao_declination_deg(day_of_year)
    return (
        fao_extraterrestrial_mj_per_m2(latitude_deg, day_of_year),
        sunset_hour_angle_deg(latitude_deg, declination_deg),
        beam_ratio(latitude_deg, declination_deg, tilt_deg, from_equator_deg),
    )


def plane_under_sky_mj_per_m2(
    latitude_deg: float,
    day_of_year: int,
    clearness: float,
    tilt_deg: float,
    from_equator_deg: float,
    reflectance: float = GROUND_REFLECTANCE,
) -> float:
    """Return the energy of a month's mean day on a tilted plane in MJ per square metre, for a mean clearness.

    The clearness is FAO-56's own quotient Rs/Ra. Dividing by D&B's extraterrestrial energy instead
    would change it by 1 % at most places, and without bound at the edge of the polar night.
    """
    extraterrestrial, sunset_deg, beam = sun_of_day(latitude_deg, day_of_year, tilt_deg, from_equator_deg)
    diffuse = diffuse_share(clearness, sunset_deg)
    return plane_mj_per_m2(extraterrestrial * clearness, diffuse, beam, tilt_deg, reflectance)


def is_beyond_fao_winter_range(latitude_deg: float, day_of_year: int) -> bool:
    """Whether FAO-56 warns of its own equation 21: winter half-year beyond 55° of latitude."""
    return abs(latitude_deg) > FAO_WINTER_LATITUDE_DEG and latitude_deg * fao_declination_deg(day_of_year) < 0
