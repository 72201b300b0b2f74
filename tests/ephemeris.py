"""JPL DE421 from the package skyfield-data, loaded once for every test that compares with it; no network."""

from __future__ import annotations

import warnings

import skyfield_data
from skyfield.api import Loader

with warnings.catch_warnings():
    # The package warns when its table of leap seconds and polar motion is old; that table isn't used here.
    warnings.filterwarnings("ignore", message=r"The file \S+ has expired", category=RuntimeWarning)
    _load = Loader(skyfield_data.get_skyfield_data_path())

TIMESCALE = _load.timescale(builtin=True)
BODIES = _load("de421.bsp")
