"""Reading a link: strict parsers by table, and link to state to link without loss."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta
from decimal import Decimal
from fractions import Fraction
from html.entities import html5
from typing import Any
from urllib.parse import parse_qsl, quote

import pytest
from examples import FULL
from hypothesis import given, settings
from hypothesis import strategies as st
from strategies import has_strategy, nonsense, values_of

from webcalc.web.link.inputs import read_inputs
from webcalc.web.link.kinds.basics import BadInput
from webcalc.web.link.mending import read_arrived
from webcalc.web.link.quantities import QUANTITIES

TODAY = date(2027, 3, 2)

#: Quantity, typed text, value.
GOOD: list[tuple[str, str, Any]] = [
    # decimals, with a point or a comma, with the unit or without
    ("card_gb", "64", Decimal(64)),
    ("card_gb", "64 GB", Decimal(64)),
    ("card_gb", "64gb", Decimal(64)),
    ("card_gb", "0,5", Decimal("0.5")),
    ("card_gb", ".5", Decimal("0.5")),
    ("card_gb", "+64", Decimal(64)),
    ("card_gb", "007", Decimal(7)),
    ("card_gb", "1,5", Decimal("1.5")),
    ("card_gb", "1,0000", Decimal(1)),
    ("temp_c", "-10", Decimal(-10)),
    ("temp_c", "−10", Decimal(-10)),
    ("temp_c", "-10 °C", Decimal(-10)),
    ("temp_c", "-10,5C", Decimal("-10.5")),
    ("temp_c", "-0", Decimal(0)),
    ("kept", "80 %", Decimal(80)),
    ("cells", "4", 4),
    ("cells", "4.0", 4),
    # lengths of time
    ("interval", "45s", Fraction(45)),
    ("interval", "45", Fraction(45)),
    ("interval", "2min", Fraction(120)),
    ("interval", "2 Minutes", Fraction(120)),
    ("interval", "1h", Fraction(3600)),
    ("interval", "1h30min", Fraction(5400)),
    ("interval", "1 h 30 min", Fraction(5400)),
    ("interval", "1:30", Fraction(90)),
    ("interval", "1:00:05", Fraction(3605)),
    ("interval", "0.5s", Fraction(1, 2)),
    ("interval", "0,5", Fraction(1, 2)),
    ("interval", "1.5min", Fraction(90)),
    ("interval", "1d", Fraction(86_400)),
    # dates
    ("first", "2027-03-01", date(2027, 3, 1)),
    ("first", "2027-3-1", date(2027, 3, 1)),
    ("first", "1 Mar 2027", date(2027, 3, 1)),
    ("first", "1. march 2027", date(2027, 3, 1)),
    ("first", "29 feb 2028", date(2028, 2, 29)),
    ("skip", "2027-12-25", frozenset({date(2027, 12, 25)})),
    ("skip", "2027-12-25, 2027-12-24;", frozenset({date(2027, 12, 24), date(2027, 12, 25)})),
    ("skip", "2027-12-24/2027-12-26", frozenset(date(2027, 12, day) for day in (24, 25, 26))),
    # times of day
    ("from", "08:00", time(8)),
    ("from", "8", time(8)),
    ("from", "0830", time(8, 30)),
    ("from", "8.30", time(8, 30)),
    ("from", "8h30", time(8, 30)),
    ("from", "8 pm", time(20)),
    ("from", "12 am", time(0)),
    ("from", "12:30 p.m.", time(12, 30)),
    ("until", "24:00", time(0)),
    ("until", "00:00", time(0)),
    ("days", "12345", frozenset({1, 2, 3, 4, 5})),
    ("days", "7711", frozenset({1, 7})),
    # rates, sizes, words
    ("fps", "29.97", Fraction(30_000, 1001)),
    ("fps", "23,976 fps", Fraction(24_000, 1001)),
    ("fps", "60", Fraction(60)),
    ("size", "1920x1080", (1920, 1080)),
    ("size", "1920 × 1080 px", (1920, 1080)),
    ("size", "4000*3000", (4000, 3000)),
    ("picture", "RAW12", "raw12"),
    ("cell", "lr6", "LR6"),
    ("name", "Mast 3, north", "Mast 3, north"),
    ("name", "<b>&amp;", "<b>&amp;"),
    ("name", "a\x00b\u202ec", "abc"),
    # places
    ("lat", "40.4167", Decimal("40.4167")),
    ("lat", "40,4167", Decimal("40.4167")),
    ("lat", "-33.87", Decimal("-33.87")),
    ("lat", "33.87S", Decimal("-33.87")),
    ("lat", "40°25'00\"N", Decimal("40.416667")),
    ("lat", "40 25 0 N", Decimal("40.416667")),
    ("lat", "40:25", Decimal("40.416667")),
    ("lat", "40°25.5'", Decimal("40.425")),
    ("lon", "3°42'12\"W", Decimal("-3.703333")),
    ("geo", "geo:40.4167,-3.7033", (Decimal("40.4167"), Decimal("-3.7033"))),
    ("geo", "geo:40.4167,-3.7033,650;crs=wgs84;u=35", (Decimal("40.4167"), Decimal("-3.7033"))),
    ("geo", "GEO:0,0", (Decimal(0), Decimal(0))),
    ("tz", "Europe/Madrid", "Europe/Madrid"),
    ("tz", "America/New York", "America/New_York"),
    ("clock", "+01:00", timedelta(hours=1)),
    ("clock", "UTC-3:30", timedelta(hours=-3, minutes=-30)),
    ("clock", "Z", timedelta(0)),
    ("clock", "5", timedelta(hours=5)),
    ("light", "sun", "sun"),
    ("light", "Civil", "civil"),
    ("light", "30", Fraction(1800)),
    ("light", "30min", Fraction(1800)),
    ("light", "1h", Fraction(3600)),
    ("settable", "30s, 5min 5s", (Fraction(5), Fraction(30), Fraction(300))),
    ("on", "2027-03-01", date(2027, 3, 1)),
    ("on", "2027-03-01T14:30", datetime(2027, 3, 1, 14, 30)),
    ("on", "1 Mar 2027, 2 pm", datetime(2027, 3, 1, 14)),
]

#: Quantity, text as people write it, canonical text.
WRITINGS = [
    ("card_gb", "1TB", "1000"),
    ("card_gb", "64 Go", "64"),
    ("card_gb", "59.6 GiB", "63.99501271"),  # IEC 80000-13: 2^30 bytes
    ("frame_mb", "800 kB", "0.8"),
    ("battery_mah", "2,6 Ah", "2600"),
    ("standby_mw", "1.5 W", "1500"),
    ("interval", "5mn", "5min"),
    ("interval", "2 h", "2h"),
    *[("battery_mah", text, "1750") for text in ("1 750", "1’750", "1'750", "1\u202f750", "1\u00a0750 mAh")],
    ("battery_mah", "1.234.567", "1234567"),
    ("card_gb", "1.750,5", "1750.5"),
    ("card_gb", "1,750.5", "1750.5"),
    ("cells", "٨", "8"),
    ("card_gb", "６４", "64"),
    ("card_gb", "\u200e64\u200f GB\ufeff", "64"),
    ("from", "٠٨:٠٠", "08:00"),
    ("speed", "50kmh", "13.888888888889"),
    ("speed", "30mph", "13.4112"),  # 1609.344 m a mile, 3600 s an hour: exact
    ("speed", "50 km / h", "13.888888888889"),
    *[
        ("first", text, "2027-05-31")
        for text in ("31/05/2027", "05/31/2027", "31.5.2027", "2027/05/31", "May 31, 2027")
    ],
    ("first", "1st March 2027", "2027-03-01"),
    ("first", "02/02/2027", "2027-02-02"),
]


@pytest.mark.parametrize(("name", "text", "canonical"), WRITINGS)
def test_what_people_write_is_read(name: str, text: str, canonical: str) -> None:
    assert read_inputs([("v", "1"), (name, text)], TODAY).canonical == {name: canonical}


#: Quantity, text just typed, the readings that are offered.
TWO_WAYS = [
    ("card_gb", "2.000", {"2": "2", "2000": "2000"}),
    ("card_gb", "1,024", {"1.024": "1.024", "1024": "1024"}),
    ("battery_mah", "2.600 mAh", {"2.6 mAh": "2.6", "2600 mAh": "2600"}),
    ("last", "03/04/2027", {"4 Mar 2027": "2027-03-04", "3 Apr 2027": "2027-04-03"}),
    ("distance_m", "40", {"40 ft": "12.192", "40 m": "40"}),
]


@pytest.mark.parametrize(("name", "text", "readings"), TWO_WAYS)
def test_what_can_mean_two_things_is_asked(name: str, text: str, readings: dict[str, str]) -> None:
    found = read_inputs([("v", "1"), ("typed", "ft"), (name, text)], TODAY)
    assert name in found.errors
    assert {reading.words: reading.text for reading in found.readings[name]} == readings
    # The question goes along: in a link, and in what a form carries.
    for query in (found.query(), found.handed_out(), f"v=1&typed=1&set={quote(found.query()[4:])}"):
        again = read_arrived(str(query), TODAY)
        assert (again.errors, again.readings, again.query()) == (found.errors, found.readings, found.query())
    chosen = read_inputs([*parse_qsl(str(found.query())), ("set", f"{name}={found.readings[name][0].text}")], TODAY)
    assert not chosen.errors
    assert list(chosen.canonical.values()) == [found.readings[name][0].text]


@pytest.mark.parametrize(
    ("query", "canonical"),
    [
        ([("card_gb", "2.000")], {"card_gb": "2"}),
        ([("distance_m", "40")], {"distance_m": "40"}),
        ([("typed", "1"), ("distance_m", "40")], {"distance_m": "40"}),
        # What is canonical already, what is carried along, and what can be no other number.
        ([("typed", "1"), ("card_gb", "1.024")], {"card_gb": "1.024"}),
        ([("typed", "ft"), ("set", "distance_m=40&card_gb=2.000")], {"distance_m": "40", "card_gb": "2"}),
        ([("typed", "1"), ("temp_c", "2.000")], {"temp_c": "2"}),
    ],
)
def test_a_link_keeps_its_reading(query: list[tuple[str, str]], canonical: dict[str, str]) -> None:
    found = read_inputs([("v", "1"), *query], TODAY)
    assert found.canonical == canonical
    assert not found.errors


def test_the_last_day_takes_a_length_too() -> None:
    assert read_inputs([("v", "1"), ("last", "6 months")], TODAY).canonical == {"shoot_days": "6mo"}
    carried = [("v", "1"), ("typed", "1"), ("set", "shoot_days=6mo")]
    assert read_inputs([*carried, ("last", "6 months")], TODAY).canonical == {"shoot_days": "6mo"}
    assert read_inputs([*carried, ("last", "2027-05-31")], TODAY).canonical == {"last": "2027-05-31"}
    assert read_inputs([*carried, ("last", "")], TODAY).canonical == {}


@pytest.mark.parametrize(
    ("name", "text", "canonical"),
    [
        ("frame_mb", "2.71828182845904523536", "2.71828182845904523536"),
        ("frame_mb", "2 718.28182845904523536 kB", "2.71828182845904523536"),
        ("distance_m", "3.1415926535897932 m", "3.1415926535897932"),
        # 1 ft is 0.3048 m exactly (international agreement of 1959).
        ("distance_m", "0.12345678 ft", "0.037629627"),
        ("interval", "1.3333333", "1.3333333s"),
        ("interval", "1:00.123456789", "60.123456789s"),
        ("shutter", "0.123456789", "0.123456789s"),
        ("sensor_mm", "5.600001 x 3.15", "5.600001x3.15"),
    ],
)
def test_as_many_decimals_are_read_as_are_written(name: str, text: str, canonical: str) -> None:
    found = read_inputs([("v", "1"), (name, text)], TODAY)
    assert found.canonical == {name: canonical}
    assert QUANTITIES[name].read(canonical) == found.values[name]


_GB = "{label} must be a number, like 2.5"
_INTERVAL = "{label} must be a length of time, like 45s, 2min or 1h30min"
_DATE = "{label} must be a date, like 2027-03-01 or 1 Mar 2027"
_CLOCK = "{label} must be a time of day, like 08:00 or 5:30 pm"
_LAT = "{label} must be degrees, like 40.4167 or 40°25'00\"N"

#: Quantity, typed text, sentence (``{label}`` stands for the quantity's label).
WRONG: list[tuple[str, str, str]] = [
    *[("card_gb", text, _GB) for text in ("nan", "inf", "-inf", "1e400", "1e3", "1_000", "½", "64 PB")],
    *[("card_gb", text, _GB) for text in ("GB", ".", ",", "-", "1.2.3", "1,00,000", "1 00", "64 GB GB", "1" * 16)],
    ("card_gb", "1,000", "{label}: 1,000 can be read in two ways; write 1000 or 1.000"),
    ("card_gb", "-5", "{label} must be between 0.1 and 100000 GB"),
    ("card_gb", "−5", "{label} must be between 0.1 and 100000 GB"),
    ("card_gb", "0.09", "{label} must be between 0.1 and 100000 GB"),
    ("card_gb", "100000.1", "{label} must be between 0.1 and 100000 GB"),
    ("temp_c", "-40.1", "{label} must be between -40 and 60 °C"),
    ("cells", "4.5", "{label} must be a whole number"),
    ("cells", "four", "{label} must be a number, like 12"),
    ("cells", "0", "{label} must be between 1 and 1000"),
    *[("interval", text, _INTERVAL) for text in ("nan", "1e3", "-5", "2 weeks", "5min 3", "1:60", "1:2", "½s", "s")],
    ("interval", "0", "{label} must be between 0.1s and 24h"),
    ("interval", "25h", "{label} must be between 0.1s and 24h"),
    *[("first", text, _DATE) for text in ("20270301", "1/2027", "01/03/27", "tomorrow", "2027-03", "1 Foo 2027")],
    ("first", "2027-02-29", "{label}: there is no such date as 2027-02-29"),
    ("first", "31 Apr 2027", "{label}: there is no such date as 31 Apr 2027"),
    ("first", "1989-12-31", "{label} must be between the years 1990 and 2100"),
    ("first", "9999-12-31", "{label} must be between the years 1990 and 2100"),
    (
        "skip",
        "2027-12-26/2027-12-24",
        "{label}: 2027-12-26/2027-12-24 must run forward and be shorter than 200 days",
    ),
    (
        "skip",
        "2027-01-01/2027-12-31",
        "{label}: 2027-01-01/2027-12-31 must run forward and be shorter than 200 days",
    ),
    ("settable", ",", "{label} must be lengths of time, like 5s,30s,5min"),
    ("skip", " , ", "{label} must be dates, like 2027-03-01 or 1 Mar 2027"),
    ("skip", "2027-01-01/2027-06-30,2028-01-01/2028-06-30", "{label} must be 200 dates or fewer"),
    *[("from", text, _CLOCK) for text in ("24:01", "25:00", "8:60", "13 pm", "0 am", "noon", "8m", "½:00", "-1:00")],
    ("days", "12348", "{label} must be digits from 1 (Monday) to 7 (Sunday), like 12345"),
    ("days", "Mon", "{label} must be digits from 1 (Monday) to 7 (Sunday), like 12345"),
    ("fps", "27", "{label} must be one of 24, 25, 30, 50, 60, 23.976, 29.97, 59.94"),
    ("size", "1920", "{label} must be width x height in pixels, like 1920x1080"),
    ("size", "15x1080", "{label}: each side must be between 16 and 20000 pixels"),
    ("size", "1920x20001", "{label}: each side must be between 16 and 20000 pixels"),
    ("picture", "best", "{label} must be one of economy, standard, fine, raw12, raw14"),
    ("name", "x" * 61, "{label} must be 60 characters or fewer"),
    *[("lat", text, _LAT) for text in ("?", "40.4.1", "°", "inf", "1_0")],
    ("lat", "90.1", "{label} must be between -90 and 90"),
    *[("lat", text, "{label} must end in N or S") for text in ("40E", "1e1")],
    ("lat", "-40S", "{label}: write a minus sign or a letter, not both"),
    ("lat", "40°60'N", "{label}: minutes and seconds must be below 60"),
    # Ost is east, Ouest and Oeste are west.
    ("lon", "3.7 O", "{label}: O is east in one language and west in another; write E or W"),
    ("lon", "180.5", "{label} must be between -180 and 180"),
    ("geo", "geo:91,0", "{label}: latitude must be within 90 degrees and longitude within 180"),
    ("geo", "geo:40;crs=nad27", "{label} must be a geo link, like geo:40.4167,-3.7033"),
    ("tz", "Europe/Nowhere", "{label} must be an IANA name, like Europe/Madrid"),
    ("tz", "../../etc/passwd", "{label} must be an IANA name, like Europe/Madrid"),
    ("clock", "+14:01", "{label} must be an offset from UTC, like +01:00"),
    ("clock", "+1:60", "{label} must be an offset from UTC, like +01:00"),
    ("light", "moon", "{label} must be sun, civil, or minutes inside sunrise and sunset, like 30min"),
    ("light", "7h", "{label} must be sun, civil, or minutes inside sunrise and sunset, like 30min"),
    ("on", "14:30", "{label} must be a date, or a date and time, like 2027-03-01T14:30"),
    ("on", "2027-03-01T14:30+02:00", "{label} must be site time, without an offset, like 2027-03-01T14:30"),
    ("on", "2027-03-01 14:30Z", "{label} must be site time, without an offset, like 2027-03-01T14:30"),
]


@pytest.mark.parametrize(("name", "text", "value"), GOOD, ids=lambda part: str(part)[:30])
def test_reads(name: str, text: str, value: Any) -> None:
    found = QUANTITIES[name].read(text)
    assert found == value
    assert type(found) is type(value)


@pytest.mark.parametrize(("name", "text", "sentence"), WRONG, ids=lambda part: str(part)[:30])
def test_refuses_with_a_sentence(name: str, text: str, sentence: str) -> None:
    with pytest.raises(BadInput) as problem:
        QUANTITIES[name].read(text)
    assert str(problem.value) == sentence.replace("{label}", QUANTITIES[name].label)


@pytest.mark.parametrize("name", QUANTITIES)
def test_each_kind_has_a_strategy(name: str) -> None:
    assert has_strategy(name), f"{type(QUANTITIES[name].kind).__name__}: add it to strategies.py"


@pytest.mark.parametrize("name", QUANTITIES)
@given(data=st.data())
@settings(max_examples=25, deadline=None)
def test_what_is_written_reads_back(name: str, data: st.DataObject) -> None:
    value = data.draw(values_of(name))
    text = QUANTITIES[name].write(value)
    assert QUANTITIES[name].read(text) == value
    assert QUANTITIES[name].write(QUANTITIES[name].read(text)) == text


@pytest.mark.parametrize("name", QUANTITIES)
@given(text=nonsense)
@settings(max_examples=40, deadline=None)
def test_nonsense_is_read_or_refused_with_a_sentence(name: str, text: str) -> None:
    quantity = QUANTITIES[name]
    stripped = text.strip()
    if not stripped:
        return
    try:
        value = quantity.read(stripped)
    except BadInput as problem:
        assert str(problem).startswith(quantity.label)
        assert "{label}" not in str(problem)
    else:
        assert value == "" or quantity.read(quantity.write(value)) == value


@pytest.mark.parametrize("name", QUANTITIES)
def test_the_table_explains_itself(name: str) -> None:
    quantity = QUANTITIES[name]
    assert quantity.name == name
    assert quantity.label
    if quantity.usual and quantity.usual != "today":
        quantity.read(quantity.usual)
    for option, words in quantity.kind.options:
        assert words
        if option:
            quantity.read(option)


@pytest.mark.parametrize("name", QUANTITIES)
def test_a_name_begins_no_character_reference(name: str) -> None:
    """A link stands in a page with plain ampersands, so ``&name=`` must mean itself there.

    HTML standard, "named character reference state": of the references that need no semicolon, one in an attribute is
    left alone only before "=", a letter or a digit.
    """
    without_semicolon = [reference for reference in html5 if not reference.endswith(";")]
    for reference in filter(name.startswith, without_semicolon):
        following = f"{name}="[len(reference)]
        assert following == "=" or (following.isascii() and following.isalnum()), f"&{reference}"


states = st.lists(st.sampled_from(list(QUANTITIES)), unique=True, max_size=30).flatmap(
    lambda names: st.fixed_dictionaries({name: values_of(name) for name in names})
)


@given(state=states, shuffled=st.randoms(use_true_random=False))
@settings(max_examples=200, deadline=None)
def test_link_to_state_to_link_is_the_identity(state: dict[str, Any], shuffled: Any) -> None:
    pairs = [("v", "1"), *((name, QUANTITIES[name].write(value)) for name, value in state.items())]
    shuffled.shuffle(pairs)
    inputs = read_inputs(pairs, TODAY)
    # Some values can't be together (a last day before the first): those are named, the rest is as it was.
    assert dict(inputs.values) == {name: value for name, value in state.items() if name not in inputs.errors}
    assert inputs.unknown == ()
    link = str(inputs.query())
    again = read_inputs(parse_qsl(link, keep_blank_values=True), TODAY)
    assert again == inputs or set(again.values) == set(inputs.values)
    assert str(again.query()) == link
    names = [name for name, _text in parse_qsl(link)]
    assert names == ["v", *sorted(names[1:], key=list(QUANTITIES).index)]


@given(pairs=st.dictionaries(st.sampled_from([*QUANTITIES, "zz"]), nonsense, max_size=8))
@settings(max_examples=200, deadline=None)
def test_a_canonical_link_says_the_same_again(pairs: dict[str, str]) -> None:
    inputs = read_inputs([("v", "1"), *pairs.items()], TODAY)
    link = str(inputs.query())
    again = read_inputs(parse_qsl(link, keep_blank_values=True), TODAY)
    assert dict(again.values) == dict(inputs.values)
    assert again.errors == inputs.errors


def test_a_golden_link() -> None:
    typed = (
        "until=6pm&from=8&days=7&days=12345&interval=2 min&fps=29.97&size=3840 × 2160&first=1 Mar 2027&v=1&last="
        "&temp_c=-5,50"
    )
    inputs = read_inputs(parse_qsl(typed, keep_blank_values=True), TODAY)
    assert inputs.errors == {}
    assert str(inputs.query()) == (
        "v=1&first=2027-03-01&from=08:00&until=18:00&days=123457&interval=2min&fps=29.97&size=3840x2160&temp_c=-5.5"
    )


def test_a_link_with_a_version_means_what_it_says() -> None:
    assert read_inputs([("v", "1")], TODAY).values == {}


def test_usual_values_stand_in_without_a_version() -> None:
    inputs = read_inputs([], TODAY)
    assert inputs.get("first") == TODAY
    assert inputs.get("fps") == 30
    assert set(inputs.values) == {name for name, quantity in QUANTITIES.items() if quantity.usual}
    assert "interval" not in read_inputs([("clip", "20s")], TODAY).values
    assert "interval" not in read_inputs([], TODAY, frozenset({"interval"})).values
    assert "fps" not in read_inputs([("fps", "")], TODAY).values


def test_unknown_names_and_versions_are_reported() -> None:
    inputs = read_inputs([("v", "2"), ("zz", "1"), ("zz", "2"), ("First", "x")], TODAY)
    assert inputs.unknown == ("zz", "First", "v=2")


def test_a_name_given_twice_is_asked_about() -> None:
    inputs = read_inputs([("v", "1"), ("fps", "25"), ("fps", "30")], TODAY)
    assert inputs.errors == {"fps": "Frame rate of the clip is given more than once; keep one"}
    assert read_inputs([("v", "1"), ("fps", "25"), ("fps", "25")], TODAY).get("fps") == 25


def test_a_text_without_end_is_refused() -> None:
    inputs = read_inputs([("v", "1"), ("skip", "2027-01-01," * 400)], TODAY)
    assert inputs.errors == {"skip": "Days left out is too long"}


@pytest.mark.parametrize(
    ("changes", "name", "sentence"),
    [
        ({"last": "2027-02-28"}, "last", "Last day must be the first day or later"),
        ({"last": "2037-03-10"}, "last", "Last day must be within ten years of the first day"),
        ({"used_gb": "64.1"}, "used_gb", "Already used on the card must be no more than the card holds"),
    ],
)
def test_values_that_cannot_be_together(changes: dict[str, str], name: str, sentence: str) -> None:
    inputs = read_inputs({**FULL, **changes}.items(), TODAY)
    assert inputs.errors == {name: sentence}
    assert not inputs.has(name)


def test_a_changed_link() -> None:
    inputs = read_inputs([("v", "1"), ("from", "08:00"), ("fps", "??")], TODAY)
    assert str(inputs.query()) == "v=1&from=08:00&fps=%3F%3F"
    assert str(inputs.query(from_=time(9), interval=Fraction(90))) == "v=1&from=09:00&interval=90s&fps=%3F%3F"
    assert str(inputs.query(from_=None, fps=None)) == "v=1"
