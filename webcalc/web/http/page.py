"""One page of the app: its question, its fields, its answer; and the two views that all pages share."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import UTC, date, datetime
from functools import cached_property
from typing import Any

from flask import Blueprint, current_app, jsonify, redirect, render_template, request
from flask.typing import ResponseReturnValue
from markupsafe import Markup

from webcalc.calc.results import Results
from webcalc.calc.shoot import Shoot
from webcalc.calc.unknown import known
from webcalc.calc.verdict import Part, Verdict, judge, records_nothing
from webcalc.web.http.arrival import inputs_of_request, unknown_notes
from webcalc.web.http.data import plain_data, verdict_data
from webcalc.web.http.forms import build_form
from webcalc.web.link.inputs import (
    CHANGES_NAME,
    NOT_WHOLE,
    OPEN_NAME,
    SUM_NAME,
    WAS_NAME,
    Inputs,
    write_changes,
    write_query,
)
from webcalc.web.link.kinds.basics import BadInput
from webcalc.web.link.kinds.places import OLD_NAMES
from webcalc.web.link.quantities import QUANTITIES
from webcalc.web.link.to_shoot import shoot_of
from webcalc.web.words.answer import ASK, FAILS, LOOK, Answer, Text
from webcalc.web.words.remarks import card_remarks, place_remarks, since_remarks, taps
from webcalc.web.words.say import Say, say_for, switches
from webcalc.web.words.values import by_the_log, rests_on, value_words
from webcalc.web.words.verdict import parts_unknown, put_first
from webcalc.web.words.working import show

#: What a page opened with nothing at all takes besides the usual values, so that it has an answer.
USUAL_ALONE = {"shoot_days": "30"}
#: The same for a page whose answer rests on card and battery.
USUAL_THINGS = USUAL_ALONE | {"card_gb": "64", "cell": "li-ion", "battery_wh": "50", "camera_kind": "sleeper"}


@dataclass(frozen=True)
class Group:
    """Fields that are folded away under a title; their values still count, and the line above the fold has them."""

    title: str
    names: Sequence[str]


#: What several pages fold away.
HOURS = Group("Hours and days", ("from", "until", "days", "skip"))


class PlanLink(Markup):
    """An address that carries the plan, and the few changes that make it out.

    A page that holds the plan's form sends the form with the changes instead of repeating the whole plan in every
    link: it is a fraction of the bytes, and what was typed and not yet sent goes along.
    """

    page: str
    set_text: str


@dataclass(frozen=True)
class Asked:
    """One request for one page: what was typed, when, and how the reader wants it written."""

    page: Page
    inputs: Inputs
    now: datetime
    say: Say = field(default_factory=Say)
    #: Whether the answer is wanted as data, all of it.
    as_data: bool = False

    @cached_property
    def shoot(self) -> Shoot:
        """Return the shoot that the link tells of."""
        return shoot_of(self.inputs, self.now)

    @property
    def changed(self) -> dict[str, Any]:
        """Return what the log says is another by now than in the plan, by name."""
        changed = self.shoot.done.changed
        return {name.rstrip("_"): value for name, value in changed.items() if known(value)}

    @cached_property
    def verdict(self) -> Verdict | None:
        """Return the verdict on what the page asks; None where it judges nothing."""
        return judge(self.shoot, self.page.parts) if self.page.parts else None

    @cached_property
    def site_today(self) -> date | None:
        """Return today's date at the site; None while its zone isn't known."""
        zone = self.shoot.daylight.zone
        return self.now.astimezone(zone).date() if known(zone) else None

    @property
    def records_nothing(self) -> bool:
        """Whether nothing is recorded: the page then says so first, and nothing else is worth telling."""
        return records_nothing(self.shoot) is not None

    def url(self, page: str, **changes: Any) -> PlanLink:
        """Return the address of a page with this plan, with values changed (``from_`` stands for ``from``)."""
        link = PlanLink(Markup("/{}?{}").format(page, self.inputs.query(**changes)))
        link.page, link.set_text = page, write_changes(changes)
        return link

    def step(self, words: str, page: str, **changes: Any) -> Text:
        """Propose a page of this plan, with values changed."""
        return Text("", href=self.url(page, **changes), link_words=words)


@dataclass(frozen=True)
class Page:
    """A page: ``fields`` are open, ``folded`` groups are behind their titles, ``answer`` does the work."""

    name: str
    title: str
    question: str
    fields: Sequence[str]
    answer: Callable[[Asked], Answer]
    folded: Sequence[Group] = ()
    #: Names whose usual value would hide what the page is there to find.
    without_usual: frozenset[str] = frozenset()
    #: What it takes besides the usual values where nothing at all was said.
    alone: Mapping[str, str] = field(default_factory=lambda: USUAL_ALONE)
    #: Where the menu has it: "" for the main pages, else "before" one goes, at the "mast" or back at the "desk".
    moment: str = ""
    #: What its data holds.
    results: type[Results] = Results
    #: What its verdict is about; nothing where it judges nothing.
    parts: Sequence[Part] = tuple(Part)
    template: str = "page.html"
    #: Scripts of its own in ``static``, loaded once the page stands.
    scripts: Sequence[str] = ()
    #: Pages of the same subject at addresses of their own.
    seconds: Sequence[Page] = ()
    #: Title of the fold; by whether some fields are open.
    fold: str = ""

    @property
    def fold_title(self) -> str:
        """Return the title of what is folded away."""
        return self.fold or ("More to change" if self.fields else "Change the plan")

    @property
    def later_scripts(self) -> list[str]:
        """Return the scripts that are loaded once the page stands."""
        return ["refresh.js", *self.scripts]

    @property
    def all_fields(self) -> list[str]:
        """Return the names of every field on the page."""
        return [*self.fields, *(name for group in self.folded for name in group.names)]

    def blueprint(self) -> Blueprint:
        """Return the page, its seconds, and their data as one blueprint."""
        blueprint = Blueprint(self.name, __name__)
        for page in (self, *self.seconds):
            blueprint.add_url_rule(f"/{page.name}", page.name, page.view)
            blueprint.add_url_rule(f"/{page.name}.json", f"{page.name}-data", page.data_view)
        return blueprint

    def ask(self, *, as_data: bool = False) -> Asked:
        """Read the current request."""
        now: datetime = current_app.config["NOW"]()
        inputs = inputs_of_request(now, self.without_usual, self.alone)
        return Asked(self, inputs, now, say_for(inputs, request.accept_languages), as_data)

    def answered(self, asked: Asked) -> Answer:
        """Return the answer with the verdict in its headline place."""
        if asked.inputs.wrong_sum is not None:
            return self.not_whole(asked)
        answer = self.answer(asked)
        if asked.verdict is not None:
            put_first(answer, asked.verdict, asked.shoot, asked.say)
            answer.points.extend(self._over_midnight(asked))
        answer.points.extend([*place_remarks(asked), *card_remarks(asked), *since_remarks(asked)])
        return answer

    def not_whole(self, asked: Asked) -> Answer:
        """Answer a link that didn't arrive whole: with nothing but the way to use what did arrive."""
        link = PlanLink(Markup("/{}?{}").format(self.name, asked.inputs.as_it_is().query()))
        link.page, link.set_text = self.name, f"{SUM_NAME}="
        return Answer(
            self.results(),
            figure="Not known",
            tone=FAILS,
            sentence=f"{NOT_WHOLE}, so nothing is worked out from it: a value may be missing or cut short.",
            points=[
                *([Text(parts_unknown(asked.verdict), LOOK)] if asked.verdict else []),
                Text("Have it sent again, or look at every value below and", ASK, link, "Use them as they are"),
            ],
        )

    def _over_midnight(self, asked: Asked) -> list[Text]:
        """Say that the window goes over midnight, with the step that swaps its ends: it may be meant so, or not."""
        window, say = asked.shoot.window, asked.say
        if not known(window) or not window.crosses_midnight or window.start == window.end:
            return []
        start, end = say.clock(window.start), say.clock_end(window.end)
        step = asked.url(self.name, from_=window.end, until=window.start)
        return [Text(f"Over midnight: from {start} to {end} of the next day.", ASK, step, f"Swap: {end} to {start}")]

    def view(self) -> ResponseReturnValue:
        """Answer as a page."""
        asked = self.ask()
        inputs, say = asked.inputs, asked.say
        if _sent_by_form() and not (inputs.errors or inputs.unknown or inputs.mended):
            return redirect(_canonical(asked), 303)
        answer = self.answered(asked)
        form = build_form(self.all_fields, inputs, say.imperial)
        for field_ in form:
            field_.taps = taps(asked, field_.name)
        carried = [name for name in QUANTITIES if inputs.typed.get(name) and name not in form]
        return render_template(
            self.template,
            page=self,
            asked=asked,
            answer=answer,
            form=form,
            # In one field: a field each would be a tenth of the page.
            carried=write_query((name, inputs.canonical.get(name, inputs.typed[name])) for name in carried),
            carried_words=[
                f"{QUANTITIES[name].label} {value_words(name, inputs.values[name], say)}"
                for name in carried
                if inputs.has(name)
            ],
            folded=[(group.title, [form[name] for name in group.names]) for group in self.folded],
            fold_open=self._is_open(inputs),
            rests=self._rests(asked),
            changes=_changed(asked),
            working=[show(working, say) for working in answer.working if working not in answer.told_at_facts],
            shown=lambda working: show(working, say),
            errors=[(self._place_of(name, asked), sentence) for name, sentence in inputs.errors.items()],
            needs=[(self._place_of(name, asked), QUANTITIES[name].label) for name in answer.needs],
            notes=[*unknown_notes(inputs), *by_the_log(asked.changed, say), *answer.notes],
            query=inputs.handed_out(),
            own_query=inputs.query(),
            preview=answer.preview or headline(answer) or self.question,
            switches=[(asked.url(self.name, **change), words) for change, words in switches(say)],
        )

    def _is_open(self, inputs: Inputs) -> bool:
        """Whether the folded form is open: at a wrong field, or where somebody asked for one."""
        folded = {name for group in self.folded for name in group.names}
        return bool(folded & {*inputs.errors, *request.args.getlist(OPEN_NAME)})

    def _rests(self, asked: Asked) -> list[tuple[str, list[Any]]]:
        """Return what the answer rests on and no open field shows: usual values first, and that they are."""
        folded, inputs = [name for group in self.folded for name in group.names], asked.inputs
        if "site" in folded:
            # The field shows the place of an older link too.
            folded.extend(OLD_NAMES)
        if "last" in folded:
            folded.append("shoot_days")
        taken = [name for name in dict.fromkeys((*self.all_fields, *self.alone)) if name in inputs.usual]
        said = [name for name in folded if name not in inputs.usual]
        return [
            ("Taken for now", rests_on(taken, inputs, asked.say, {}, self.all_fields)),
            ("Rests on", rests_on(said, inputs, asked.say, asked.changed, self.all_fields)),
        ]

    def _place_of(self, name: str, asked: Asked) -> str:
        """Return the address of a field: here, else on the first page that has it, with this plan."""
        if name == SUM_NAME:
            return "#answer"
        name = "site" if name in OLD_NAMES else name
        pages: Sequence[Page] = current_app.jinja_env.globals["pages"]  # type: ignore[assignment]
        for page in (self, *pages):
            if name in page.all_fields:
                return Markup("{}#{}").format("" if page is self else asked.url(page.name), name)
        return Markup("/link?{}#{}").format(asked.inputs.query(), name)

    def data_view(self) -> ResponseReturnValue:
        """Answer as data; 422 where an input is wrong."""
        asked = self.ask(as_data=True)
        body = data_body(asked, self.answered(asked))
        return jsonify(body), 422 if asked.inputs.errors else 200


def data_body(asked: Asked, answer: Answer) -> dict[str, Any]:
    """Return all that a page tells as data, whatever asked for it."""
    inputs = asked.inputs
    return {
        "inputs": inputs.canonical,
        "results": plain_data(answer.results),
        "verdict": verdict_data(asked.verdict) if asked.verdict else None,
        "errors": dict(inputs.errors),
        "notes": [*unknown_notes(inputs), *by_the_log(asked.changed, asked.say), *answer.notes],
        "needs": list(answer.needs),
        "working": [vars(show(working, asked.say)) for working in answer.working],
        "link": str(asked.url(asked.page.name)),
    }


def headline(answer: Answer) -> str:
    """Return what stands in the headline place in a line, what isn't known with it."""
    return " ".join(filter(None, [answer.sentence, *(point.words for point in answer.points)]))


def _sent_by_form() -> bool:
    """Whether a form sent this without its script: a form always has the rest of the plan in a field of its own."""
    return CHANGES_NAME in request.args and "X-Refresh" not in request.headers


def _canonical(asked: Asked) -> str:
    """Return the address to go on to, so that what is kept, sent or gone back to is the plan's one link."""
    was = write_query([(WAS_NAME, write_query(asked.inputs.before.items()))]) if asked.inputs.before else ""
    return "&".join(filter(None, (f"/{asked.page.name}?{asked.inputs.handed_out()}", was)))


def _changed(asked: Asked) -> list[Text]:
    """Say what a step has just changed, with the way back."""
    inputs, say, told = asked.inputs, asked.say, []
    for name, text in inputs.before.items():
        try:
            was = value_words(name, QUANTITIES[name].read(text), say) if text else "empty"
        except BadInput:
            was = f"“{text[:40]}”"
        now = value_words(name, inputs.values[name], say) if inputs.has(name) else "empty"
        if was != now:
            told.append(f"{QUANTITIES[name].label}: {now}, was {was}.")
    if not told:
        return []
    back = asked.url(asked.page.name)
    back.set_text = write_query(inputs.before.items())
    return [Text(" ".join(told), href=back)]


def utc_now() -> datetime:
    """Return the current instant; the only clock of the app (``NOW`` in its configuration)."""
    return datetime.now(UTC)
