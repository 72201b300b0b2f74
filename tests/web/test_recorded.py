"""Listings as the common tools write them (forms from memory of their manuals), read alike; and the page."""

from __future__ import annotations

from datetime import date, datetime, timedelta
from random import Random

import pytest
from examples import full_query
from flask.testing import FlaskClient
from hypothesis import given
from hypothesis import strategies as st

from webcalc.web.link.listing import read_listing
from webcalc.web.questions.check.page import CHECK

TODAY = date(2027, 6, 1)
START = datetime(2027, 3, 9, 7, 30, 2)
FILES = [(START + timedelta(minutes=7 * n), 2_000_001 + n, f"CAM_{9990 + n}.JPG") for n in range(40)]
FORMS = {
    "ls -l --time-style=long-iso": "-rw-r--r-- 1 pi users {size} {at:%Y-%m-%d %H:%M} {name}",
    "ls -l --full-time": "-rw-r--r-- 1 1000 1000 {size} {at:%Y-%m-%d %H:%M:%S}.000000000 +0100 {name}",
    "ls -l": "-rw-r--r--  1 pi  users  {size} {at:%b} {at.day:2} {at:%H:%M} {name}",
    "ls -lT": "-rwxrwxrwx  1 pi  staff  {size} {at:%b} {at.day:2} {at:%H:%M:%S %Y} {name}",
    "dir, day first": "{at:%d/%m/%Y  %H:%M}         {size:,} {name}",
    "dir, dots": "{at:%d.%m.%Y  %H:%M}         {size} {name}",
    "dir, month first": "{at:%m/%d/%Y  %I:%M %p}         {size:,} {name}",
    "Get-ChildItem": "-a----        {at:%m/%d/%Y   %I:%M %p}        {size} {name}",
    "unzip -l": "  {size}  {at:%Y-%m-%d %H:%M}   DCIM/100CAM/{name}",
    "tar -tv": "-rw-r--r-- pi/users {size} {at:%Y-%m-%d %H:%M} DCIM/100CAM/{name}",
    "rsync --list-only": "-rw-r--r--  {size:>14,} {at:%Y/%m/%d %H:%M:%S} 100CAM/{name}",
    "find -printf": "{at:%Y-%m-%d %H:%M:%S}.0000000000 {size} ./DCIM/100CAM/{name}",
    "exif table": "{name2},{at:%Y:%m:%d %H:%M:%S}",
    "times": "{at:%Y-%m-%dT%H:%M:%S}",
}
HEADS = ("total 123456", "drwxr-xr-x 2 pi users 4096 Mar  9 07:30 100CAM", " Volume in drive E is CARD", "")


@pytest.mark.parametrize("form", FORMS.values(), ids=FORMS)
def test_listings_of_any_system_are_read_alike(form: str) -> None:
    lines = [form.format(at=at, size=size, name=name, name2=f'"{name}"') for at, size, name in FILES]
    read = read_listing("\r\n".join([*HEADS, *lines]), TODAY)
    has_seconds = "%S" in form
    assert [file.at for file in read.files] == [
        at if has_seconds else at.replace(second=0) for at, _size, _name in FILES
    ]
    assert read.unread + read.others <= len(HEADS)
    if "{size" in form:
        assert [file.bytes for file in read.files] == [size for _at, size, _name in FILES]
    if "{name}" in form:
        assert [file.number for file in read.files] == [9990 + n for n in range(40)]


def test_days_and_months_the_other_way_round_are_asked(client: FlaskClient) -> None:
    lines = [f"{at:%d/%m/%Y  %H:%M} {size} {name}" for at, size, name in FILES]
    assert not read_listing("\n".join([*lines, "25/03/2027  07:30 2000000 CAM_1.JPG"]), TODAY).two_readings
    assert read_listing("\n".join(lines), TODAY).two_readings
    asked = client.post("/recorded", data={"listing": "\n".join(lines)}).get_data(as_text=True)
    assert "<select name=reading" in asked
    other = client.post("/recorded.json", data={"listing": "\n".join(lines), "reading": "month"}).get_json()
    assert other["results"]["first_at"].startswith("2027-09-03")


def test_a_year_left_out_is_the_last_one_that_is_over() -> None:
    (file,) = read_listing("-rw-r--r-- 1 pi users 2000000 Nov  9 07:30 CAM_1.JPG", TODAY).files
    assert file.at == datetime(2026, 11, 9, 7, 30)


def packed() -> str:
    rows, before = [], FILES[0][0]
    for at, size, name in FILES:
        rows.append(f"{int((at - before).total_seconds())} {size} {name}")
        before = at
    return f"packed {FILES[0][0].isoformat()}\n" + "\n".join(rows)


def test_what_the_phone_packs_is_the_same() -> None:
    read = read_listing(packed(), TODAY)
    assert [(file.at, file.bytes, f"{file.name}.JPG") for file in read.files] == FILES


def test_the_page_says_so_and_keeps_what_was_typed(client: FlaskClient) -> None:
    plan = "v=1&first=2027-03-09&last=2027-03-09&from=07:30&until=12:10&days=1234567&interval=7min"
    page = client.post(f"/recorded?{plan}", data={"listing": packed()}).get_data(as_text=True)
    assert ">40\u00a0frames</p>" in page and "None is missing against the plan" in page
    assert "CAM_9990.JPG" in page
    gone = "\n".join(packed().splitlines()[:20])
    page = client.post(f"/recorded?{plan}", data={"listing": gone, "at": "2027-03-10T09:00"}).get_data(as_text=True)
    assert "21 are missing against the plan" in page
    assert "interval=7min" in page


def test_without_a_listing_it_asks_and_wrong_input_says_so(client: FlaskClient) -> None:
    assert client.get("/recorded").status_code == 200
    assert client.get("/recorded.json").status_code == 422
    assert "No picture" in client.post("/recorded", data={"listing": "nothing here"}).get_data(as_text=True)
    page = client.post("/recorded", data={"listing": packed(), "at": "yesterday"}).get_data(as_text=True)
    assert "id=at-e" in page and "value=yesterday" in page


def test_only_this_page_takes_a_long_text(client: FlaskClient) -> None:
    long = "x" * 200_000
    assert client.post("/open", data={"link": long}).status_code == 413
    assert client.post("/recorded", data={"listing": long}).status_code == 200


@given(st.text(alphabet=st.sampled_from("0123456789/:-. ,APMjpg\n\tJanx+%"), max_size=300))
def test_any_text_is_read(text: str) -> None:
    read = read_listing(text, TODAY)
    assert len(read.files) <= len(text.splitlines())


def test_what_was_measured_goes_on_into_the_plan(client: FlaskClient) -> None:
    """Two days of 2 and 3 MB: 2.5 MB, and 3 MB on the largest day, both rounded up; from the check it is one tap."""
    days = [
        (START + timedelta(days=day, minutes=7 * n), 2_000_001 + day * 1_000_000) for n in range(40) for day in (0, 1)
    ]
    listing = "\n".join(f"{at:%Y-%m-%dT%H:%M:%S} {size} CAM_{n:04}.JPG" for n, (at, size) in enumerate(days))
    page = client.post("/recorded", data={"listing": listing}).get_data(as_text=True)
    assert "frame_mb=2.501&" in page and "frame_mb_max=3.001" in page
    assert "formaction=/recorded" in client.get(f"/check?{full_query(CHECK)}").get_data(as_text=True)


def test_thirty_thousand_files_with_five_faults(client: FlaskClient) -> None:
    """Every 3 min from 6 to 20:24, Monday to Saturday, 1 February to 5 June 2027: 108 days of 288 frames.

    Planted: no frame from 9 to 14 on 3 March (100), none on three days of April (864), begun at 10 on 20 February (80),
    ended at 16 on 22 May (88), and from 3 May on a dirty lens: frames 0.6 times as large. The rest is there: 29,972.
    """
    random, rows, number = Random(3), [], 9000  # noqa: S311 - a simulation, no secret
    for day in (date(2027, 2, 1) + timedelta(days=n) for n in range(125)):
        if day.isoweekday() == 7 or date(2027, 4, 12) <= day <= date(2027, 4, 14):
            continue
        for frame in range(288):
            at = datetime(day.year, day.month, day.day, 6) + timedelta(seconds=180 * frame)
            lost = day == date(2027, 3, 3) and 9 <= at.hour < 14
            if lost or (day == date(2027, 2, 20) and at.hour < 10) or (day == date(2027, 5, 22) and at.hour >= 16):
                continue
            number = number % 9999 + 1
            size = random.gauss(2.4e6, 1.5e5) * (0.6 if day >= date(2027, 5, 3) else 1)
            rows.append((at + timedelta(seconds=random.choice((0, 0, 0, 1, 2))), int(size), number))
    assert len(rows) == 29_972
    plan = "v=1&first=2027-02-01&last=2027-06-05&from=06:00&until=20:24&days=123456&interval=3min"
    listing = "\n".join(f"{at:%Y-%m-%d %H:%M:%S}.0000000000 {size} ./DCIM/CAM_{n:04}.JPG" for at, size, n in rows)
    query = f"{plan}&tz=Europe/Madrid&at=2027-06-07T08:00"
    found = client.post(f"/recorded.json?{query}", data={"listing": listing}).get_json()["results"]
    assert (found["frames"], found["interval_likely_s"], found["rolled_over"]) == (29_972, 180, 3)
    assert [gap["missing"] for gap in found["gaps"]] == [80, 100, 864, 88] and found["missing"] == 1132
    assert found["gaps"][1]["from"].startswith("2027-03-03T08:57") and found["gaps"][1]["until"].startswith(
        "2027-03-03T14:00"
    )
    assert found["days_missing"] == ["2027-04-12", "2027-04-13", "2027-04-14"]
    assert (found["days_late"], found["days_early"]) == (["2027-02-20"], ["2027-05-22"])
    assert found["size_changed_on"] == "2027-05-03" and found["size_factor"] == pytest.approx(0.6, abs=0.005)
    assert found["unplanned"] == found["numbers_left_out"] == found["broken"] == 0


def test_when_it_stopped_is_told_by_the_camera_clock(client: FlaskClient) -> None:
    days = (datetime(2027, 2, 1 + n, 8) for n in range(5))
    lines = [f"{day + timedelta(minutes=3 * n):%Y-%m-%d %H:%M:%S} 2000000 ./A.JPG" for day in days for n in range(100)]
    plan = "v=1&first=2027-02-01&last=2027-02-20&from=08:00&until=13:00&days=1234567&interval=3min"
    query = f"{plan}&tz=Europe/Madrid&at=2027-02-20T08:00"
    found = client.post(f"/recorded.json?{query}", data={"listing": "\n".join(lines)}).get_json()["results"]
    assert (found["stories"][0]["code"], found["stories"][0]["at"]) == ("stopped", "2027-02-05T12:57:00")
