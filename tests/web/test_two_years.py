"""Two years of one camera, lived through here frame by frame, and what every page says of it at each visit.

Invented: Mon-Fri 08:00-18:00, a frame every 5 min of 2 MB; 20 mW round the clock and 3 J a frame from 200 Wh. Eight
visits, two of them late, after the card was full and the reserve reached; at the third the battery put in is a weak
one, at the fifth the card is a larger one. The site has no summer time.

What a cell gives is the package's own, read off the battery page; everything that happens is counted here, by steps.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from urllib.parse import urlencode
from zoneinfo import ZoneInfo

import icalendar
import pytest
from house import SITE_WEEK

from webcalc.calc.power.cells import CELLS
from webcalc.web.http.app import create_app

ZONE = ZoneInfo("Africa/Lagos")
FIRST, LAST = date(2026, 3, 2), date(2028, 2, 25)
SHOOT = SITE_WEEK | {
    "name": "Works",
    "first": FIRST.isoformat(),
    "last": LAST.isoformat(),
    "battery_reserve": "20",
    "temp_c": "20",
    "tz": "Africa/Lagos",
}
STEP, MARGIN = timedelta(minutes=5), timedelta(days=3)
#: 2 MB by the card's GB: whole clusters of 32 KiB, 128 KiB above 32 GB (as the SD Association formats, from memory).
ON_CARD = {32: 62 * 32_768, 64: 16 * 131_072}
MONTH_H = 730.485


@dataclass
class Life:
    """The camera as it stands: what is in it, and what it took since that was new."""

    at: datetime
    card_gb: int
    rated_wh: float
    usable_wh: tuple[float, float]
    lost_a_month: float
    frames: int = 0
    used_wh: float = 0.0

    def left_share(self, usable_wh: float) -> float:
        """What is left of what the camera can use."""
        return max(0.0, 1 - self.used_wh / usable_wh)

    def step(self) -> None:
        """Live for five minutes."""
        if self.at.isoweekday() <= 5 and 8 <= self.at.hour < 18:
            self.frames += 1
            self.used_wh += 3 / 3600
        self.used_wh += (0.020 + self.rated_wh * self.lost_a_month / MONTH_H) * STEP / timedelta(hours=1)
        self.at += STEP

    def live_to(self, until: datetime) -> None:
        """Live on to an instant."""
        while self.at < until:
            self.step()

    def runs_out_on(self) -> date | None:
        """The day on which, nobody going there, the card is full or the reserve is reached; None: not in this shoot."""
        on = replace(self)
        while on.at.date() <= LAST:
            on.step()
            if (on.frames + 1) * ON_CARD[on.card_gb] > on.card_gb * 1e9 or on.used_wh >= 0.8 * self.usable_wh[0]:
                return on.at.date()
        return None


@dataclass(frozen=True)
class Visit:
    """A visit: when, and what is put in then that is another (as the log has it)."""

    at: str
    more: str = ""


VISITS = (
    Visit("2026-06-01T12:00"),
    Visit("2026-12-14T11:00"),
    Visit("2027-01-11T10:30", "battery_wh:100"),
    Visit("2027-05-03T09:00", "battery_wh:200"),
    Visit("2027-06-14T12:00", "card_gb:64"),
    Visit("2027-09-20T15:00"),
    Visit("2028-01-24T09:30"),
    Visit("2028-02-07T10:00"),
)


def told(page: str, log: str, at: datetime) -> dict:
    """Return what a page says of the shoot with this log, as data."""
    client = create_app({"NOW": lambda: at.replace(tzinfo=ZONE)}).test_client()
    query = {**SHOOT, **({"did": log} if log else {})}
    if page == "run":
        query = {"plan": f"http://localhost/plan?{urlencode(query)}", "ahead": "120mo"}
    body = client.get(f"/{page}.json", query_string=query).get_json()
    assert body["errors"] == {}
    return body


def calendar_days(log: str, at: datetime) -> list[date]:
    """Return the days of visits in the calendar, read by another library."""
    client = create_app({"NOW": lambda: at.replace(tzinfo=ZONE)}).test_client()
    query = {**SHOOT, **({"did": log} if log else {})}
    entries = icalendar.Calendar.from_ical(client.get("/visits.ics", query_string=query).data).walk("VEVENT")
    # An alarm rings for visits only, not for the first and the last day.
    visits = [entry for entry in entries if entry.alarms.times and entry.get("STATUS") != "CANCELLED"]
    begins = [entry.decoded("DTSTART") for entry in visits]
    return sorted(begin.date() if isinstance(begin, datetime) else begin for begin in begins)


def lives() -> Iterator[tuple[str, Life]]:
    """Yield the log after each visit and the camera a week later."""
    gives = {wh: battery(wh) for wh in ("100", "200")}
    card_gb, wh, log = "32", "200", ""
    life = Life(datetime(2026, 3, 2), 0, 0, (0, 0), 0)
    for visit in VISITS:
        at = datetime.fromisoformat(visit.at)
        name, _, value = visit.more.partition(":")
        card_gb, wh = (value if name == "card_gb" else card_gb), (value if name == "battery_wh" else wh)
        log += ("/" if log else "") + f"{visit.at},card,battery" + (f",{visit.more}" if visit.more else "")
        life = Life(at, int(card_gb), float(wh), *gives[wh])
        life.live_to(at + timedelta(days=7))
        yield log, life


def battery(wh: str) -> tuple[tuple[float, float], float]:
    """Return what a battery gives at the pessimistic and at the expected end, and what it loses by itself a month."""
    client = create_app().test_client()
    usable = client.get("/battery.json", query_string={**SHOOT, "battery_wh": wh}).get_json()["results"]["usable_wh"]
    return (usable["low"], usable["expected"]), CELLS["li-ion"].self_discharge_per_month.high


@pytest.fixture(scope="module")
def lived() -> list[tuple[str, Life]]:
    return list(lives())


def test_every_page_agrees_with_the_life_at_every_step(lived: list[tuple[str, Life]]) -> None:
    dues = [life.runs_out_on() for _log, life in lived]
    came = [date.fromisoformat(visit.at[:10]) for visit in VISITS[1:]]
    assert [due is not None and due < day for due, day in zip(dues, came, strict=False)].count(True) == 2
    for (log, life), due in zip(lived, dues, strict=True):
        here = log.rpartition("/")[2]
        check = told("check", log, life.at)["results"]
        expected = check["expected"]
        assert expected["frames"] == life.frames, here
        assert expected["card_used_bytes"]["high"] == life.frames * ON_CARD[life.card_gb], here
        left = life.left_share(life.usable_wh[0])
        assert expected["battery_left_share"]["low"] == pytest.approx(left, abs=0.002), here
        visits = told("visits", log, life.at)["results"]["visits"]
        days = [date.fromisoformat(visit["date"]) for visit in visits]
        if due is None:
            # Nothing runs out any more: the camera is fetched after the last day.
            assert days[0] > LAST, here
        else:
            # Early enough, with the margin; and the next day on which anybody goes would be too late.
            following = days[0] + timedelta({4: 3, 5: 2}.get(days[0].weekday(), 1))
            assert days[0] + MARGIN <= due < following + MARGIN + timedelta(days=1), (here, due)
        # The same visits wherever they stand.
        assert [date.fromisoformat(one["date"]) for one in told("sheet", log, life.at)["results"]["visits"]] == days[:3]
        assert calendar_days(log, life.at) == days, here
        stops = [date.fromisoformat(stop["date"]) for stop in told("run", log, life.at)["results"]["stops"]]
        assert stops == days, here
        assert told("call", log, life.at)["results"]["this"]["visits"] == len(days), here
        by = [one for one in told("plan", log, life.at)["verdict"]["due"] if one["part"] in ("card", "battery")]
        assert min((date.fromisoformat(one["at"]) for one in by), default=None) == due, here
