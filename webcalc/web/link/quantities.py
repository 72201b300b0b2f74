"""The one table of quantities: name in the link, label, unit, parser, limits, hint, usual value.

Everything that reads or writes a quantity (forms, links, data, the page ``/link``) takes it from here. The order
of the table is the order in a canonical link, so it never changes: new names are appended. See DEVELOPERS.md,
"Adding a quantity".
"""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

from webcalc.calc.optics.view import SENSORS
from webcalc.web.link.kinds.basics import FAHRENHEIT, FEET, Choice, Choices, FrameRate, Lines, PictureSize, Words
from webcalc.web.link.kinds.dates import Day, Days, LastDay, Length
from webcalc.web.link.kinds.optics import Exposure, FNumber, Pixel, SizeInMm, Speed
from webcalc.web.link.kinds.places import City, Coordinate, GeoUri, PlaceField
from webcalc.web.link.kinds.several import Months, VisitLog
from webcalc.web.link.kinds.times import (
    Clock,
    Duration,
    Durations,
    Instant,
    LightRule,
    Moment,
    UtcOffset,
    Weekdays,
    Zone,
)
from webcalc.web.link.quantity import Quantity, number, one_of, whole

#: Version of the link format, written as ``v`` at the start of every canonical link.
FORMAT_VERSION = 1
#: Stands for today's date at the site in ``usual``.
TODAY = "today"

PERCENT = number("0", "100", "%")
TEMPERATURE = number("-40", "60", "°C", "C", other=FAHRENHEIT)
ANY_INTERVAL = Duration(Fraction(1, 10), Fraction(86_400))

_TABLE = (
    Quantity("name", "Camera name", Words(60), hint="for the sheet and the list of visits"),
    Quantity("first", "First day", Day(), usual=TODAY),
    Quantity("last", "Last day", LastDay(), hint="or 6 months; empty: worked out"),
    Quantity("from", "Records from", Clock(), hint="on the camera clock", usual="08:00"),
    Quantity("until", "Records until", Clock(), hint="00:00 is midnight", usual="18:00"),
    Quantity("days", "Weekdays", Weekdays(), usual="1234567"),
    Quantity("skip", "Days left out", Days(), hint="2027-12-25, or a stretch: 2027-12-24/2027-12-31"),
    Quantity("interval", "Interval", ANY_INTERVAL, hint="45s, 2min, 1h; bare: seconds", usual="60s"),
    Quantity("fps", "Frame rate of the clip", FrameRate(), "fps", usual="30"),
    Quantity("clip", "Clip wanted", Duration(Fraction(1, 100), Fraction(360_000)), hint="20s, 1:30 or 2min"),
    Quantity("kept", "Frames kept", number("1", "100", "%"), "%", "60 to 90 on long outdoor shoots", "100"),
    Quantity("size", "Picture size", PictureSize(), "px", "width x height, like 1920x1080", "1920x1080"),
    Quantity(
        "picture",
        "Picture quality",
        Choice(
            (
                ("economy", "small JPEG files"),
                ("standard", "usual JPEG files"),
                ("fine", "large JPEG files"),
                ("raw12", "raw files, 12 bit"),
                ("raw14", "raw files, 14 bit"),
            )
        ),
        usual="standard",
    ),
    Quantity(
        "frame_mb", "Measured frame", number("0.001", "1000", "MB"), "MB", "size of a test frame of the real scene"
    ),
    Quantity("card_gb", "Card", number("0.1", "100000", "GB"), "GB", "as printed on it"),
    Quantity("used_gb", "Already used on the card", number("0", "100000", "GB"), "GB"),
    Quantity("card_reserve", "Card kept free", number("0", "90", "%"), "%", "empty: none"),
    Quantity("burst", "Burst length", Duration(Fraction(1, 10), Fraction(3600)), hint="short video on the interval"),
    Quantity("burst_mbps", "Burst bit rate", number("0.1", "2000", "Mbit/s"), "Mbit/s"),
    Quantity("motion", "Motion-triggered frames", whole(0, 100_000), "a day", "about, on a recorded day"),
    Quantity(
        "cell",
        "Cell type",
        one_of(
            "not said",
            LR6="LR6 alkaline AA",
            LR14="LR14 alkaline C",
            LR20="LR20 alkaline D",
            FR6="FR6 lithium AA",
            HR6="HR6 NiMH AA",
            **{"li-ion": "Li-ion"},
            lifepo4="LiFePO4",
            agm="lead-acid AGM",
        ),
    ),
    Quantity("cells", "Number of cells", whole(1, 1000), hint="all of them, in series and parallel"),
    Quantity("battery_wh", "Battery energy", number("0.01", "100000", "Wh"), "Wh", "printed on it: best"),
    Quantity("battery_mah", "Battery capacity", number("1", "10000000", "mAh"), "mAh"),
    Quantity("battery_v", "Battery voltage", number("0.5", "1000", "V"), "V", "power banks: 3.6 or 3.7, not 5"),
    Quantity("standby_mw", "Standby draw", number("0", "100000", "mW"), "mW"),
    Quantity("frame_j", "Energy per frame", number("0", "100000", "J"), "J"),
    Quantity("temp_c", "Temperature", TEMPERATURE, "°C", "coldest the battery gets", "20"),
    Quantity("battery_reserve", "Battery reserve", number("0", "90", "%"), "%", usual="20"),
    Quantity("lat", "Latitude", Coordinate(90, "N", "S"), hint="40.4167 or 40°25'00\"N"),
    Quantity("lon", "Longitude", Coordinate(180, "E", "W"), hint="-3.7033 or 3°42'12\"W"),
    Quantity("place", "City", City(), hint="instead; larger ones are listed"),
    Quantity("geo", "Geo link", GeoUri(), hint="instead; geo:40.4167,-3.7033"),
    Quantity("tz", "Time zone", Zone(), hint="like Europe/Madrid"),
    Quantity("light", "Light enough", LightRule(), usual="sun"),
    # Appended to the first set; the order above is part of the link format.
    Quantity("clock", "Camera clock set to", UtcOffset(), hint="offset from UTC; empty: the site's on the first day"),
    Quantity("stills", "Stills", one_of("one every interval", no="none, bursts only")),
    Quantity("settable", "Intervals it can set", Durations(ANY_INTERVAL), hint="5s,30s,5min; empty: the usual ones"),
    Quantity("clip_mbps", "Finished clip bit rate", number("0.1", "5000", "Mbit/s"), "Mbit/s"),
    Quantity("reader_mbs", "Card reader", number("0.1", "10000", "MB/s"), "MB/s"),
    Quantity("upload_mbps", "Upload", number("0.01", "100000", "Mbit/s"), "Mbit/s"),
    Quantity("copies", "Copies kept", whole(1, 20), hint="3 on 2 media, 1 elsewhere is common practice"),
    Quantity(
        "record_mw", "Draw while recording", number("0", "1000000", "mW"), "mW", "on top of standby, in the window"
    ),
    Quantity("burst_mw", "Draw during bursts", number("0", "1000000", "mW"), "mW", "on top of standby"),
    Quantity("motion_j", "Energy per motion frame", number("0", "100000", "J"), "J", "empty: as other frames"),
    Quantity("other_mw", "Other draw", number("0", "1000000", "mW"), "mW", "heater, modem, round the clock"),
    Quantity("draw_ma", "Mean current, all in", number("0.001", "1000000", "mA"), "mA", "over day and night"),
    Quantity("draw_v", "Voltage of that current", number("0.5", "1000", "V"), "V"),
    Quantity("charge_frames", "Frames per charge", whole(1, 100_000_000), hint="frames that one battery gave"),
    Quantity(
        "lasted_days", "It has lasted", number("0.01", "10000", "days", "d"), "days", "on this battery and schedule"
    ),
    Quantity("lasted_interval", "Interval at that time", ANY_INTERVAL, hint="empty: as planned"),
    Quantity("ageing", "Capacity lost to age", number("0", "90", "%"), "%", "empty: none"),
    Quantity("converter", "Converter efficiency", number("30", "100", "%"), "%", "power banks: 85 is usual"),
    Quantity("on", "Look at", Moment(), hint="a date, or a date and time; empty: now"),
    # What the picture covers, and how things move in it.
    Quantity("sensor", "Sensor", Choice((("", "not said"), *((name, name) for name in SENSORS)))),
    Quantity("sensor_mm", "Sensor sides", SizeInMm(), "mm", "instead; like 5.60x3.15"),
    Quantity("focal_mm", "Focal length", number("0.1", "5000", "mm"), "mm", "as on the lens"),
    Quantity("focal_eq_mm", "35 mm equivalent", number("1", "10000", "mm"), "mm", "instead; phones: 23 to 28"),
    Quantity("hfov", "Angle of view", number("0.05", "179", "°", "deg"), "°", "across the picture; instead"),
    Quantity("distance_m", "Distance", number("0.01", "100000", "m", other=FEET), "m", "to the subject"),
    Quantity("tilt", "Tilt", number("-90", "90", "°", "deg"), "°", "down: negative; empty: level"),
    Quantity("camera_m", "Camera height", number("0.01", "5000", "m", other=FEET), "m", "above ground"),
    Quantity("subject_m", "Subject height", number("0.0001", "10000", "m", other=FEET), "m"),
    Quantity("width_m", "Width wanted", number("0.001", "100000", "m", other=FEET), "m", "at the distance"),
    Quantity("aperture", "Aperture", FNumber(Decimal("0.5"), Decimal(128)), hint="f-number, like f/8"),
    Quantity("coc_mm", "Circle of confusion", number("0.0001", "1", "mm"), "mm", "empty: diagonal / 1500"),
    Quantity(
        "kind",
        "What moves",
        one_of(
            "not said",
            traffic="road traffic",
            clouds="clouds",
            people="people walking",
            site_machines="machines on a site",
            building="a building growing",
            snow="snow settling or melting",
            shadows="shadows",
            tide="tide",
            plants="plants growing",
            stars="stars",
        ),
    ),
    Quantity("speed", "Speed", Speed(Decimal(0), Decimal(100_000)), "m/s", "or 50 km/h, 10 mm/d; empty: by the kind"),
    Quantity("direction", "Direction", number("0", "90", "°", "deg"), "°", "0 across the picture, 90 along the view"),
    Quantity("across", "Frames to cross it", number("2", "1000"), hint="at least; empty: 20, chosen here"),
    Quantity("shutter", "Exposure", Exposure(Fraction(1, 32_000), Fraction(3600)), "s", "1/50, as metered"),
    Quantity("exposed", "Exposed share wanted", number("1", "100", "%"), "%", "of the interval; empty: 50"),
    # What was found at the camera.
    Quantity("since", "Running since", Instant(), hint="start or last visit, site time; empty: the shoot's start"),
    Quantity("at", "Looked at", Instant(), hint="site time; empty: now"),
    Quantity("found_frames", "Frames found", whole(0, 100_000_000), hint="taken since then; bursts count too"),
    Quantity("found_gb", "Space used", number("0", "100000", "GB"), "GB", "as the device shows it"),
    Quantity("found_gib", "Space used, binary", number("0", "100000", "GiB"), "GiB", "instead"),
    Quantity("found_battery", "Battery reads", PERCENT, "%"),
    Quantity("found_volts", "Battery at rest", number("0.1", "1000", "V"), "V", "instead; lead-acid, hours unloaded"),
    Quantity("found_clock", "Clock fast by", number("-1000000", "1000000", "s"), "s", "slow: negative"),
    Quantity("found_first", "First frame number", whole(1, 9999), hint="taken since then"),
    Quantity("found_last", "Last frame number", whole(1, 9999)),
    # Where the camera looks, and how it came back.
    Quantity("bearing", "Camera bearing", number("0", "360", "°", "deg"), "°", "true north 0, east 90"),
    Quantity("mark_lat", "Landmark latitude", Coordinate(90, "N", "S"), hint="in the middle of the picture"),
    Quantity("mark_lon", "Landmark longitude", Coordinate(180, "E", "W")),
    Quantity("sun_margin", "Margin round the picture", number("0", "90", "°", "deg"), "°", "empty: 0"),
    Quantity("ref1", "Landmark 1, before", Pixel(), "px", "x,y from the top left"),
    Quantity("ref2", "Landmark 2, before", Pixel(), "px", "far from the first"),
    Quantity("now1", "Landmark 1, now", Pixel(), "px"),
    Quantity("now2", "Landmark 2, now", Pixel(), "px"),
    Quantity("reading_px", "Read to within", number("0.01", "100", "px"), "px", "empty: 1"),
    Quantity("turned", "Turned by", number("0.001", "45", "°", "deg"), "°", "empty: 0.1"),
    Quantity("limit_px", "Movement allowed", number("0.01", "10000", "px"), "px", "empty: 1"),
    Quantity("arm_mm", "Bracket’s arm", number("0.1", "100000", "mm"), "mm", "pivot to screw"),
    Quantity("pitch_mm", "Screw pitch", number("0.01", "100", "mm"), "mm", "M6: 1, M8: 1.25"),
    Quantity("shift_mm", "Moved sideways", number("0", "100000", "mm"), "mm"),
    Quantity("near_m", "Nearest thing", number("0.01", "100000", "m", other=FEET), "m"),
    Quantity("far_m", "Farthest thing", number("0.01", "100000", "m", other=FEET), "m", "empty: endless"),
    Quantity("units", "Units", one_of("as usual where you are", metric="°C, m, km", imperial="°F, ft, mi")),
    Quantity(
        "write",
        "Times and decimals",
        one_of(
            "as usual where you are",
            **{"24-point": "14:30, 1.5", "24-comma": "14:30, 1,5", "12-point": "2:30 pm, 1.5"},
        ),
    ),
    # What a solar panel adds.
    Quantity("panel_w", "Solar panel", number("0.1", "10000", "W"), "W", "rated, in full sun; empty: none"),
    Quantity("panel_tilt", "Panel tilt", number("0", "90", "°", "deg"), "°", "0 flat, 90 upright"),
    Quantity(
        "panel_facing",
        "Panel faces",
        one_of("not said", equator="the equator", east_west="east or west", away="away from it"),
        hint="empty: the equator",
    ),
    Quantity("sky", "Usual sky", one_of("not said", clear="clear", mixed="mixed", overcast="overcast")),
    Quantity("panel_loss", "Panel losses", number("0", "95", "%"), "%", "heat, dirt, wires, charging; empty: 25"),
    Quantity("temp_winter", "Temperature in winter", TEMPERATURE, "°C", "empty: the coldest"),
    Quantity("temp_spring", "Temperature in spring", TEMPERATURE, "°C"),
    Quantity("temp_summer", "Temperature in summer", TEMPERATURE, "°C"),
    Quantity("temp_autumn", "Temperature in autumn", TEMPERATURE, "°C"),
    # When somebody goes there.
    Quantity("visit_days", "Visiting days", Weekdays(), hint="none ticked: any day", usual="12345"),
    Quantity("visit_skip", "No visits on", Days(), hint="2027-12-25, or 2027-12-24/2027-12-31"),
    Quantity("margin", "Margin", whole(0, 90, "days", "d"), "days", "comes early; empty: none", "3"),
    Quantity(
        "clean", "Longest between visits", whole(1, 3660, "days", "d"), "days", "to clean and look; empty: no limit"
    ),
    Quantity("drift", "Clock drift", number("0", "3600", "s"), "s a day", "empty: 1.7, a usual crystal", "1.7"),
    Quantity(
        "drift_max", "Clock error accepted", Duration(Fraction(1), Fraction(86_400)), hint="10min, 1h; empty: any"
    ),
    Quantity(
        "renew",
        "A visit renews",
        Choices((("card", "card"), ("battery", "battery"), ("clock", "clock"))),
        hint="none ticked: all of them",
        usual="card,battery,clock",
    ),
    Quantity("visit_km", "Drive of a visit", number("0", "10000", "km"), "km", "there and back"),
    Quantity("shoot_days", "Shoot length", Length(), hint="42, 6 weeks, 3mo"),
    Quantity("mounting", "Mounting notes", Lines(2_000), hint="for the crew sheet"),
    Quantity("power", "Power", one_of("battery", mains="mains")),
    Quantity("kept_on", "Frames are kept", one_of("on the card", sent="nowhere here: sent on")),
    # What the camera hangs on, and more landmarks to put it back by.
    Quantity("head", "Head", one_of("not said", ball="ball", pan_tilt="pan and tilt, base level")),
    *(Quantity(f"ref{n}", f"Landmark {n}, before", Pixel(), "px") for n in range(3, 7)),
    *(Quantity(f"now{n}", f"Landmark {n}, now", Pixel(), "px") for n in range(3, 7)),
    Quantity("site", "Place", PlaceField(), hint="a town, or coordinates"),
    Quantity(
        "frame_mb_max", "On the largest day", number("0.001", "1000", "MB"), "MB", "mean of that day; empty: the same"
    ),
    # The sun of the site, month by month.
    Quantity("sunshine", "Sunshine by month", Months(PERCENT), "%", "of daylight, 12 from January; empty: by the sky"),
    Quantity(
        "sun_kwh",
        "Sun energy by month",
        Months(number("0", "15", "kWh")),
        "kWh/m²",
        "a day on the level, 12 from January; instead",
    ),
    Quantity(
        "panel_shade",
        "Lost to snow, shade",
        Months(PERCENT, one_for_all=True),
        "%",
        "one number or 12 from January; empty: none",
    ),
    # What is known of the camera's draw without milliwatts.
    Quantity(
        "camera_kind",
        "Kind of camera",
        one_of(
            "not said",
            sleeper="small, sleeps between frames",
            outdoor="low-power outdoor camera",
            compact_on="action-size, left on",
            compact_switched="action-size, switched for each frame",
            system_sleep="interchangeable lens, sleeps",
            system_awake="interchangeable lens, kept awake",
            board_on="single-board computer, left on",
            board_switched="single-board computer, switched for each frame",
            network="network camera",
            phone="phone, screen off",
        ),
        hint="a range, if its draw isn’t known",
    ),
    Quantity("meter_mah", "Meter read", number("0.001", "1000000", "mAh"), "mAh", "while it recorded"),
    Quantity("meter_v", "Meter volts", number("0.5", "1000", "V"), "V", "USB: 5"),
    Quantity("meter_min", "Meter ran", number("1", "100000", "min"), "min", "an hour at the planned interval"),
    Quantity("lasted_temp_c", "Temperature at that time", TEMPERATURE, "°C", "empty: as planned"),
    Quantity("lasted_wh", "Battery at that time", number("0.01", "100000", "Wh"), "Wh", "empty: this one"),
    Quantity("lasted_hours", "Hours a day at that time", number("0", "24", "h"), "h", "every day; empty: as planned"),
    Quantity("lasted_from", "Battery read at first", PERCENT, "%", "empty: 100"),
    Quantity("lasted_to", "Battery read at last", PERCENT, "%", "empty: 0, used up"),
    Quantity(
        "charge_by",
        "Frames per charge by",
        one_of("not said", maker="its maker, a frame each 30 s", own="own test at that interval"),
    ),
    Quantity(
        "mah_for",
        "Capacity is that of",
        one_of("not said", one="one cell", all="all cells together, at one cell’s voltage"),
        hint="asked for several cells without a voltage",
    ),
    # What the readings at the camera mean, and the files' times.
    Quantity(
        "battery_shows",
        "The battery’s reading is",
        one_of("not said", charge="share of its full charge", usable="share of what is usable"),
    ),
    Quantity(
        "gb_shows", "Its GB are", one_of("not said", decimal="1 000 000 000 bytes", binary="GiB, 1 073 741 824 bytes")
    ),
    Quantity(
        "clock_by",
        "Clock compared with",
        one_of("not said", phone="a phone’s time now", offset="the offset the camera keeps"),
    ),
    Quantity("found_first_at", "Time of the first file", Instant(), hint="as the camera wrote it"),
    Quantity("found_last_at", "Time of the last file", Instant(), hint="as the camera wrote it"),
    Quantity("projection", "Lens draws", one_of("straight lines", equidistant="fisheye, equidistant")),
    Quantity("recorded_as", "Recorded as", one_of("a file each", video="one video file")),
    Quantity(
        "video_mb_min",
        "Video takes",
        number("0.1", "20000", "MB a minute"),
        "MB a minute",
        "of clip, measured; or 20 Mbit/s",
    ),
    Quantity("series", "Cells in series", whole(1, 100), hint="they add up to the voltage; empty: not said"),
    Quantity("spares", "Spare batteries", whole(0, 100), hint="or sets, beyond those needed; empty: none"),
    Quantity("found_temp_c", "Battery was at", TEMPERATURE, "°C", "since then; empty: as planned"),
)

#: What an entry of the log says with a value, and the quantity that is read and limited likewise.
_IN_LOG = {
    **{"frames": "found_frames", "gb": "found_gb", "battery": "found_battery", "clock": "found_clock"},
    **{"card_gb": "card_gb", "battery_wh": "battery_wh", "interval": "interval", "from_": "from", "until": "until"},
}


def _log(table: dict[str, Quantity]) -> Quantity:
    """Return the log, always the last of a link: what is done there grows."""
    named = {name: table[other].kind for name, other in _IN_LOG.items()}
    return Quantity("did", "Visits so far", VisitLog(named), hint="2026-08-20T10:00,card,battery; empty: none")


#: All quantities by name, in the order of a canonical link.
QUANTITIES: dict[str, Quantity] = {quantity.name: quantity for quantity in _TABLE}
QUANTITIES["did"] = _log(QUANTITIES)
