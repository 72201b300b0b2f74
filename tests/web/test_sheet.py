"""The crew sheet: its numbers, its text, its file, its code, its calendar; and that nothing typed does harm."""

from __future__ import annotations

import base64
import hashlib
import json
import re
from datetime import date
from html.parser import HTMLParser
from urllib.parse import quote, urlsplit

import pytest
import segno
from examples import FULL
from flask import Flask
from flask.testing import FlaskClient
from hand_over import EMOJI, HOSTILE, inputs_of, plans, query_of, scan, without_sum
from hypothesis import given, settings
from icalendar import Calendar
from markup import Markup

from webcalc.calc.visits.done import in_force
from webcalc.web.handover.sheet_files import LONGEST_TEXT
from webcalc.web.link.quantities import QUANTITIES

#: Fields typed in the longest way that a real plan has, for the densest code.
WHOLE_SHOOT = {
    **FULL,
    **{"clean": "60", "visit_days": "12345", "margin": "3", "drift": "1.7", "drift_max": "10min"},
    **{"renew": "card,battery,clock", "visit_km": "40", "clock": "+01:00"},
}


def test_numbers_by_hand(client: FlaskClient) -> None:
    """5 min from 08:00: frames at 0 and 5 min in ten minutes; 12 an hour; 10 h of them a day."""
    body = client.get("/sheet.json", query_string=FULL).get_json()
    results = body["results"]
    assert [(one["after_s"], one["frames"]) for one in results["expected"]] == [(600, 2), (3600, 12), (86_400, 120)]
    for one in results["expected"]:
        size = one["card_bytes"]
        assert 0 < size["low"] < size["expected"] < size["high"]
        assert (
            size["expected"] * results["expected"][0]["frames"]
            == one["frames"] * (results["expected"][0]["card_bytes"]["expected"])
        )
    # RFC 5870, section 3.3: geo:<lat>,<lon>, WGS 84 where nothing else is said.
    assert results["place"]["geo"] == "geo:40.4167,-3.7033"
    # Madrid keeps CET on 1 March.
    assert results["set"]["camera_utc_offset_s"] == 3600
    assert results["set"]["weekdays"] == [1, 2, 3, 4, 5]
    assert results["light"]["date"] == "2027-03-01"
    assert body["needs"] == [] and body["errors"] == {}


def test_a_measured_frame_gives_exact_bytes(client: FlaskClient) -> None:
    """1 MB is 8 clusters of 128 kB, or 31 of 32 kB: whole clusters are used, so never less than the frames."""
    body = client.get("/sheet.json", query_string={**FULL, "frame_mb": "1"}).get_json()
    ten_minutes = body["results"]["expected"][0]["card_bytes"]
    assert ten_minutes["low"] == ten_minutes["high"]
    assert ten_minutes["expected"] % (2 * 1024) == 0
    assert 2_000_000 <= ten_minutes["expected"] <= 2_000_000 + 2 * 131_072


def test_the_first_day_is_the_first_recorded(client: FlaskClient) -> None:
    """6 March 2027 is a Saturday: on weekdays the first recorded day is the 8th."""
    results = client.get("/sheet.json", query_string={**FULL, "first": "2027-03-06"}).get_json()["results"]
    assert results["light"]["date"] == "2027-03-08"
    assert results["expected"][0]["frames"] == 2


def test_unknown_stays_unknown(client: FlaskClient) -> None:
    results = client.get("/sheet.json?v=1&name=Bare").get_json()["results"]
    assert results["place"] == {"latitude_deg": None, "longitude_deg": None, "geo": None, "zone": None}
    assert results["expected"] == [] and results["visits"] == []
    assert results["set"]["interval_s"] is None
    shown = client.get("/sheet?v=1&name=Bare")
    assert shown.status_code == 200 and "geo:" not in shown.text


@pytest.mark.parametrize("ending", [".txt", ".html", ".ics"])
def test_nothing_is_handed_out_with_a_wrong_value(client: FlaskClient, ending: str) -> None:
    reply = client.get(f"/sheet{ending}", query_string={**FULL, "interval": "fast"})
    assert reply.status_code == 422
    assert "Interval" in reply.text or ending == ".ics"
    page = client.get("/sheet", query_string={**FULL, "interval": "fast"}).text
    assert "don’t work by this sheet yet" in page


def test_a_plan_that_cannot_be_kept_up_says_so(client: FlaskClient) -> None:
    """A 1 GB card is full within days, and nobody may come on any day that is left."""
    impossible = {**FULL, "card_gb": "0.1", "interval": "10s", "visit_days": "1"}
    body = client.get("/sheet.json", query_string=impossible).get_json()["results"]
    assert len(body["warnings"]) == 1 and body["warnings"][0].startswith("Impossible")
    assert body["warnings"][0].split(":")[0] in client.get("/sheet.txt", query_string=impossible).text


# -- text -------------------------------------------------------------------------------------------------------


def as_sent(plan: dict[str, str]) -> dict[str, str]:
    """Return a plan as messages have it: of its log what counts now, which is tested where it is worked out."""
    kind = QUANTITIES["did"].kind
    return plan | ({"did": kind.write(in_force(kind.read(plan["did"])))} if "did" in plan else {})


@given(pairs=plans())
@settings(max_examples=200, deadline=None)
def test_text_fits_a_message_and_ends_with_the_link(app: Flask, pairs: dict[str, str]) -> None:
    reply = app.test_client().get("/sheet.txt", query_string=query_of(pairs))
    assert reply.status_code == 200
    text = reply.text.removesuffix("\n")
    link = text.splitlines()[-1]
    sent, plan = (inputs_of(app, query) for query in (urlsplit(link).query, query_of(pairs)))
    assert sent == as_sent(plan)
    parts = parts_of(text)
    title = parts[0].partition("\n")[0].removeprefix(f"(1/{len(parts)}) ")
    for n, part in enumerate(parts, start=1):
        # Only the link can't be shortened, and is a part by itself then.
        assert len(part) <= LONGEST_TEXT or part.splitlines()[1:] == [link]
        assert len(parts) == 1 or part.startswith(f"({n}/{len(parts)}) {title}\n")


def parts_of(text: str) -> list[str]:
    """Return the messages of a text; notes may have empty lines too."""
    return re.split(r"\n\n(?=\([0-9]+/[0-9]+\) )", text)


@given(pairs=plans())
@settings(max_examples=60, deadline=None)
def test_plan_to_text_to_plan(app: Flask, pairs: dict[str, str]) -> None:
    client = app.test_client()
    text = client.get("/sheet.txt", query_string=query_of(pairs))
    assert text.status_code == 200
    opened = client.post("/open", data={"link": f"Hello,\n{text.text}"})
    assert opened.status_code == 303
    assert inputs_of(app, urlsplit(opened.location).query) == inputs_of(app, query_of(pairs))


def test_a_long_text_comes_in_parts_and_loses_nothing(client: FlaskClient) -> None:
    """Notes make text and link long; a long list of days without recording doesn't."""
    words = ("At 40.4167", "Bring: ", "Ladder, power lines", "Set: ", "Expect ", "Before you leave: ", "Sun: ", "Visit")
    for letters in (10, 200, 500, 1_000, 2_000):
        notes = ("Rung 2. " * 250)[:letters].strip()
        text = client.get("/sheet.txt", query_string={**FULL, "mounting": notes}).text.removesuffix("\n")
        parts = parts_of(text)
        lines = [line for part in parts for line in part.splitlines()[1:]]
        assert [word for word in words if not any(line.startswith(word) for line in lines)] == []
        begin = next(n for n, line in enumerate(lines) if line.startswith("Notes: "))
        end = next(n for n, line in enumerate(lines) if line.startswith("Expect "))
        assert " ".join(lines[begin:end]) == f"Notes: {notes}"
        shared = Markup(client.get("/share", query_string={**FULL, "mounting": notes}).text)
        assert [target.partition("body=")[2] for target in shared.targets() if target.startswith("sms:")] == [
            quote(part) for part in parts
        ]
    assert "a message program may cut it" in client.get("/share", query_string={**FULL, "mounting": "x" * 2_000}).text
    stretch = client.get("/sheet.txt", query_string={**FULL, "skip": "2027-03-02/2027-08-30"}).text
    assert len(stretch.splitlines()[-1]) < LONGEST_TEXT / 2
    assert "Ladder, power lines" in stretch


# -- hostile text -----------------------------------------------------------------------------------------------


class _Shown(HTMLParser):
    """The text of the notes as a browser shows it."""

    def __init__(self, source: str) -> None:
        super().__init__(convert_charrefs=True)
        self.inside, self.text, self.tags = False, "", []
        self.feed(source)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append(tag)
        if tag == "p":
            self.inside = ("dir", "auto") in attrs

    def handle_endtag(self, tag: str) -> None:
        self.inside = self.inside and tag != "p"

    def handle_data(self, data: str) -> None:
        if self.inside:
            self.text += data


@pytest.mark.parametrize("notes", [HOSTILE, EMOJI], ids=["hostile", "emoji"])
@pytest.mark.parametrize("path", ["/sheet", "/sheet.html"])
def test_notes_are_shown_as_typed(client: FlaskClient, path: str, notes: str) -> None:
    source = client.get(path, query_string={**FULL, "mounting": notes}).text
    shown = _Shown(source)
    assert shown.text == notes.strip()
    assert shown.tags.count("script") == 2
    if path == "/sheet":
        assert Markup(source).faults == []


def test_hostile_notes_in_the_data_of_the_file(client: FlaskClient) -> None:
    source = client.get("/sheet.html", query_string={**FULL, "mounting": HOSTILE}).text
    (block,) = re.findall(r"<script type=application/json id=data>(.*?)</script>", source, re.DOTALL)
    assert json.loads(block)["notes"] == HOSTILE.strip()
    assert "<" not in block


@pytest.mark.parametrize("notes", [HOSTILE, EMOJI, "é" * 2_000, "a\r\nb\u2028c"], ids=["hostile", "emoji", "e", "ends"])
def test_calendar_reads_back_and_is_folded(client: FlaskClient, notes: str) -> None:
    """RFC 5545, section 3.1: lines are folded at 75 octets, never inside a character."""
    query = {**FULL, "mounting": notes, "clean": "60"}
    reply = client.get("/sheet.ics", query_string=query)
    assert reply.content_type == "text/calendar; charset=utf-8"
    for line in reply.data.split(b"\r\n"):
        assert len(line) <= 75
        line.decode()
    events = [event for event in Calendar.from_ical(reply.data).walk("VEVENT") if "STATUS" not in event]
    plan = client.get("/sheet.json", query_string=query).get_json()
    (first,) = (event for event in events if str(event["summary"]).endswith("first day"))
    assert first.decoded("dtstart") == date(2027, 3, 1)
    read = QUANTITIES["mounting"].read(notes)
    description = str(first["description"])
    assert read in description
    assert without_sum(description.splitlines()[-1]).endswith(plan["link"])
    starts = {event.decoded("dtstart") for event in events}
    assert date(2027, 8, 31) in starts
    # Summer time begins on 28 March 2027 in the European Union, Directive 2000/84/EC, article 2.
    assert date(2027, 3, 28) in starts
    visits = client.get("/visits.json", query_string=query).get_json()["results"]["visits"]
    assert len(events) == len(visits) + 3


# -- code and file ----------------------------------------------------------------------------------------------


def modules_of(svg: str) -> tuple[bytearray, ...]:
    """Read the modules back from the picture's one path: m moves, h draws a stroke one module high."""
    side = int(re.search(r'viewBox="0 0 (\d+) \d+"', svg)[1])
    rows = [bytearray(side) for _ in range(side)]
    path = re.search(r'stroke="#000" d="([^"]+)"', svg)[1]
    x = y = 0.0
    for step, numbers in re.findall(r"([Mmh])([-\d. ]+)", path):
        values = [float(number) for number in re.findall(r"-?(?:\d+\.\d+|\.\d+|\d+)", numbers)]
        if step == "h":
            for column in range(int(x), int(x + values[0])):
                rows[int(y)][column] = 1
            x += values[0]
        else:
            x, y = (values[0], values[1]) if step == "M" else (x + values[0], y + values[1])
    return tuple(rows)


@pytest.mark.parametrize("pairs", [FULL, WHOLE_SHOOT, {"v": "1", "first": "2027-03-01"}], ids=["full", "whole", "one"])
def test_the_code_is_the_link(client: FlaskClient, pairs: dict[str, str]) -> None:
    svg = client.get("/sheet.svg", query_string=query_of(pairs))
    assert svg.content_type.startswith("image/svg+xml")
    link = client.get("/sheet.txt", query_string=query_of(pairs)).text.splitlines()[-1]
    assert scan(modules_of(svg.text), quiet=0) == link
    assert int(segno.make_qr(link, error="m", boost_error=False).version) <= 20
    file = client.get("/sheet.html", query_string=query_of(pairs)).text
    assert scan(modules_of(file.replace("stroke=#000", 'stroke="#000"')), quiet=0) == link


def test_long_notes_are_left_out_of_the_code_and_that_is_said(client: FlaskClient, app: Flask) -> None:
    pairs = {**FULL, "mounting": "Rung 2. " * 100}
    page = client.get("/sheet", query_string=pairs).text
    assert "The code leaves the mounting notes out" in page
    scanned = scan(modules_of(client.get("/sheet.svg", query_string=pairs).text), quiet=0)
    assert inputs_of(app, urlsplit(scanned).query) == inputs_of(app, query_of(FULL))


def test_a_plan_too_long_for_a_code(client: FlaskClient) -> None:
    days = ",".join(f"2027-{month:02}-{day:02}" for month in (3, 5, 7) for day in range(1, 31, 2))
    pairs = {**FULL, "skip": days}
    assert client.get("/sheet.svg", query_string=pairs).status_code == 404
    for path in ("/sheet", "/share", "/sheet.html"):
        shown = client.get(path, query_string=pairs).text
        assert "too long for a code" in shown and "/sheet.svg" not in shown


def test_the_file_needs_nothing(client: FlaskClient) -> None:
    """No address in it is fetched: no source, no style sheet, no picture but those inside."""
    reply = client.get("/sheet.html", query_string=FULL)
    assert reply.headers["Content-Disposition"] == 'attachment; filename="example-site-invented.html"'
    policy = reply.headers["Content-Security-Policy"]
    # CSP Level 3, section 2.3.1: a source inside the page is allowed by the hash of its text.
    (script,) = re.findall(r"<script>(.*?)</script>", reply.text, re.DOTALL)
    allowed = base64.b64encode(hashlib.sha256(script.encode()).digest()).decode()
    assert "default-src 'none'" in policy and f"script-src 'sha256-{allowed}'" in policy
    meta = re.search(r'http-equiv=Content-Security-Policy content="([^"]+)"', reply.text)[1]
    assert meta.replace("&#39;", "'") in policy
    assert not re.search(r"<link|<img|\ssrc=|url\(|@import", reply.text)
    assert "Set-Cookie" not in reply.headers


@given(pairs=plans())
@settings(max_examples=30, deadline=None)
def test_plan_to_file_to_plan(app: Flask, pairs: dict[str, str]) -> None:
    """By the file's source, and by its words as they are copied from a screen."""
    client = app.test_client()
    reply = client.get("/sheet.html", query_string=query_of(pairs))
    assert reply.status_code == 200
    words, plan = _Words(reply.text).text, inputs_of(app, query_of(pairs))
    for pasted, whole in ((reply.text, plan), (words, as_sent(plan))):
        opened = client.post("/open", data={"link": pasted}, content_type="multipart/form-data")
        assert opened.status_code == 303
        assert inputs_of(app, urlsplit(opened.location).query) == whole


class _Words(HTMLParser):
    """The words of a page as they are copied: without style, script and what is folded away."""

    def __init__(self, source: str) -> None:
        super().__init__(convert_charrefs=True)
        self.hidden, self.text = 0, ""
        self.feed(source)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.hidden += tag in ("style", "script", "details", "title")
        self.text += "\n"

    def handle_endtag(self, tag: str) -> None:
        self.hidden -= tag in ("style", "script", "details", "title")

    def handle_data(self, data: str) -> None:
        if not self.hidden:
            self.text += data
