"""A live bearing: orbit of the journal in its clearance, film over the cycle, and the same place on rollers."""

from dataclasses import replace

import numpy as np

from vmech_core.base.units import from_si
from vmech_core.bearings import alone, films, oils, rollers, seats, surfaces
from vmech_core.case import Case
from vmech_core.machine import hypocycloid, slider_crank
from vmech_core.plays.running import on_stub_shafts
from vmech_core.pressure.cycles import SAME_TRACE
from vmech_core.show import style, view

PLACES = ("enclosing", "stub shaft")
#: Short name of a bearing to its machine and part.
BEARINGS = {"crankpin, straight-line drive": (seats.STRAIGHT, "crankpin"),
            "crank in carrier": (seats.STRAIGHT, "crank_in_carrier"),
            "carrier in block": (seats.STRAIGHT, "carrier_in_block"),
            "crankpin, ordinary crank": (seats.ORDINARY, "crankpin"),
            "wrist pin": (seats.ORDINARY, "wrist_pin"),
            "main journal": (seats.ORDINARY, "main_bearing")}
SAMPLES = 180  # of a cycle
LIMITS_UM = (0.05, 200.0)
STEPS_KN = (2.0, 5.0, 10.0, 20.0, 50.0, 100.0)  # ends of the scale of the load on rollers


class BearingScene(style.Scene):
    """One bearing of either machine, solved anew at every step of a slider; guides idle, ends as in notebook 05.

    Attributes
    ----------
    figure : Figure [-]
        The figure, with fixed axis limits.
    moving : list of Artist [-]
        Artists that change with the sliders.
    controls : tuple of Slider or Choice [-]
        What the reader may change.

    Parameters
    ----------
    design : Design [-]
        An engine with a pressure trace, its carriers enclosing the crank journals.
    """

    def __init__(self, design):
        self._designs = dict(zip(PLACES, (design, on_stub_shafts(design)), strict=True))
        self._a, self._last = Case(design, SAMPLES + 1), {}
        own, a = design.surfaces.si, self._a
        self._fires = {seats.STRAIGHT: hypocycloid.firing_angles(design, a.drive)[0],
                       seats.ORDINARY: slider_crank.firing_angles(design, a.ordinary)[0]}
        self.figure, (left, right, words) = style.figure(9.8, 3.9, columns=3, ratios=[1.0, 1.25, 0.85])
        degrees, roughness = np.degrees(a.angle), surfaces.composite_roughness(own.journal_ra, own.shell_ra)
        style.over_cycle(right, degrees, "least film, $h_0$ [µm]", "film over the cycle")
        style.regimes(right, LIMITS_UM, 1e6 * float(roughness))
        words.axis("off")
        self._orbit = style.OrbitPicture(left)
        (self._film,) = right.plot(degrees, 0.0 * degrees, **style.STRAIGHT)
        self._text = style.Readout(words, -0.06, 1.0)
        self._ready([*self._orbit.artists, self._film, self._text],
                    f"{style.named(design)}; guides idle; comparison: {SAME_TRACE}\n"
                    f"{style.OrbitPicture.KEY}; {self._a.load_case}")
        self._loads = _LoadPicture(left, right, degrees)
        self.moving[:0] = self._loads.artists

    def _change(self, clearance_permille, length_factor, speed_rpm, load_factor, oil_C, grade, place, bearing, kind):
        """Solve and show one choice.

        Parameters
        ----------
        clearance_permille : float [1]
            Play on the diameter, in thousandths of it.
        length_factor : float [1]
            Factor on the length of the bearing.
        speed_rpm : float [rpm]
            Speed of the shaft.
        load_factor : float [1]
            Factor on the gas force.
        oil_C : float [C]
            Temperature of the oil at the inlet.
        grade, place, bearing, kind : str [-]
            One of the options in ``controls``.
        """
        found = self._seat(place, bearing, np.pi / 30.0 * speed_rpm, load_factor)
        seat = replace(found, kind="journal", length=length_factor * found.length,
                       clearance=0.5e-3 * clearance_permille * found.diameter)
        period, oil = self._a.angle[-1] / (np.pi / 30.0 * speed_rpm), oils.oil(grade)
        head = [bearing, f"{1e3 * seat.diameter:.0f} mm x {1e3 * seat.length:.1f} mm"]
        self._loads.draw(seat if kind == "rollers" else None)
        if kind == "rollers":
            middle = _rollers(seat, oils.kinematic_viscosity(oil, oil_C + 273.15), np.pi / 30.0 * speed_rpm)
        else:
            middle = self._solve(seat, (place, bearing), oil, oil_C + 273.15, period)
        self._text.set_text("\n".join([*head, "", *middle, f"specific load {1e-6 * seat.specific_load:8.1f} MPa"]))

    def _seat(self, place, bearing, speed, load_factor):
        """The chosen seat at a speed and with a share of the gas force."""
        a, design, (machine, part) = self._a, self._designs[place], BEARINGS[bearing]
        mechanism, own, of_case = {seats.STRAIGHT: (hypocycloid, a.drive, a.loads),
                                   seats.ORDINARY: (slider_crank, a.ordinary, a.ordinary_loads)}[machine]
        drive = replace(own, speed=speed)
        loads = mechanism.rigid_loads(drive, a.angle, load_factor * of_case["gas"])
        made = (seats.straight(design, drive, films.with_ends(design, drive, loads)) if machine == seats.STRAIGHT
                else seats.ordinary(design, drive, loads))
        return made[alone.one_of_each(made)[machine, part]]

    def _solve(self, seat, key, oil, inlet, period):
        """Balance of film and heat, from where this bearing was last; the lines of the readout."""
        self._last[key] = made = alone.balance(seat, self._a.design, oil, inlet, period, self._last.get(key))
        film, color = 1e6 * seat.clearance * (1.0 - np.abs(made.path)), style.LOOKS[seat.machine]["color"]
        self._orbit.show(made.path, round(self._fires[seat.machine] / self._a.angle[1]) % SAMPLES, color)
        self._film.set(ydata=np.append(film, film[:1]), color=color)
        return [f"least film    {1e6 * made.film:8.2f} µm", f"film ratio    {made.film_ratio:8.1f}",
                f"that is: {surfaces.regime(made.film_ratio)}", f"temperature   {made.temperature - 273.15:8.0f} °C",
                f"loss          {made.loss:8.1f} W", f"rubbing speed {seat.rubbing_speed:8.1f} m/s",
                *([] if made.settled else ["NOT SETTLED: do not trust"])]


class _LoadPicture:
    """What rollers feel, in the place of orbit and film, which they do not have."""

    def __init__(self, left, right, degrees):
        self._parts = [view.Instead(ax) for ax in (left, right)]
        self.artists = [artist for part in self._parts for artist in part.artists]
        around, over = (part.ax for part in self._parts)
        self._lines = [ax.plot([], [], **look)[0] for ax, look in (
            (around, style.STRAIGHT), (over, style.STRAIGHT), (over, style.LIMIT))]
        self._degrees = degrees
        style.over_cycle(over, degrees, "load, $F$ [kN]", "load on rollers, and the steady one of the same life")
        over.set_xticks((0, 360, 720))
        style.label(around, "load, $F_x$ [kN]", "load, $F_y$ [kN]")
        around.set_aspect("equal")
        around.yaxis.labelpad = -10.0

    def draw(self, seat):
        for part in self._parts:
            part.show(seat is not None)
        if seat is None:
            return
        load = 1e-3 * np.append(seat.load, seat.load[..., :1])
        most, turn = np.abs(load).max(), np.abs(seat.journal_speed - seat.sleeve_speed)
        equal = 1e-3 * float(rollers.equivalent_load(np.abs(seat.load), turn))
        end = next(step for step in STEPS_KN if step > 1.05 * most or step == STEPS_KN[-1])
        self._lines[0].set_data(load.real, load.imag)
        self._lines[1].set_data(self._degrees, np.abs(load))
        self._lines[2].set_data(self._degrees[[0, -1]], [equal, equal])
        for line in self._lines[:2]:
            line.set_color(style.LOOKS[seat.machine]["color"])
        ticks = (-end, 0.0, end)
        self._parts[0].ax.set(xlim=(-end, end), ylim=(-end, end), xticks=ticks, yticks=ticks)
        self._parts[1].ax.set(xlim=(0.0, self._degrees[-1]), ylim=(0.0, end), yticks=(0.0, 0.5 * end, end))


def _rollers(seat, viscosity, speed):
    """Lines of the readout for a caged roller bearing of ordinary proportions in the same place."""
    made = alone.on_rollers(seat, viscosity, speed)
    return ["no oil film to march:", f"{made.count} {made.kind} rollers", "sizes and rating estimated",
            f"rating life   {from_si(made.life, 'h'):8.0f} h", f"friction loss {made.loss:8.1f} W",
            f"speed factor  {made.speed_factor:8.0f} mm rev/min", f"force on cage {made.cage_force:8.1f} N"]
