"""How the figures of the page ``/visits`` come about, with the plan's own dates and numbers."""

from __future__ import annotations

from webcalc.calc.shoot import Shoot
from webcalc.calc.unknown import need
from webcalc.calc.visits.rules import RENEWS, Reason, Visit, VisitPlan
from webcalc.web.words.say import Say
from webcalc.web.words.working import How

_BEFORE_PLAN = "Due before today and not noted: taken for the next day that somebody can go."


def visit_how(shoot: Shoot, say: Say, visit: Visit) -> How:
    """Say why a visit is on its day, and since when what is found there is counted."""
    rules, since = visit.planner.rules, say.instant(visit.before.card_since)
    counted = f"What is found: recorded and used from {since}, camera clock, to the arrival."
    if Reason.LAST_DAY in visit.reasons:
        ends = say.instant(shoot.visits.site_time(visit.planner.schedule.ends_at))
        return (f"The first day to go there with light left after the last frame, {ends}.", counted)
    if visit.late:
        return (_BEFORE_PLAN, counted)
    margin = f", less {say.count(rules.margin_days, 'day')} of margin" if rules.margin_days else ""
    on = f", visits {say.weekdays(rules.weekdays)}" if len(rules.weekdays) < 7 else ""
    if visit.by is None:
        return (f"The first day to go there after the change of summer time{on}.", counted)
    at = say.instant(shoot.visits.site_time(visit.by))
    return (f"What runs out first does so {at} at the earliest: the last day to be there before{margin}{on}.", counted)


def bring_how(visit: Visit) -> How:
    """Say what a visit renews."""
    renewed = [word for word, reason in RENEWS.items() if reason in visit.planner.rules.renews]
    return (f"Each visit renews: {', '.join(renewed) or 'nothing'}. What is brought is like what is in use.",)


def visits_how(say: Say, plan: VisitPlan) -> How:
    """Say how many visits there are before the last."""
    return (f"{say.number(len(plan.services))} before the last day, and the one that fetches the camera.",)


def in_all_how(say: Say, renewals: int) -> How:
    """Say how many are renewed."""
    return (f"1 at the start and {say.number(renewals)} at visits, none used twice.",)


def km_how(shoot: Shoot, say: Say, plan: VisitPlan) -> How:
    """Say how far each visit is."""
    return (f"{say.count(len(plan.visits), 'visit')} × {say.kilometres(need(shoot.visit_km))} there and back.",)
