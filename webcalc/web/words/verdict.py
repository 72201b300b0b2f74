"""The verdict in words: every output takes its headline, its open points and what is due from here.

Nothing here reassures: what isn't known is named, and what holds only as expected says so.
"""

from __future__ import annotations

from collections.abc import Iterable

from webcalc.calc.shoot import Shoot
from webcalc.calc.unknown import known
from webcalc.calc.verdict import CALLING, Do, Judged, Part, State, Verdict, Why
from webcalc.web.link.quantities import QUANTITIES
from webcalc.web.words.answer import FAILS, HOLDS, LOOK, Answer, Text
from webcalc.web.words.battery import dark_days_words
from webcalc.web.words.say import Say

PART_WORDS = {
    Part.RECORDING: "recording",
    Part.CLIP: "clip",
    Part.CARD: "card",
    Part.BATTERY: "battery",
    Part.LIGHT: "light",
    Part.CLOCK: "camera clock",
}
DO_WORDS = {
    Do.CHANGE_CARD: "change the card",
    Do.CHANGE_BATTERY: "change the battery",
    Do.SET_CLOCK: "set the camera clock",
    Do.CLEAN: "clean and look",
    Do.FETCH_CAMERA: "fetch the camera",
}
TONES = {State.FAILS: FAILS, State.UNKNOWN: LOOK, State.DOUBTFUL: LOOK, State.HOLDS: HOLDS}
_NOTHING_RECORDED = {
    Why.EVERY_DAY_LEFT_OUT: "Nothing is recorded: every day is left out.",
    Why.NO_WEEKDAY_IN_RANGE: "Nothing is recorded: none of the weekdays lies between the first and the last day.",
    Why.TAKES_NOTHING: "Nothing is recorded: no stills, no bursts, no motion-triggered frames.",
}

NO_STILLS = "No stills are taken in this plan, so there are no frames for a clip."
CONTRADICTED = "What was typed of battery and draw contradicts itself: which is right?"
MAINS = "The camera runs on mains power: there is no battery to run down."


def labels(names: tuple[str, ...]) -> str:
    """Return quantities by their labels."""
    return ", ".join(QUANTITIES[name].label for name in names)


def unknown_words(verdict: Verdict) -> str:
    """Name the parts that aren't known and what would tell them; empty where all is known."""
    parts = []
    for one in verdict.judged:
        if one.state is State.UNKNOWN:
            needs = f" (needs {labels(one.lacks.names)})" if one.lacks is not None else ""
            parts.append(PART_WORDS[one.part] + needs)
    return f"Not known: {', '.join(parts)}." if parts else ""


def may_come_sooner(verdict: Verdict) -> str:
    """Return the caution wherever visits are listed while something may call for one at no known date; else empty."""
    unknown = unknown_words(verdict.only(*CALLING))
    if unknown:
        return f"{unknown[:-1]}: somebody may be needed sooner."
    return "Dark days may empty the battery: somebody may be needed sooner." if only_on_mean_days(verdict) else ""


def only_on_mean_days(verdict: Verdict) -> bool:
    """Whether a panel carries the battery on mean days and dark ones may empty it: no date says when."""
    battery = verdict.of(Part.BATTERY)
    return battery is not None and battery.why is Why.DARK_DAYS


def in_short(unknown: Iterable[Part]) -> str:
    """Return the same in a few words, for a line among others."""
    parts = [PART_WORDS[part] for part in unknown if part in CALLING]
    return f"{' and '.join(parts)} not known: maybe sooner" if parts else ""


def parts_unknown(verdict: Verdict) -> str:
    """Name the parts that aren't known, without what would tell them."""
    return f"Not known: {', '.join(PART_WORDS[part] for part in verdict.unknown)}."


def open_points(verdict: Verdict, shoot: Shoot, say: Say) -> list[str]:
    """Return a sentence for everything that doesn't hold, the worst first; empty where all holds."""
    order = list(State)
    ranked = sorted(verdict.judged, key=lambda one: order.index(one.state))
    points = [part_words(one, shoot, say) for one in ranked if one.state in (State.FAILS, State.DOUBTFUL)]
    contradicted = [part_words(one, shoot, say) for one in ranked if one.why is Why.CONTRADICTION]
    unknown = unknown_words(verdict)
    failing = sum(one.state is State.FAILS for one in ranked)
    return [*points[:failing], *filter(None, [unknown]), *contradicted, *points[failing:]]


def nothing_recorded(why: Why | None) -> str:
    """Say why nothing is recorded; empty where something is."""
    return _NOTHING_RECORDED.get(why, "") if why else ""


def part_words(one: Judged, shoot: Shoot, say: Say) -> str:
    """Say how one part stands; of one that holds nothing is said."""
    if one.part is Part.RECORDING:
        return nothing_recorded(one.why)
    if one.part is Part.CLIP:
        return _clip_words(one, shoot, say)
    if one.part is Part.LIGHT:
        return _light_words(one, shoot, say)
    if one.why is Why.CONTRADICTION:
        return CONTRADICTED
    if one.why is Why.DARK_DAYS:
        return dark_days_words(shoot)
    if one.at is None:
        return ""
    # To the day: what stands at the part itself has the hour.
    at = say.day(one.at.date(), weekday=False)
    sure = one.state is State.FAILS
    if one.part is Part.CARD:
        return f"The card is full on {at} at the earliest." if sure else f"The card can be full on {at}."
    if one.part is Part.BATTERY:
        reach = "reaches its reserve" if sure else "can reach its reserve"
        return f"The battery {reach} on {at}{' at the earliest' if sure else ''}."
    if one.why is Why.SUMMER_TIME:
        return f"From {at} the camera clock is off by a change of summer time, more than is accepted."
    return f"From {at} the camera clock can be off by more than is accepted."


def _clip_words(one: Judged, shoot: Shoot, say: Say) -> str:
    made, wanted_s = shoot.clip_made, shoot.clip
    if one.why is Why.NO_STILLS:
        return "No stills are taken, so there is no clip."
    if one.why is None or not known(made) or not known(wanted_s) or wanted_s is None:
        return ""
    answer = shoot.interval_answer
    chosen = answer.chosen if known(answer) else None
    mend = f" Every {say.length(chosen.interval_s)} mends it." if chosen else " No interval that can be set mends it."
    return f"The clip gets {say.clip(made.clip_s)}, not {say.clip(wanted_s)}.{mend}"


def _light_words(one: Judged, shoot: Shoot, say: Say) -> str:
    light = shoot.daylight.light
    if not known(light) or light is None or one.state is State.HOLDS:
        return ""
    if one.why is Why.ALL_DARK:
        return "All of it is in the dark."
    return f"{say.percent(light.light_share)} of it is in the light."


def put_first(answer: Answer, verdict: Verdict, shoot: Shoot, say: Say) -> None:
    """Put into an answer's headline place what no page may leave out, whatever else it says.

    A shoot that records nothing is the answer itself; what isn't known is named where a page has no figure of its own.
    """
    recording = verdict.of(Part.RECORDING)
    if recording and recording.state is State.FAILS:
        answer.figure, answer.tone, answer.sentence = "Records nothing", FAILS, part_words(recording, shoot, say)
        return
    if verdict.state is State.UNKNOWN and not answer.figure:
        answer.figure, answer.tone = "Not known yet", LOOK
    said = " ".join([answer.figure, answer.sentence, *(point.words for point in answer.points)]).lower()
    if not all("not known" in said and PART_WORDS[part] in said for part in verdict.unknown):
        answer.points.append(Text(unknown_words(verdict), LOOK))


def due_words(verdict: Verdict, say: Say) -> list[str]:
    """Return what is due by when, each in a line."""
    return [f"By {say.day(due.at)}: {DO_WORDS[due.do]}" for due in verdict.due]


def put_contradiction(answer: Answer, shoot: Shoot, what: str, of: str) -> bool:
    """Say that something isn't known where what was typed of the battery contradicts itself, or may do so."""
    contradicted = shoot.battery.contradicted
    if contradicted is False:
        return False
    may = f"{what}: something typed of {of} can't be read, and may contradict the rest."
    answer.head("Not known yet", LOOK, f"{what}. {CONTRADICTED}" if known(contradicted) else may)
    answer.needs = answer.needs or getattr(contradicted, "names", ())
    return True
