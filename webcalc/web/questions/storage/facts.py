"""The labelled values of the page ``/storage``: when the card is full, what a frame takes, what the card holds."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from typing import Any

from webcalc.calc.card import space as card
from webcalc.calc.estimate import Estimate
from webcalc.web.questions.storage.case import StorageCase
from webcalc.web.words.answer import Fact


def span(say_end: Callable[[Any], str], estimate: Estimate[Any]) -> tuple[str, str]:
    """Return the expected value and the range in words; no range where there is none."""
    low, expected, high = (say_end(end) for end in (estimate.low, estimate.expected, estimate.high))
    return expected, "" if low == high else f"{low} to {high}"


def facts(case: StorageCase, results: dict[str, Any]) -> list[Fact]:
    """Return dates, sizes and the card as labelled values; ``results`` are those of the page."""
    say, shoot = case.asked.say, case.shoot
    rows: list[Fact] = []
    if shoot.card_bytes is not None:
        rows += _full_rows(case, results)
    if case.needed is not None:
        rows.append(Fact("The shoot takes", *span(say.size, case.needed)))
        # Where it doesn't last, the card that does stands above, as a step to take.
        if results["lasts"] or case.card_needed_gb is None:
            words = "none sold" if case.card_needed_gb is None else say.size(case.card_needed_gb * card.GB)
            rows.append(Fact("Smallest card that lasts", words, case.with_large.strip()))
    rows.append(Fact("One recorded day", *span(say.size, case.day_bytes(case.file_system.cluster_bytes))))
    if case.takes_frames:
        rows.append(_frame_row(case, results))
    if shoot.card_bytes is not None:
        rows += _card_rows(case, results)
    return rows


def _full_rows(case: StorageCase, results: dict[str, Any]) -> list[Fact]:
    say, full = case.asked.say, results["full_at"]
    after = results["full_if_left_running_at"]
    if case.until_full or not case.forecast.lasts:
        never = "not in ten years" if case.until_full else "lasts"
        by_frames = (
            ("Full with large frames", "earliest"),
            ("with expected frames", "expected"),
            ("with small frames", "latest"),
        )
        by_end = (("Full", "earliest"),) if case.is_exact else by_frames
        return [Fact(label, say.instant(full[end]) if full[end] else never) for label, end in by_end]
    if after["earliest"] is None:
        return []
    return [Fact("If left running, full", say.instant(after["earliest"]), "" if case.is_exact else "at the earliest")]


def _frame_row(case: StorageCase, results: dict[str, Any]) -> Fact:
    say = case.asked.say
    expected, range_words = span(say.size, case.shoot.frame)
    known = f"{range_words}, a guess" if range_words else "measured"
    cluster = say.unit(Fraction(case.file_system.cluster_bytes, card.KIB), "KiB")
    cost = f"{say.percent(results['cluster_cost_share'])} more in {cluster} clusters on {case.file_system.name}"
    return Fact("One frame", expected, f"{known}; {cost}")


def _card_rows(case: StorageCase, results: dict[str, Any]) -> list[Fact]:
    say, shoot = case.asked.say, case.shoot
    held = Fact("Bursts it holds", say.number(results["bursts_on_card"]))
    if case.takes_frames:
        held = Fact("Frames it holds", *span(say.number, case.forecast.frames_on_card))
    room = [
        f"{say.size(shoot.card_bytes)} reads as {say.unit(results['card_gib'], 'GiB')}",
        f"{say.percent(card.SHORTFALL_SHARE)} off for the card itself",
    ]
    if shoot.reserve_share:
        room.append(f"{say.percent(shoot.reserve_share)} kept free")
    if shoot.used_bytes:
        room.append(f"{say.size(shoot.used_bytes)} used already")
    return [held, Fact("Room on the card", say.size(case.free_bytes), ", ".join(room))]
