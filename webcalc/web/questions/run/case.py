"""Several cameras looked after by one crew: pasted plans, read line by line, and their visits as one list of drives."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date, datetime
from functools import cached_property
from zoneinfo import ZoneInfo

from webcalc.calc.schedule.length import ShootLength, last_day
from webcalc.calc.visits.joint import CameraVisit, Drive, JointVisits, TooManyVisits, joint_visits
from webcalc.calc.visits.rules import Standing
from webcalc.web.http.errors import TooMuchWork
from webcalc.web.http.page import Asked
from webcalc.web.link import needed_right
from webcalc.web.link.inputs import Inputs
from webcalc.web.link.pasted import read_pasted
from webcalc.web.link.quantities import QUANTITIES
from webcalc.web.questions.visits.case import Bring, VisitsCase
from webcalc.web.questions.visits.page import VISITS
from webcalc.web.words.say import Say

MOST_CAMERAS = 40
#: Lines that are looked at, good and bad.
MOST_LINES = 200
#: Visits of all cameras that one list is worked out for: two seconds of work, and pages of drives.
MOST_VISITS = 2_000
_WHOLE = (
    *(needed_right.SCHEDULE, needed_right.CARD, needed_right.BATTERY, needed_right.RECORDED),
    *(needed_right.VISITING, needed_right.PLACE),
)


@dataclass(frozen=True)
class Camera:
    """One line that holds a plan whose visits can be worked out."""

    line: int
    case: VisitsCase

    @property
    def name(self) -> str:
        """Return the camera's name, else which line it comes from."""
        return self.case.inputs.get("name") or f"Camera of line {self.line}"

    @property
    def standing(self) -> Standing | None:
        """Return how the last visit left it, where the plan says when that was."""
        since, planner = self.case.inputs.get("since"), self.case.planner
        if since is None or not planner.schedule.first < since.date() <= planner.schedule.last:
            return None
        return planner.after_visit(planner.start(), since.date())


@dataclass
class Packed:
    """What to take along: cards by GB, batteries by what they are; and cameras whose need isn't known."""

    cards: Counter[object] = field(default_factory=Counter)
    batteries: Counter[tuple[float | None, bool]] = field(default_factory=Counter)
    cards_unknown: int = 0
    batteries_unknown: int = 0

    def add(self, bring: Bring) -> None:
        """Add what one visit takes."""
        if bring.cards is None:
            self.cards_unknown += 1
        elif bring.cards:
            self.cards[bring.card_gb] += bring.cards
        if bring.batteries is None:
            self.batteries_unknown += 1
        elif bring.cells:
            self.batteries[(None, True)] += bring.cells
        elif bring.batteries:
            self.batteries[(bring.battery_wh, False)] += bring.batteries


class RunCase:
    """The question which cameras need a visit next."""

    def __init__(self, lines: Sequence[str], ahead: ShootLength, now: datetime, say: Say) -> None:
        self.now = now
        self.say = say
        #: Line (None: all of them) and what is wrong with it.
        self.errors: list[tuple[int | None, str]] = []
        self.cameras: list[Camera] = []
        self._read(lines)
        self.since = min((self._today(camera) for camera in self.cameras), default=now.astimezone().date())
        self.until = last_day(self.since, ahead)

    def _read(self, lines: Sequence[str]) -> None:
        seen: dict[str, int] = {}
        for number, line in enumerate(lines[:MOST_LINES], start=1):
            if not line.strip():
                continue
            found = read_pasted(line, self.now.astimezone().date())
            inputs = found.inputs if found else None
            sentence = "There is no plan in this line." if inputs is None else self._wrong(inputs)
            if inputs is not None and not sentence:
                query = str(inputs.query())
                if query in seen:
                    sentence = f"This is the same plan as in line {seen[query]}."
                elif len(self.cameras) >= MOST_CAMERAS:
                    sentence = f"Only {MOST_CAMERAS} cameras are looked at in one list."
                else:
                    seen[query] = number
                    self.cameras.append(Camera(number, VisitsCase(Asked(VISITS, inputs, self.now, self.say))))
            if sentence:
                self.errors.append((number, sentence))
        if len(lines) > MOST_LINES:
            self.errors.append((None, f"Only the first {MOST_LINES} lines were looked at."))

    def _wrong(self, inputs: Inputs) -> str:
        """Return why no visits can be worked out from a plan; empty where they can."""
        if needed_right.any_wrong(inputs, *_WHOLE):
            return "; ".join(inputs.errors.values()) + "."
        case = VisitsCase(Asked(VISITS, inputs, self.now, self.say))
        if case.needs:
            return f"The plan lacks: {', '.join(QUANTITIES[name].label for name in case.needs)}."
        if case.visits.nothing_to_plan_by:
            return "Nothing in the plan calls for a visit: neither card nor battery is known, nor the days between."
        return ""

    def _today(self, camera: Camera) -> date:
        return self.now.astimezone(camera.case.shoot.place.zone).date()

    # -- the list -------------------------------------------------------------------------------------------

    @cached_property
    def visits(self) -> JointVisits:
        """Return the drives of the period."""
        planners = [(camera.case.planner, camera.standing) for camera in self.cameras]
        try:
            return joint_visits(planners, self.since, self.until, MOST_VISITS)
        except TooManyVisits:
            raise TooMuchWork(
                f"These cameras need more than {MOST_VISITS} visits to {self.say.day(self.until)}, which is more than "
                "one list can hold. Look ahead less far, or take fewer cameras into one list."
            ) from None

    def camera(self, seen: CameraVisit) -> Camera:
        """Return the camera of a visit."""
        return self.cameras[seen.camera]

    def bring(self, drives: Sequence[Drive]) -> Packed:
        """Return what these drives take."""
        packed = Packed()
        for drive in drives:
            for seen in drive.cameras:
                packed.add(self.camera(seen).case.bring(seen.visit))
        return packed

    def slot(self, drive: Drive) -> tuple[datetime, datetime] | None:
        """Return the light that all cameras of a drive share; None where it isn't known, or there is none."""
        slots = [self.camera(seen).case.slot(seen.visit) for seen in drive.cameras]
        if not slots or any(slot is None or slot[0].tzinfo is None for slot in slots):
            return None
        begin, end = max(slot[0] for slot in slots if slot), min(slot[1] for slot in slots if slot)
        return (begin, end) if begin < end else None

    @property
    def zones(self) -> list[ZoneInfo]:
        """Return the zones of the cameras, each once."""
        zones = {zone.key: zone for camera in self.cameras if (zone := camera.case.shoot.place.zone)}
        return list(zones.values())
