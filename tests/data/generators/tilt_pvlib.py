"""Write tilt_pvlib.csv: energies of whole days on the horizontal and on tilted planes, computed with pvlib.

Run in an environment of its own: ``pip install pvlib==0.16.1``, then ``python tilt_pvlib.py > ../tilt_pvlib.csv``.

The sun's position is NREL's SPA as pvlib implements it (true zenith, no refraction), every minute of the days of 2026
that are needed, at longitude 0. Above the air the sun gives get_extra_radiation(method="nrel", solar_constant=1367).
Below, the air passes the same share at all hours (columns clearness, diffuse), as Liu & Jordan assume.
Then get_total_irradiance(model="isotropic", albedo=0.2) gives each minute on the plane.

Rows of kind "horizontal": mj is the mean day's energy, mj_month_mean that of all days of the month; declination_deg and
above_air_w are the sun's at noon of the mean day.
Rows of kind "plane": mj on the plane on the mean day; azimuth_deg is the compass bearing, from_equator_deg what it is
measured from the equator's direction; beam_mj is the beam's part of a sky with all beam (clearness 1), so
that beam_mj over the horizontal row's mj is the beam ratio.
"""

import csv
import sys

import pandas as pd
import pvlib
from pvlib.irradiance import aoi_projection, get_extra_radiation, get_total_irradiance
from pvlib.solarposition import get_solarposition
from pvlib.tools import asind, cosd, sind

YEAR = 2026
MEAN_DAYS = (17, 47, 75, 105, 135, 162, 198, 228, 258, 288, 318, 344)
LATITUDES = (0, 20, 43, 60, 70, -35, -60)
TILTS = (15, 30, 60, 90)
BEARINGS = (0, 45, 90, 180)
SKIES = ((0.25, 1.0), (0.5, 0.4), (0.75, 0.2))
MINUTE_MJ = 60e-6


def minutes(first_day, days):
    start = pd.Timestamp(YEAR, 1, 1, tz="UTC") + pd.Timedelta(days=first_day - 1, seconds=30)
    return pd.date_range(start, periods=days * 1440, freq="60s")


def sun(latitude, times):
    position = get_solarposition(times, latitude, 0, method="nrel_numpy")
    above_air = get_extra_radiation(times, solar_constant=1367, method="nrel")
    cosine = cosd(position["zenith"]).clip(lower=0)
    return position, above_air.where(cosine > 0, 0.0), cosine


def main():
    print(f"# pvlib {pvlib.__version__}, generators/tilt_pvlib.py; MJ per square metre and day, {YEAR}, longitude 0")
    names = "kind latitude month day_of_year tilt_deg azimuth_deg from_equator_deg clearness diffuse mj beam_mj"
    out = csv.writer(sys.stdout, lineterminator="\n")
    out.writerow([*names.split(), "mj_month_mean", "declination_deg", "above_air_w"])
    for latitude in LATITUDES:
        equatorward = 180 if latitude >= 0 else 0
        for month, day in enumerate(MEAN_DAYS, 1):
            position, above_air, cosine = sun(latitude, minutes(day, 1))
            horizontal = above_air * cosine
            whole = pd.Timestamp(YEAR, month, 1)
            _, month_air, month_cosine = sun(latitude, minutes(whole.day_of_year, whole.days_in_month))
            month_mean = (month_air * month_cosine).sum() * MINUTE_MJ / whole.days_in_month
            total = horizontal.sum() * MINUTE_MJ
            noon = get_solarposition(minutes(day, 1)[720:721], latitude, 0, method="nrel_numpy").iloc[0]
            height, across = cosd(noon["zenith"]), sind(noon["zenith"]) * cosd(noon["azimuth"])
            declination = asind(height * sind(latitude) + across * cosd(latitude))
            air = get_extra_radiation(minutes(day, 1)[720:721], solar_constant=1367, method="nrel").iloc[0]
            results = [f"{total:.4f}", "", f"{month_mean:.4f}", f"{declination:.4f}", f"{air:.2f}"]
            out.writerow(["horizontal", latitude, month, day, 0, "", "", "", "", *results])
            for tilt in TILTS:
                for bearing in BEARINGS:
                    azimuth = (equatorward + bearing) % 360
                    facing = aoi_projection(tilt, azimuth, position["zenith"], position["azimuth"]).clip(lower=0)
                    beam = (above_air * facing).sum() * MINUTE_MJ
                    clearness, diffuse = SKIES[month % 3]
                    plane = get_total_irradiance(
                        tilt,
                        azimuth,
                        position["zenith"],
                        position["azimuth"],
                        dni=above_air * clearness * (1 - diffuse),
                        ghi=horizontal * clearness,
                        dhi=horizontal * clearness * diffuse,
                        albedo=0.2,
                        model="isotropic",
                    )["poa_global"]
                    mj = plane.sum() * MINUTE_MJ
                    row = [tilt, azimuth, bearing, clearness, diffuse, f"{mj:.4f}", f"{beam:.4f}", "", "", ""]
                    out.writerow(["plane", latitude, month, day, *row])


if __name__ == "__main__":
    main()
