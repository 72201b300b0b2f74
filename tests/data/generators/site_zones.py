"""Write site_zones.csv: points on land and the time zone whose polygon holds them.

Run in an environment of its own: ``pip install timezonefinder==9.0.0 timezonefinder-data==3.2026.3.post1``, then
``python site_zones.py > ../site_zones.csv``.

The polygons are those of timezone-boundary-builder (ODbL), not simplified. Points of kind "near" lie up to 30 km
from a town of the list in webcalc/web/places, chosen by chance; those of kind "land" are spread evenly over all land,
Antarctica aside. Points in the zones of the open sea (Etc/...) are left out.
"""

import csv
import gzip
import sys
from math import asin, cos, degrees, radians, sqrt
from pathlib import Path
from random import Random

from timezonefinder import TimezoneFinder

POINTS = int(sys.argv[1]) if len(sys.argv) > 1 else 700
TOWNS = Path(__file__).parents[3] / "webcalc/web/places/towns.txt.gz"
KM_A_DEGREE = 111.2


def towns():
    in_towns = False
    for line in gzip.decompress(TOWNS.read_bytes()).decode().split("\n"):
        in_towns |= line.startswith("=")
        if in_towns and not line.startswith("="):
            _name, latitude, longitude, *_rest = line.split("\t")
            yield int(latitude) / 100, int(longitude) / 100


def on_land(random):
    latitude, longitude = degrees(asin(random.uniform(-1, 1))), random.uniform(-180, 180)
    return latitude, longitude


def near(random, places):
    latitude, longitude = random.choice(places)
    while True:
        north, east = random.uniform(-30, 30), random.uniform(-30, 30)
        if sqrt(north**2 + east**2) <= 30:
            break
    longitude += east / KM_A_DEGREE / cos(radians(latitude))
    return latitude + north / KM_A_DEGREE, (longitude + 180) % 360 - 180


if __name__ == "__main__":
    random, finder, places = Random(20271), TimezoneFinder(), list(towns())  # noqa: S311
    rows = csv.writer(sys.stdout, lineterminator="\n")
    rows.writerow(("kind", "latitude_deg", "longitude_deg", "zone"))
    for kind, point in (("near", lambda: near(random, places)), ("land", lambda: on_land(random))):
        found = 0
        while found < POINTS:
            latitude, longitude = (round(part, 4) for part in point())
            zone = finder.timezone_at(lat=latitude, lng=longitude)
            if zone and not zone.startswith("Etc/") and latitude > -60:
                rows.writerow((kind, latitude, longitude, zone))
                found += 1
