"""The quantities of one shoot, as they are typed: each a value, blank or wrong.

What a blank means stands here and nowhere else. A quantity without a meaning of its own is ``NotKnown`` with its own
name; one of which another may be given instead is None; the rest have the value that a blank stands for.

Names are those of links, so that what is missing can be asked for by name. The unit is in the name or in the type.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from fractions import Fraction
from typing import TypeAlias

from webcalc.calc.clip.interval import SETTABLE_INTERVALS_S
from webcalc.calc.light.place import Place, Spot
from webcalc.calc.power.panel import DEFAULT_LOSS_SHARE
from webcalc.calc.schedule.length import ShootLength
from webcalc.calc.schedule.schedule import ALL_WEEKDAYS
from webcalc.calc.unknown import NotKnown, blank
from webcalc.calc.visits.done import Entry
from webcalc.calc.visits.rules import USUAL_DRIFT_S_PER_DAY

Real: TypeAlias = Decimal | Fraction | float
Seconds: TypeAlias = Fraction
Percent: TypeAlias = Real
Degrees: TypeAlias = Real
Celsius: TypeAlias = Real
Pixels: TypeAlias = tuple[Real, Real]

#: Share of the battery's usable energy that is kept back where nothing is said, in percent.
USUAL_RESERVE_PERCENT = 20


@dataclass(frozen=True, eq=False)
class Typed:
    """What was typed of one shoot. Every field may also be ``NotKnown``: typed wrong, or blank without a meaning."""

    # -- when the camera records ----------------------------------------------------------------------------
    first: date | NotKnown = blank("first")
    #: Worked out where blank: from the shoot's length, else from interval and clip, else from the card.
    last: date | NotKnown | None = None
    shoot_days: ShootLength | NotKnown | None = None
    from_: time | NotKnown = blank("from")
    until: time | NotKnown = blank("until")
    days: frozenset[int] | NotKnown = blank("days")
    skip: frozenset[date] | NotKnown = frozenset()
    # -- what it records, and the clip ----------------------------------------------------------------------
    #: Worked out from the clip where blank.
    interval: Seconds | NotKnown | None = None
    settable: tuple[Seconds, ...] | NotKnown = SETTABLE_INTERVALS_S
    fps: Fraction | NotKnown = blank("fps")
    #: None: no length is wanted.
    clip: Seconds | NotKnown | None = None
    kept: Percent | NotKnown = 100
    #: "" or "no": none, bursts only.
    stills: str | NotKnown = ""
    #: None: no bursts.
    burst: Seconds | NotKnown | None = None
    burst_mbps: Real | NotKnown = blank("burst_mbps")
    motion: int | NotKnown = 0
    # -- the card -------------------------------------------------------------------------------------------
    size: tuple[int, int] | NotKnown | None = None
    picture: str | NotKnown | None = None
    frame_mb: Real | NotKnown | None = None
    card_gb: Real | NotKnown = blank("card_gb")
    used_gb: Real | NotKnown = 0
    card_reserve: Percent | NotKnown = 0
    #: "" on a card in the camera, "sent": frames are sent on and nothing is kept there.
    kept_on: str | NotKnown = ""
    clip_mbps: Real | NotKnown | None = None
    reader_mbs: Real | NotKnown | None = None
    upload_mbps: Real | NotKnown | None = None
    copies: int | NotKnown | None = None
    # -- power ----------------------------------------------------------------------------------------------
    #: "" a battery, "mains": no battery question.
    power: str | NotKnown = ""
    cell: str | NotKnown = ""
    cells: int | NotKnown | None = None
    #: Of the cells, those in series: they make the voltage; None: not said.
    series: int | NotKnown | None = None
    #: Batteries or sets to take beyond those needed; None: none.
    spares: int | NotKnown | None = None
    battery_wh: Real | NotKnown | None = None
    battery_mah: Real | NotKnown | None = None
    battery_v: Real | NotKnown | None = None
    #: "one" cell, or "all" of them together, is what the mAh are printed for; "": not said.
    mah_for: str | NotKnown = ""
    converter: Percent | NotKnown | None = None
    ageing: Percent | NotKnown = 0
    battery_reserve: Percent | NotKnown = USUAL_RESERVE_PERCENT
    temp_c: Celsius | NotKnown = blank("temp_c")
    standby_mw: Real | NotKnown | None = None
    frame_j: Real | NotKnown | None = None
    record_mw: Real | NotKnown | None = None
    burst_mw: Real | NotKnown | None = None
    motion_j: Real | NotKnown | None = None
    other_mw: Real | NotKnown | None = None
    draw_ma: Real | NotKnown | None = None
    draw_v: Real | NotKnown | None = None
    charge_frames: int | NotKnown | None = None
    lasted_days: Real | NotKnown | None = None
    lasted_interval: Seconds | NotKnown | None = None
    #: Conditions of what was measured; None: as planned, on this battery.
    lasted_temp_c: Celsius | NotKnown | None = None
    lasted_wh: Real | NotKnown | None = None
    #: Hours recorded a day, every day; None: window and weekdays as planned.
    lasted_hours: Real | NotKnown | None = None
    #: What the battery read before and after; None: full, and empty.
    lasted_from: Percent | NotKnown | None = None
    lasted_to: Percent | NotKnown | None = None
    #: Who counted the frames per charge: "maker" (by the standard), "own" (as planned, or at the interval then), "" not
    #: said: at an interval that was typed, else either.
    charge_by: str | NotKnown = ""
    #: What a meter read while the camera recorded.
    meter_mah: Real | NotKnown | None = None
    meter_v: Real | NotKnown | None = None
    meter_min: Real | NotKnown | None = None
    #: "": nothing is known of the camera; a kind stands in for draws that aren't known otherwise.
    camera_kind: str | NotKnown = ""
    panel_w: Real | NotKnown | None = None
    panel_tilt: Degrees | NotKnown = blank("panel_tilt")
    panel_facing: str | NotKnown = "equator"
    sky: str | NotKnown = blank("sky")
    panel_loss: Percent | NotKnown = 100 * DEFAULT_LOSS_SHARE
    temp_winter: Celsius | NotKnown | None = None
    temp_spring: Celsius | NotKnown | None = None
    temp_summer: Celsius | NotKnown | None = None
    temp_autumn: Celsius | NotKnown | None = None
    # -- where ----------------------------------------------------------------------------------------------
    site: Spot | NotKnown | None = None
    #: Older ways to tell where, for links that have them; the first that is given counts.
    lat: Degrees | NotKnown | None = None
    lon: Degrees | NotKnown | None = None
    geo: tuple[Degrees, Degrees] | NotKnown | None = None
    place: Place | NotKnown | None = None
    tz: str | NotKnown | None = None
    #: "sun", "civil", or a margin in seconds inside sunrise and sunset.
    light: str | Seconds | NotKnown = blank("light")
    #: Offset from UTC that the camera clock keeps; None: the site's on the first day.
    clock: timedelta | NotKnown | None = None
    # -- visits ---------------------------------------------------------------------------------------------
    visit_days: frozenset[int] | NotKnown = ALL_WEEKDAYS
    visit_skip: frozenset[date] | NotKnown = frozenset()
    margin: int | NotKnown = 0
    #: Days; None: no limit.
    clean: int | NotKnown | None = None
    drift: Real | NotKnown = USUAL_DRIFT_S_PER_DAY
    #: None: any error is accepted.
    drift_max: Seconds | NotKnown | None = None
    #: Words of "card", "battery", "clock"; None: all of them.
    renew: frozenset[str] | NotKnown | None = None
    visit_km: Real | NotKnown | None = None
    # -- what was found there -------------------------------------------------------------------------------
    #: A date stands for the end of its window; None: now.
    on: date | datetime | NotKnown | None = None
    since: datetime | NotKnown | None = None
    #: The visits so far, in order; none where blank.
    did: tuple[Entry, ...] | NotKnown = ()
    at: datetime | NotKnown | None = None
    found_frames: int | NotKnown | None = None
    found_gb: Decimal | NotKnown | None = None
    found_gib: Decimal | NotKnown | None = None
    found_battery: Decimal | NotKnown | None = None
    found_volts: Decimal | NotKnown | None = None
    #: Temperature of the battery from when it was full to the look; None: as planned.
    found_temp_c: Celsius | NotKnown | None = None
    found_clock: Decimal | NotKnown | None = None
    found_first: int | NotKnown | None = None
    found_last: int | NotKnown | None = None
    #: On the camera clock.
    found_first_at: datetime | NotKnown | None = None
    found_last_at: datetime | NotKnown | None = None
    #: "charge", "usable", or "": not said, the protecting one.
    battery_shows: str | NotKnown = ""
    #: "decimal", "binary", or "": not said, the protecting one.
    gb_shows: str | NotKnown = ""
    #: "phone", "offset", or "": not said.
    clock_by: str | NotKnown = ""
    # -- what the picture covers, and how things move in it ---------------------------------------------------
    sensor: str | NotKnown = ""
    sensor_mm: tuple[Real, Real] | NotKnown | None = None
    focal_mm: Real | NotKnown | None = None
    focal_eq_mm: Real | NotKnown | None = None
    hfov: Degrees | NotKnown | None = None
    #: None: asked for, but movement goes by what is usual for its kind.
    distance_m: Real | NotKnown | None = None
    #: None: level.
    tilt: Degrees | NotKnown | None = None
    camera_m: Real | NotKnown | None = None
    subject_m: Real | NotKnown | None = None
    width_m: Real | NotKnown | None = None
    aperture: Real | NotKnown | None = None
    coc_mm: Real | NotKnown | None = None
    kind: str | NotKnown = ""
    #: Metres a second; None: by the kind.
    speed: Real | NotKnown | None = None
    direction: Degrees | NotKnown | None = None
    across: Real | NotKnown | None = None
    shutter: Seconds | NotKnown | None = None
    exposed: Percent | NotKnown | None = None
    bearing: Degrees | NotKnown | None = None
    mark_lat: Degrees | NotKnown | None = None
    mark_lon: Degrees | NotKnown | None = None
    sun_margin: Degrees | NotKnown = 0
    # -- putting it back --------------------------------------------------------------------------------------
    ref1: Pixels | NotKnown | None = None
    ref2: Pixels | NotKnown | None = None
    now1: Pixels | NotKnown | None = None
    now2: Pixels | NotKnown | None = None
    reading_px: Real | NotKnown | None = None
    turned: Degrees | NotKnown | None = None
    limit_px: Real | NotKnown | None = None
    arm_mm: Real | NotKnown | None = None
    pitch_mm: Real | NotKnown | None = None
    shift_mm: Real | NotKnown | None = None
    near_m: Real | NotKnown | None = None
    far_m: Real | NotKnown | None = None
    #: "" not said, "ball", or "pan_tilt": pans about the vertical of a level base.
    head: str | NotKnown = ""
    #: Landmarks beyond the two that are enough; each counts where it is given in both frames.
    ref3: Pixels | NotKnown | None = None
    ref4: Pixels | NotKnown | None = None
    ref5: Pixels | NotKnown | None = None
    ref6: Pixels | NotKnown | None = None
    now3: Pixels | NotKnown | None = None
    now4: Pixels | NotKnown | None = None
    now5: Pixels | NotKnown | None = None
    now6: Pixels | NotKnown | None = None
    #: "" stills, a file each; "video": all of them in one video file, whose rate is that of the clip.
    recorded_as: str | NotKnown = ""
    #: Decimal megabytes a minute of that file.
    video_mb_min: Real | NotKnown | None = None
    #: "" rectilinear, "equidistant": a fisheye.
    projection: str | NotKnown = ""
    #: Largest of the daily means of measured frames; None, or less than the mean: as the mean.
    frame_mb_max: Real | NotKnown | None = None
    # -- the sun on a panel -----------------------------------------------------------------------------------
    #: Twelve shares of sunshine n/N in percent, January first; None: only the class of sky is known.
    sunshine: tuple[Percent, ...] | NotKnown | None = None
    #: Twelve kWh per square metre and day on the level; counts before the shares.
    sun_kwh: tuple[Real, ...] | NotKnown | None = None
    #: What snow and shade take in each month; None: nothing.
    panel_shade: tuple[Percent, ...] | NotKnown | None = None
