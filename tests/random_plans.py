"""Random shoots, invented: a good one by chance, with blanks, and plausible other values of each quantity."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields
from datetime import date
from random import Random
from types import MappingProxyType
from typing import Any

from webcalc.calc.typed import Typed
from webcalc.web.link.inputs import read_inputs
from webcalc.web.link.quantities import QUANTITIES

#: Plausible texts of each quantity, as a link has them; "" is blank.
TEXTS: dict[str, tuple[str, ...]] = {
    "first": ("2027-06-01", "2027-06-10", "2027-10-25"),
    "last": ("2027-06-20", "2027-07-03", "2027-11-07", ""),
    "shoot_days": ("", "", "10", "3 weeks", "1mo"),
    "from": ("08:00", "06:30", "20:00", "00:00", "12:00"),
    "until": ("18:00", "16:45", "08:00", "00:00", "12:00"),
    "days": ("1234567", "12345", "67", "2"),
    "skip": ("", "", "2027-06-11", "2027-06-12/2027-06-14"),
    "interval": ("60s", "5min", "20min", "10s", "2h", ""),
    "settable": ("", "5s,30s,5min", "1min", "1h,24h"),
    "fps": ("25", "30", "23.976"),
    "clip": ("", "20s", "2min", "5min"),
    "kept": ("", "100", "80", "66.6"),
    "stills": ("", "", "", "no"),
    "burst": ("", "", "10s", "4s"),
    "burst_mbps": ("20", "40", "8"),
    "motion": ("", "", "0", "50", "900"),
    "size": ("3840x2160", "1920x1080", ""),
    "picture": ("standard", "economy", "fine", "raw14"),
    "frame_mb": ("", "", "0.14", "2", "6.5"),
    "card_gb": ("64", "8", "256", "1"),
    "used_gb": ("", "", "3", "0.5"),
    "card_reserve": ("", "10", "30"),
    "kept_on": ("", "", "", "sent"),
    "clip_mbps": ("", "50", "100"),
    "reader_mbs": ("", "90", "30"),
    "upload_mbps": ("", "10", "40"),
    "copies": ("", "3", "2"),
    "power": ("", "", "", "mains"),
    "cell": ("", "li-ion", "agm", "LR6", "FR6", "lifepo4"),
    "cells": ("", "", "4", "8"),
    "battery_wh": ("100", "25", "1000", ""),
    "battery_mah": ("", "", "10000", "20000"),
    "battery_v": ("", "", "3.7", "12"),
    "converter": ("", "", "85", "95"),
    "ageing": ("", "", "10", "30"),
    "battery_reserve": ("", "20", "35"),
    "temp_c": ("5", "20", "-12"),
    "standby_mw": ("50", "5", "400", ""),
    "frame_j": ("8", "2", "40", ""),
    "record_mw": ("", "", "300", "1200"),
    "burst_mw": ("", "2000", "900"),
    "motion_j": ("", "", "5", "11"),
    "other_mw": ("", "", "20", "500"),
    "draw_ma": ("", "", "", "6", "80"),
    "draw_v": ("", "", "", "12", "3.7"),
    "charge_frames": ("", "", "", "4000", "900"),
    "lasted_days": ("", "", "", "12", "45"),
    "lasted_interval": ("", "", "1min", "10min"),
    "panel_w": ("", "", "", "5", "20"),
    "panel_tilt": ("50", "10", "90"),
    "panel_facing": ("", "equator", "east_west", "away"),
    "sky": ("mixed", "clear", "overcast"),
    "panel_loss": ("", "", "25", "60"),
    "temp_winter": ("", "", "-8", "0"),
    "temp_spring": ("", "", "8", "12"),
    "temp_summer": ("", "", "25", "35"),
    "temp_autumn": ("", "", "9", "15"),
    "lat": ("40.4167", "64.15", "-41.3", "69.65", ""),
    "lon": ("-3.7033", "-21.94", "174.78", "18.95", ""),
    "geo": ("", "", "", "geo:51.5,-0.1", "geo:48.1,11.6"),
    "place": ("", "", "", "Quito, Ecuador", "London, England"),
    "tz": ("Europe/Madrid", "Atlantic/Reykjavik", "Pacific/Auckland", ""),
    "light": ("sun", "civil", "30min"),
    "clock": ("", "", "+01:00", "-03:00"),
    "visit_days": ("", "12345", "6"),
    "visit_skip": ("", "", "2027-06-14/2027-06-18", "2027-06-16"),
    "margin": ("", "3", "1"),
    "clean": ("", "", "7", "30"),
    "drift": ("", "1.7", "20"),
    "drift_max": ("", "", "10s", "10min"),
    "renew": ("", "", "card", "battery,clock"),
    "visit_km": ("", "", "40", "120"),
    "on": ("", "", "2027-06-15", "2027-06-12T13:00"),
    "since": ("", "", "2027-06-10T09:00", "2027-06-11T09:00"),
    "at": ("", "2027-06-12T11:00", "2027-06-14T11:00"),
    "found_frames": ("", "130", "4000"),
    "found_gb": ("", "0.3", "12"),
    "found_gib": ("", "", "0.28", "10"),
    "found_battery": ("", "80", "35"),
    "found_volts": ("", "", "12.5", "12.1"),
    "found_clock": ("", "5", "-40"),
    "found_first": ("", "", "1", "9500"),
    "found_last": ("", "", "130", "400"),
    "sensor": ("", "1/2.8in", "1in"),
    "sensor_mm": ("", "", "5.60x3.15", "13x9"),
    "focal_mm": ("4", "16", ""),
    "focal_eq_mm": ("", "", "28", "50"),
    "hfov": ("", "", "60", "95"),
    "distance_m": ("40", "8", "300"),
    "tilt": ("", "-10", "5"),
    "camera_m": ("", "12", "4"),
    "subject_m": ("", "6", "1.8"),
    "width_m": ("", "20", "60"),
    "aperture": ("", "f/8", "f/2.8"),
    "coc_mm": ("", "", "0.005", "0.03"),
    "kind": ("", "traffic", "building"),
    "speed": ("", "", "50 km/h", "2 m/s"),
    "direction": ("", "0", "60"),
    "across": ("", "", "20", "50"),
    "shutter": ("", "1/50", "1/500", "2"),
    "exposed": ("", "", "50", "10"),
    "bearing": ("", "150", "270"),
    "mark_lat": ("", "", "40.43", "64.2"),
    "mark_lon": ("", "", "-3.69", "-21.9"),
    "sun_margin": ("", "", "5", "20"),
    "ref1": ("", "412,318", "300,300"),
    "ref2": ("", "3400,1800", "1700,900"),
    "now1": ("", "430,325", "310,300"),
    "now2": ("", "3416,1812", "1712,930"),
    "reading_px": ("", "", "1", "3"),
    "turned": ("", "", "0.1", "1"),
    "limit_px": ("", "", "1", "10"),
    "arm_mm": ("", "", "80", "200"),
    "pitch_mm": ("", "", "1", "1.25"),
    "shift_mm": ("", "", "5", "40"),
    "near_m": ("", "", "8", "3"),
    "far_m": ("", "", "300", "90"),
}
#: Quantities that came later, each drawn on its own, so that the shoots of the others stay what they were.
LATER: dict[str, tuple[str, ...]] = {
    "site": ("", "", "", "", "60.17,24.94", "19.43,-99.13,Mexico City, Mexico"),
    "head": ("", "ball", "pan_tilt"),
    "ref3": ("", "1900,300", "2000,1500"),
    "ref4": ("", "", "900,1200"),
    "ref5": ("", "", "3000,400"),
    "ref6": ("", "", "", "500,1900"),
    "now3": ("", "1917,306", "2020,1510"),
    "now4": ("", "", "918,1208"),
    "now5": ("", "", "3016,408"),
    "now6": ("", "", "", "519,1909"),
    "did": ("", "", "2027-06-11T09:00,card", "2027-06-10T09:00,battery,clock/2027-06-11T09:30,none,frames:40"),
    "frame_mb_max": ("", "", "2.5", "0.2"),
    "sunshine": ("", "", "20,27,33,39,40,42,43,44,38,32,25,18", "60,58,52,48,40,38,40,44,46,50,52,56"),
    "sun_kwh": ("", "", "", "0.6,1.1,2.2,3.5,4.6,4.9,4.8,4.1,2.9,1.6,0.8,0.5"),
    "panel_shade": ("", "", "10", "60,50,20,0,0,0,0,0,0,0,20,60"),
    "camera_kind": ("", "", "sleeper", "system_awake", "phone"),
    "meter_mah": ("", "", "20", "400"),
    "meter_v": ("", "5", "7.4"),
    "meter_min": ("", "60", "90"),
    "lasted_temp_c": ("", "", "20", "-3"),
    "lasted_wh": ("", "", "", "60", "20"),
    "lasted_hours": ("", "", "", "12", "3"),
    "lasted_from": ("", "", "", "90", "75"),
    "lasted_to": ("", "", "", "40", "5"),
    "charge_by": ("", "", "maker", "own"),
    "mah_for": ("", "one", "all"),
    "found_first_at": ("", "", "2027-06-10T08:00", "2027-06-11T12:00"),
    "found_last_at": ("", "", "2027-06-12T10:59", "2027-06-11T12:00"),
    "battery_shows": ("", "charge", "usable"),
    "gb_shows": ("", "decimal", "binary"),
    "clock_by": ("", "phone", "offset"),
    "projection": ("", "", "", "equidistant"),
    "recorded_as": ("", "", "", "video"),
    "video_mb_min": ("150", "", "900"),
    "series": ("", "1", "2"),
    "spares": ("", "1", "3"),
    "found_temp_c": ("", "", "20", "-3"),
}
TEXTS |= LATER
#: Text that is wrong for every quantity.
WRONG = "?!" * 40


def random_texts(
    random: Random, blanks: float = 0.0, also: Mapping[str, tuple[str, ...]] = MappingProxyType({})
) -> dict[str, str]:
    """Return a plan as a link has it; each quantity is left out with the probability ``blanks`` besides.

    ``also``: texts instead of those of the table.
    """
    choices = {**TEXTS, **also}
    plan = {name: random.choice(texts) for name, texts in choices.items() if name not in LATER}
    plan = {name: text for name, text in plan.items() if text and random.random() >= blanks}
    for name in LATER:
        own = Random(f"{name} of {plan}")  # noqa: S311 - shoots to try, no secrets
        text = own.choice(choices[name])
        if text and own.random() >= blanks:
            plan[name] = text
    # What is good alone may not be good together.
    while wrong := together_wrong(plan):
        plan = {name: text for name, text in plan.items() if name not in wrong}
    return plan


def together_wrong(texts: dict[str, str]) -> set[str]:
    """Return the names that can't be as they are beside the others."""
    return set(read_inputs({"v": "1", **texts}.items(), date(2027, 3, 1)).errors)


def typed_of(texts: dict[str, str]) -> dict[str, Any]:
    """Return the quantities of a shoot as the calculation package takes them, by the names of its fields."""
    return {field_of(name): QUANTITIES[name].read(text) for name, text in texts.items()}


def field_of(name: str) -> str:
    """Return the name of a shoot's field."""
    return "from_" if name == "from" else name


def quantity_names() -> list[str]:
    """Return every quantity of a shoot."""
    return [each.name.rstrip("_") for each in fields(Typed)]
