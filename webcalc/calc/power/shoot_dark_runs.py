"""The shoot seen from its dark days: how often they bring the battery to its reserve though a panel charges it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import timedelta
from typing import TYPE_CHECKING

from webcalc.calc.estimate import Estimate
from webcalc.calc.power import panel_chance, runtime
from webcalc.calc.power.dark_runs import DARKEST
from webcalc.calc.power.panel import TopUp
from webcalc.calc.power.panel_chance import Chance, Draw
from webcalc.calc.power.sky import SiteSun
from webcalc.calc.unknown import ask, figure, figure_for, need

if TYPE_CHECKING:
    from webcalc.calc.shoot import Shoot

#: Panels that are sized with a battery, by the one typed, or by the smallest that carries.
_SIZED = (0.5, 1, 2)
#: A battery that mean days still empty is made larger in such steps, so often.
_LARGER, _MOST_STEPS = 1.1, 30
#: Clearness of what is called a dark day: one day of ten is darker where a month's mean is 0.3 to 0.4.
DARK_DAY = 0.1


@dataclass(frozen=True)
class Size:
    """A panel and the printed energy of the battery that holds with it, for each of ``RELIED_ON``; None: none does."""

    panel_w: float
    battery_wh: tuple[float | None, ...]


@dataclass(frozen=True, eq=False)
class ShootDarkRuns:
    """What dark days do to a battery with a panel; at its pessimistic end, and with the heaviest draw, unless said."""

    shoot: Shoot

    @figure
    def draw(self) -> Draw:
        """What is drawn, from when the battery in use runs."""
        panel, battery = self.shoot.battery.panel, self.shoot.battery
        schedule, since, last, loads = need(battery.schedule, battery.since, panel.looked_at_until, panel.day_loads)
        recorded, idle = loads
        first = schedule.first if since is None else min(last, max(schedule.first, since.date()))
        return Draw(schedule, first, last, recorded.high, idle.high)

    @figure_for
    def room_wh(self) -> float:
        """What lies between full and the reserve."""
        supply, reserve = need(self.shoot.battery.supply_alone, self.shoot.battery.reserve_share)
        return runtime.budget_wh(supply.usable_wh.low, reserve)

    @figure
    def chance(self) -> Chance | None:
        """In what share of the years of this shoot the reserve is touched; None without a panel.

        Not known without the site's own sun: a class of sky for a whole year tells nothing of its days.
        """
        panel = self.shoot.battery.panel
        if not panel.typed:
            return None
        top_up = need(panel.top_up)
        return None if top_up is None else need(self.chance_with(top_up))

    @figure_for
    def chance_with(self, top_up: TopUp) -> Chance:
        """The same with any panel."""
        sun, draw, room_wh = need(self.shoot.battery.panel.site_sun, self.draw, self.room_wh())
        if sun is None:
            raise ask("sunshine")
        if room_wh <= 0:
            return Chance(1.0)
        return panel_chance.chance_of(top_up.latitude_deg, top_up.panel, sun, top_up.rule, draw, room_wh)

    @figure
    def likely_chance(self) -> Chance | None:
        """The same with what is expected of battery and draw: what a range of draws may hide."""
        panel, battery = self.shoot.battery.panel, self.shoot.battery
        if not panel.typed:
            return None
        top_up, sun, draw, supply, reserve, loads = need(
            *(panel.top_up, panel.site_sun, self.draw, battery.supply_alone, battery.reserve_share, panel.day_loads)
        )
        if sun is None:
            raise ask("sunshine")
        if top_up is None:
            return None
        room_wh = runtime.budget_wh(supply.usable_wh.expected, reserve)
        if room_wh <= 0:
            return Chance(1.0)
        recorded, idle = loads
        draw = replace(draw, recorded_wh=recorded.expected, idle_wh=idle.expected)
        return panel_chance.chance_of(top_up.latitude_deg, top_up.panel, sun, top_up.rule, draw, room_wh)

    @figure
    def carried_anyhow(self) -> bool | None:
        """Whether it lasts though every day be as dark as days get; None without a panel."""
        if not self.shoot.battery.panel.typed:
            return None
        top_up = need(self.shoot.battery.panel.top_up)
        return None if top_up is None else need(self.carried_anyhow_with(top_up))

    @figure_for
    def carried_anyhow_with(self, top_up: TopUp) -> bool:
        """The same with any panel."""
        battery = self.shoot.battery
        supply, drawn, schedule, recording, reserve, since = need(
            *(battery.supply_alone, battery.draws.load, self.shoot.schedule, self.shoot.recording),
            *(battery.reserve_share, battery.since),
        )
        harvests = panel_chance.dark_harvests_wh(top_up.latitude_deg, top_up.panel, DARKEST)
        with_dark = replace(supply, harvest_wh=Estimate.exact(panel_chance.on_dates(harvests, top_up.rule)))
        return runtime.lasts_at_worst(schedule, recording, drawn, with_dark, since=since, reserve_share=reserve)

    @figure
    def days_to_reserve(self) -> int | None:
        """How many dark days in a row bring a full battery to its reserve; None without a panel, or where none do."""
        if not self.shoot.battery.panel.typed:
            return None
        top_up, draw, room_wh = need(self.shoot.battery.panel.top_up, self.draw, self.room_wh())
        if top_up is None:
            return None
        harvests = panel_chance.dark_harvests_wh(top_up.latitude_deg, top_up.panel, DARK_DAY)
        return panel_chance.dark_days_to_reserve(harvests, top_up.rule, draw, room_wh)

    # -- what would do --------------------------------------------------------------------------------------

    @figure_for
    def sizes(self) -> tuple[Size, ...]:
        """Panels and the batteries that hold with them, of the kind typed; a year of a longer shoot is looked at.

        Empty where no panel is needed or none is enough. A figure for a call: it takes hundreds of milliseconds.
        """
        panel = self.shoot.battery.panel
        watts = need(panel.rated_w if panel.typed else panel.smallest_panel_w)
        top_up, sun = need(panel.top_up_of(0.0), panel.site_sun)
        if sun is None:
            raise ask("sunshine")
        if not watts or top_up is None or need(self.room_wh()) <= 0:
            return ()
        return tuple(self._size(top_up, sun, times * watts) for times in _SIZED)

    def _size(self, top_up: TopUp, sun: SiteSun, rated_w: float) -> Size:
        """Find the batteries for a panel: by dark days, and by mean ones, as the verdict wants both."""
        battery = self.shoot.battery
        draw, room_wh, supply, reserve, drawn, schedule, recording = need(
            *(self.draw, self.room_wh(), battery.supply_alone, battery.reserve_share, battery.draws.load),
            *(self.shoot.schedule, self.shoot.recording),
        )
        top_up = replace(top_up, panel=replace(top_up.panel, rated_w=rated_w))
        a_year = replace(draw, last=min(draw.last, draw.first + timedelta(days=364)))
        lost_wh = need(battery.panel.lost_in_a_day()).high

        def chance(wanted_wh: float) -> float:
            # A larger battery loses more by itself.
            more_wh = lost_wh * (wanted_wh / room_wh - 1)
            heavier = replace(a_year, recorded_wh=draw.recorded_wh + more_wh, idle_wh=draw.idle_wh + more_wh)
            return panel_chance.chance_of(top_up.latitude_deg, top_up.panel, sun, top_up.rule, heavier, wanted_wh).share

        def lasts(times: float) -> bool:
            scaled = replace(
                supply,
                usable_wh=supply.usable_wh.map(lambda wh: wh * times),
                rated_wh=supply.rated_wh.map(lambda wh: wh * times),
                harvest_wh=top_up.harvests(),
            )
            return runtime.lasts_at_worst(schedule, recording, drawn, scaled, reserve_share=reserve)

        def printed_wh(wanted_wh: float | None) -> float | None:
            if wanted_wh is None:
                return None
            times = wanted_wh / room_wh
            larger = (times * _LARGER**n for n in range(_MOST_STEPS))
            enough = next((each for each in larger if lasts(each)), None)
            return None if enough is None else enough * supply.rated_wh.expected

        least_wh = panel_chance.PROVEN_DAYS * a_year.heaviest_wh
        return Size(rated_w, tuple(map(printed_wh, panel_chance.rooms_for(chance, least_wh))))
