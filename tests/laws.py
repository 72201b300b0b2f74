"""The laws of the verdict, held against everything the app puts out: random plans with blanks and wrong texts.

What is expected is worked out here, from what was typed and from the figures that are counted elsewhere, never from
the app's own verdict alone. Many more plans than the tests take: ``python tests/laws.py --plans 10000``.
"""

from __future__ import annotations

import argparse
import html
import re
import sys
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date, timedelta
from functools import cached_property
from pathlib import Path
from random import Random
from traceback import extract_tb
from typing import Any
from urllib.parse import urlencode

from flask.testing import FlaskClient

if __name__ == "__main__":
    sys.path[:0] = [str(Path(__file__).parent.parent), str(Path(__file__).parent)]

from random_plans import TEXTS, WRONG, random_texts

#: The states, the worst first, as the contract of ``.json`` has them.
WORST_FIRST = ("fails", "unknown", "doubtful", "holds")
PART_WORDS = {
    "recording": "recording",
    "clip": "clip",
    "card": "card",
    "battery": "battery",
    "light": "light",
    "clock": "camera clock",
}
DOES = {"change_card", "change_battery", "set_clock", "clean", "fetch_camera"}
#: What calls for a visit before the camera is fetched.
CALLS = ("card", "battery", "clock")
#: Whatever says or implies that nothing is needed; on pages over the whole shoot.
REASSURING = re.compile(
    r"\b(no (visit|drive)s?( is| are)? needed|no visit is(?! planned for)|nothing (runs out|is needed|is due)"
    r"|it holds(?! whole)|leave it|so far, yes|all is well|no drive is)\b",
    re.IGNORECASE,
)
WHOLE, OWN, NONE = ("plan", "call"), ("clip", "storage", "battery", "daylight"), ("framing", "motion", "sun", "remount")
#: The pages that judge, each with the parts that its headline place must name while they aren't known.
HEADLINES = {
    "plan": tuple(PART_WORDS),
    "visits": CALLS,
    "check": CALLS,
    "sheet": CALLS,
    "call": CALLS,
}
#: Longer, darker and emptier shoots than those that spoil figures one by one.
ALSO = {
    "first": ("2027-03-01", "2027-06-10", "2027-12-20"),
    "last": ("2027-03-21", "2027-06-20", "2027-07-03", "2028-01-08", ""),
    "skip": ("", "", "", "2027-03-05", "2027-03-01/2028-03-01"),
    "days": ("1234567", "12345", "67", "2"),
    "units": ("", "metric", "imperial"),
    "write": ("", "24-comma", "12-point"),
}


def law_plan(random: Random) -> dict[str, str]:
    """Return a plan for the laws: blanks in some, one or two wrong texts in a few."""
    plan = random_texts(random, blanks=random.choice((0.0, 0.05, 0.3)), also=ALSO)
    if random.random() < 0.2:
        plan |= {name: WRONG for name in random.sample(sorted(TEXTS), random.choice((1, 2)))}
    return plan


@dataclass
class Outputs:
    """What the app puts out for one plan, fetched where a law looks at it."""

    client: FlaskClient
    texts: dict[str, str]
    #: Whether sheets, files and runs are looked at too: each works the whole plan out again, and draws a code.
    files_too: bool = True
    kept: dict[str, Any] = field(default_factory=dict)

    @cached_property
    def query(self) -> str:
        return urlencode({"v": "1", "name": "Aa", **self.texts})

    def text(self, path: str) -> str:
        """Return a file or a page as it is sent."""
        if path not in self.kept:
            self.kept[path] = self.client.get(path, query_string=self.query).get_data(as_text=True)
        return self.kept[path]

    def data(self, page: str) -> dict[str, Any]:
        """Return a page's ``.json``."""
        key = f"{page} as data"
        if key not in self.kept:
            self.kept[key] = self.client.get(f"/{page}.json", query_string=self.query).get_json()
        return self.kept[key]

    def words(self, path: str) -> str:
        """Return what a page says, fields and pictures left out."""
        return plain_words(self.text(path))

    def headline(self, page: str) -> str:
        """Return the headline place of a page."""
        found = re.search(r'(?s)<div id="?answer"?[^>]*>(.*?)</div>', self.text(f"/{page}"))
        return plain_words(found[1]) if found else ""

    def run(self, path: str) -> Any:
        """Return the run over this plan, as page (text) or as data."""
        query = urlencode({"plan": f"http://localhost/plan?{self.query}"})
        reply = self.client.get(path, query_string=query)
        return reply.get_json() if path.endswith(".json") else reply.get_data(as_text=True)


def plain_words(source: str) -> str:
    """Return the words of markup."""
    source = re.sub(r"(?s)<(style|script|svg|select|nav|head)\b.*?</\1>", " ", source)
    words = html.unescape(re.sub(r"<[^>]+>", " ", source)).replace("\u00a0", " ")
    return re.sub(r"\s+([.,:;])", r"\1", re.sub(r"\s+", " ", words)).strip()


# -- what is expected, worked out here ----------------------------------------------------------------------------


def recorded_days(texts: dict[str, str]) -> int | None:
    """Count the days that are recorded; None where what is typed doesn't tell."""
    named = ("first", "last", "days")
    if any(texts.get(name, WRONG) == WRONG for name in (*named, "from", "until")) or texts.get("skip") == WRONG:
        return None
    first, last = (date.fromisoformat(texts[name]) for name in ("first", "last"))
    if last < first:
        return None
    left_out: set[date] = set()
    for stretch in filter(None, texts.get("skip", "").split(",")):
        begin, _, end = stretch.partition("/")
        day, end_day = date.fromisoformat(begin), date.fromisoformat(end or begin)
        while day <= end_day:
            left_out.add(day)
            day += timedelta(1)
    span = ((first + timedelta(n)) for n in range((last - first).days + 1))
    return sum(str(day.isoweekday()) in texts["days"] and day not in left_out for day in span)


def records_nothing(texts: dict[str, str]) -> bool:
    """Whether it is plain from what was typed that nothing is recorded."""
    takes_nothing = texts.get("stills") == "no" and "burst" not in texts and texts.get("motion", "0") == "0"
    return takes_nothing or recorded_days(texts) == 0


#: Where one is typed that tells the temperature of the whole shoot, ``temp_c`` isn't needed.
SEASONS = {"temp_winter", "temp_spring", "temp_summer", "temp_autumn"}


def not_known(texts: dict[str, str]) -> set[str]:
    """Return the parts that can't be known, as far as that is plain from what was typed."""
    found = set()
    power, kept_on = texts.get("power", ""), texts.get("kept_on", "")
    energies = ("battery_wh", "battery_mah", "cells", "cell")
    draws = ("standby_mw", "draw_ma", "charge_frames", "lasted_days", "camera_kind", "meter_mah")
    if power == "" and (
        not any(name in texts for name in energies)
        or not any(name in texts for name in draws)
        or (texts.get("temp_c", WRONG) == WRONG and not SEASONS & {*texts})
        or WRONG in (texts.get("battery_reserve"), texts.get("ageing"))
    ):
        found.add("battery")
    # Once the card was renewed it doesn't matter what stood on the one before.
    used = None if {"did", "since"} & {*texts} else texts.get("used_gb")
    if kept_on == "" and WRONG in (texts.get("card_gb", WRONG), texts.get("card_reserve"), used):
        found.add("card")
    if WRONG in (texts.get("first", WRONG), texts.get("from", WRONG), texts.get("until", WRONG), texts.get("days", "")):
        found |= {"battery"} if power == "" else set()
        found |= {"card"} if kept_on == "" else set()
    return found


# -- the laws -----------------------------------------------------------------------------------------------------


def contract(out: Outputs) -> Iterator[str]:
    """The verdict in data has the shape that is promised, and its whole is the worst of its parts."""
    for page in (*WHOLE, *OWN):
        verdict = out.data(page)["verdict"]
        if list(verdict) != ["state", "parts", "unknown", "due"] or not set(verdict["parts"]) <= set(PART_WORDS):
            yield f"/{page}.json: a verdict of another shape: {verdict}"
            continue
        states = [*verdict["parts"].values()]
        if verdict["state"] != min(states, key=WORST_FIRST.index, default="unknown"):
            yield f"/{page}.json: {verdict['state']} isn't the worst of {states}"
        if verdict["unknown"] != [part for part, state in verdict["parts"].items() if state == "unknown"]:
            yield f"/{page}.json: unknown {verdict['unknown']} of {verdict['parts']}"
        due = verdict["due"]
        dates = [date.fromisoformat(one["at"]) for one in due]
        if dates != sorted(dates) or any(one["do"] not in DOES or one["part"] not in PART_WORDS for one in due):
            yield f"/{page}.json: due {due}"
    whole = out.data("plan")["verdict"]["parts"]
    for page, part in zip(OWN, ("clip", "card", "battery", "light"), strict=True):
        own = out.data(page)["verdict"]["parts"]
        if not set(own) <= {part, "recording"} or own.get(part) != whole.get(part):
            yield f"/{page}.json judges {own}, the whole shoot {whole}"
    for part, absent in (("battery", "power"), ("card", "kept_on")):
        if out.texts.get(absent) in ("mains", "sent") and part in whole:
            yield f"/plan.json judges a {part} that isn't there"


def unknown_is_named(out: Outputs) -> Iterator[str]:
    """1: While a part is unknown, no output says that nothing is needed, and each names the part."""
    verdict = out.data("plan")["verdict"]
    if verdict["parts"].get("recording") == "fails":
        return
    missing = not_known(out.texts) - set(verdict["unknown"])
    if missing:
        yield f"/plan.json: {missing} can't be known, the verdict is {verdict['parts']}"
    unknown = [part for part in verdict["unknown"] if part != "recording"]
    if not unknown:
        return
    pages = [page for page in HEADLINES if out.files_too or page != "sheet"]
    for page in pages:
        words, parts = out.headline(page), HEADLINES[page]
        lacking = [part for part in unknown if part in parts and part in out.data(page)["verdict"]["parts"]]
        yield from _not_named(f"#answer of /{page}", words, lacking)
    outputs = {f"/{page}": out.words(f"/{page}") for page in pages}
    if out.files_too and not out.data("plan")["errors"]:
        outputs |= {path: plain_words(out.text(path)) for path in ("/sheet.html", "/sheet.txt", "/share")}
        calling = [part for part in unknown if part in CALLS]
        for path in ("/sheet.html", "/sheet.txt", "/share"):
            # A message holds 1,200 characters: where the link takes nearly all of them, it is the message.
            if path == "/sheet.html" or len(out.query) < 700:
                yield from _not_named(path, outputs[path], calling)
        for path in ("/sheet.ics", "/visits.ics"):
            yield from _entries(path, out.text(path), calling)
        yield from _run(out, calling)
    outputs["preview of /plan"] = " ".join(re.findall(r'og:\w+ content="([^"]*)"', out.text("/plan")))
    if outputs["preview of /plan"] and "not known" not in outputs["preview of /plan"].lower():
        yield f"preview of /plan: {outputs['preview of /plan']!r} with {unknown} unknown"
    for path, words in outputs.items():
        found = REASSURING.search(words)
        # Light that isn't known calls nobody there; it is named beside.
        if found and (path in ("/plan", "preview of /plan") or set(unknown) & set(CALLS)):
            yield f"{path} says {words[max(0, found.start() - 30) : found.end() + 30]!r} with {unknown} unknown"


def _not_named(where: str, words: str, parts: list[str]) -> Iterator[str]:
    said = words.lower()
    for part in parts:
        if not re.search(rf"not known.*\b{PART_WORDS[part]}|{PART_WORDS[part]}\b.*not known", said):
            yield f"{where} doesn't name the {part}: {words[:300]!r}"


def _entries(path: str, calendar: str, calling: list[str]) -> Iterator[str]:
    """Look at every visit of a calendar; lines are unfolded as RFC 5545, 3.1 has them."""
    unfolded = calendar.replace("\r\n ", "").replace("\n ", "").replace("\\", "")
    for entry in unfolded.split("BEGIN:VEVENT")[1:]:
        summary = re.search(r"SUMMARY:(.*)", entry)
        words = plain_words(entry)
        # What is called off is no visit any more.
        if summary and not re.search(r"first day|last day|wall clock|not in the plan any more", summary[1]):
            yield from _not_named(f"{path}, {summary[1].strip()!r}", words, calling)


def _run(out: Outputs, calling: list[str]) -> Iterator[str]:
    data = out.run("/run.json")
    cameras = data["results"]["cameras"]
    if data["results"]["until"] < max(out.texts.get("first", ""), out.texts.get("since", "")[:10]):
        return  # nothing runs in that time
    if [camera["verdict"] for camera in cameras] not in ([out.data("plan")["verdict"]], []):
        yield f"/run.json has {cameras} for {out.data('plan')['verdict']}"
    if cameras:
        words = plain_words(out.run("/run"))
        yield from _not_named("/run", words, calling)
        if calling and REASSURING.search(words):
            yield f"/run says {words[:300]!r} with {calling} unknown"


def light_as_counted(out: Outputs) -> Iterator[str]:
    """2: A sentence about light agrees with the counted frames."""
    counted = out.data("daylight")["results"]
    frames, light, state = counted["frames"], counted["light_frames"], out.data("plan")["verdict"]["parts"].get("light")
    # Without an interval time is counted, as where nothing but bursts is recorded.
    share = light / frames if frames else counted["light_time_share"]
    if share is not None and state is not None and out.data("plan")["verdict"]["parts"].get("recording") != "fails":
        expected = "holds" if share == 1 else "doubtful" if share else "fails"
        if state != expected:
            yield f"light is {state}, with {light} of {frames} frames in it, {share} of the time"
    if share == 1:
        return
    for page in ("daylight", "plan", "visits", *(["sheet"] if out.files_too else []), "call"):
        found = re.search(r"all in the light|light on every day\b(?!,? in)", out.words(f"/{page}"), re.IGNORECASE)
        if found and not re.search(r"longest that is light on every day", out.words(f"/{page}")):
            yield f"/{page} says {found[0]!r} with {light} of {frames} frames in the light"


def nothing_recorded(out: Outputs) -> Iterator[str]:
    """3: A shoot that records nothing is a failing recording with its reason, on every page."""
    judged = out.data("plan")["verdict"]["parts"].get("recording")
    if not records_nothing(out.texts):
        if judged == "fails" and recorded_days(out.texts):
            yield "/plan.json: the recording fails, though days are recorded"
        return
    pages = ("plan", "visits", "check", "call", "clip", "interval", "storage", "battery", "daylight")
    for page in (*pages, "sheet") if out.files_too else pages:
        data, words = out.data(page), out.headline(page)
        if data["verdict"]["parts"].get("recording") != "fails":
            yield f"/{page}.json: {data['verdict']['parts']} of a shoot that records nothing"
        if "nothing is recorded" not in words.lower() or REASSURING.search(words):
            yield f"#answer of /{page}: {words[:200]!r} of a shoot that records nothing"


def clip_as_wanted(out: Outputs) -> Iterator[str]:
    """4: A wanted clip that isn't reached, or exceeded more than twofold, stands first, with what mends it."""
    verdict, clip = out.data("plan")["verdict"], out.data("clip")
    made, wanted = clip["results"]["clip_s"], out.texts.get("clip")
    if wanted is None or wanted == WRONG or made is None or verdict["parts"].get("recording") == "fails":
        return
    wanted_s = float(wanted[:-3]) * 60 if wanted.endswith("min") else float(wanted.rstrip("s"))
    expected = "fails" if made < wanted_s else "doubtful" if made > 2 * wanted_s else "holds"
    if verdict["parts"]["clip"] != expected:
        yield f"the clip is {verdict['parts']['clip']}, with {made} s for {wanted_s} s"
    if expected == "holds" or out.texts.get("stills") == "no":
        return
    for page in ("plan", "clip"):
        words = out.headline(page)
        if not re.search(r"Every \S+ \S+ mends it|mends it", words):
            yield f"#answer of /{page} has no way out: {words[:300]!r} with {made} s for {wanted_s} s"


def pessimistic_end(out: Outputs) -> Iterator[str]:
    """5: What is promised holds at the pessimistic end."""
    parts = out.data("plan")["verdict"]["parts"]
    if parts.get("recording") == "fails":
        return
    due = {one["part"]: one["at"] for one in out.data("plan")["verdict"]["due"] if one["part"] in ("card", "battery")}
    for page, part, key in (("storage", "card", "full_at"), ("battery", "battery", "reserve_at")):
        results = out.data(page)["results"]
        earliest, lasts = results[key]["earliest"], results["lasts"]
        # A date after the last day is no reason to come; where the shoot has no end, nothing is promised.
        if parts.get(part) == "holds" and lasts is False:
            yield f"the {part} holds, though it may run out on {earliest}"
        if parts.get(part) == "fails" and lasts:
            yield f"the {part} fails, though it lasts"
        if part in due and earliest is not None and due[part] != earliest[:10]:
            yield f"the {part} is due on {due[part]}, not at its earliest end {earliest}"
        words = out.headline(page)
        if re.match(r"(it )?lasts\b(?! until then)", words, re.IGNORECASE) and parts.get(part) not in ("holds", None):
            yield f"#answer of /{page} says {words[:200]!r}, the {part} is {parts.get(part)}"
    headline = out.headline("plan")
    if re.search(r"\bIt holds\b", headline) and out.data("plan")["verdict"]["state"] != "holds":
        yield f"/plan says {headline[:100]!r}, the verdict is {out.data('plan')['verdict']['state']}"


LAWS = (contract, unknown_is_named, light_as_counted, nothing_recorded, clip_as_wanted, pessimistic_end)


def broken_laws(client: FlaskClient, number: int, files_too: bool = True) -> list[str]:
    """Return how the laws are broken for one random plan, with its link."""
    out = Outputs(client, law_plan(Random(number)), files_too)  # noqa: S311 - plans to try, no secrets
    faults = []
    for law in LAWS:
        try:
            faults += [f"{law.__name__}: {fault}" for fault in law(out)]
        except Exception as crash:
            where = " < ".join(frame.name for frame in reversed(extract_tb(crash.__traceback__)[-4:]))
            faults.append(f"{law.__name__}: {crash!r} in {where}")
    return [f"{fault}\n    plan {number}: ?{out.query}" for fault in faults]


def main() -> int:
    """Hold the laws against many plans; tell the first of each kind."""
    from house import make_app

    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--plans", type=int, default=10_000)
    parser.add_argument("--first", type=int, default=0, help="number of the first plan")
    chosen = parser.parse_args()
    client, seen = make_app().test_client(), Counter()
    for number in range(chosen.first, chosen.first + chosen.plans):
        for fault in broken_laws(client, number):
            kind = re.sub(r"[^A-Za-z/#.]+", " ", fault.split("\n")[0])[:60]
            seen[kind] += 1
            if seen[kind] == 1:
                print(fault, end="\n\n", flush=True)
    print(f"{chosen.plans} plans, {sum(seen.values())} faults")
    for kind, times in seen.most_common():
        print(f"{times:6} {kind}")
    return 1 if seen else 0


if __name__ == "__main__":
    sys.exit(main())
