"""How evenly both machines turn: curves over the cycle, the energy of a flywheel as an area, and the live scene."""

from dataclasses import replace

import numpy as np

from vmech_core import balance, machine
from vmech_core.base import MACHINES
from vmech_core.case import Case
from vmech_core.pressure.cycles import SAME_CHARGE, SAME_TRACE
from vmech_core.show import style, view

TORQUE, WORK = "torque, $T$ [N m]", "work stored, $W$ [J]"
SPEED = "speed off mean, $\\omega / \\omega_m - 1$ [%]"


def curves(x, panels, words="", horizontal=""):
    """Curves above one another.

    Parameters
    ----------
    x : (A,) array [-]
        Angle over one cycle [deg], or what ``horizontal`` names, on a logarithmic scale.
    panels : dict of str to dict [-]
        Label of each vertical axis to its curves: words to values (A,) and look.
    words : str [-]
        Text below.
    horizontal : str [-]
        Label of the horizontal axis; empty for the angle.

    Returns
    -------
    Figure [-]
        One pair of axes for each label.
    """
    fig, axes = style.figure(9.4, 0.8 + 2.3 * len(panels), rows=len(panels))
    for ax, (vertical, rows) in zip(axes, panels.items(), strict=True):
        for name, (values, look) in rows.items():
            ax.plot(x, values, label=name, **look)
        if horizontal:
            style.label(ax, horizontal, vertical, xscale="log", xlim=(x[0], x[-1]))
        else:
            style.over_cycle(ax, x, vertical)
        style.legend(ax, beside=True, small=True)
    return style.below(fig, words)


def energy(angle, torque, look, words=""):
    """Torque over the cycle with what goes into and out of the flywheel as areas, and their sum.

    Parameters
    ----------
    angle : (A,) array [rad]
        Angle over one cycle.
    torque : (A,) array [N m]
        The torque; the load is its mean.
    look : dict [-]
        Look of the machine.
    words : str [-]
        Text below.

    Returns
    -------
    Figure [-]
        Above the torque, below the integral of what exceeds the mean, with its lowest and highest point.
    """
    degrees, found = np.degrees(angle), balance.fluctuation(angle, torque)
    fig = curves(degrees, {TORQUE: {"machine": (torque, look), "load": (found.mean + 0.0 * angle, style.LIMIT)},
                           WORK: {"flywheel": (found.work, style.OTHERS[2])}}, words)
    for side, shade, name in ((1, "#cfe3f1", "stored"), (-1, "#f3e2d0", "given back")):
        fig.axes[0].fill_between(degrees, torque, found.mean, where=side * found.excess > 0, color=shade, label=name)
    ends = [found.work.argmin(), found.work.argmax()]
    fig.axes[1].plot(degrees[ends], found.work[ends], "o", color="black", label=f"{found.energy:.3g} J apart")
    for ax in fig.axes:
        style.legend(ax, beside=True, small=True)
    return fig


class TurningScene(style.Scene):
    """Live torque, energy and speed over the cycle of both machines with a flywheel against a constant load.

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
        An engine with a computed cycle.
    """

    def __init__(self, design):
        self._a = a = Case(design, 721)
        self._crank, degrees = machine.masses.crank_inertia(a.design, a.mass).likely, np.degrees(a.angle)
        self._gas = {"same trace": a.ordinary_loads["gas"], "same charge and heat": a.own_ordinary_loads["gas"]}
        self.figure, (straight, *axes, ordinary) = style.mosaic(
            9.8, 6.8, [list(row) for row in ("STTT", "STTT", "SWWW", "OWWW", "Ovvv", "Ovvv")])
        axes, self._lines, ordinary = [axes[0], axes[1], ordinary], [], axes[2]
        words = "flywheel against a constant load" + 3 * "\n"
        rows = (TORQUE, (-100, 300), words), (WORK, (-200, 200), ""), (SPEED, (-8, 8), "")
        for ax, (vertical, limits, title) in zip(axes, rows, strict=True):
            style.over_cycle(ax, degrees, vertical, title, ylim=limits)
            self._lines += self._curves(ax, degrees, list(zip(MACHINES.values(), style.LOOKS.values(), strict=True)))
        style.legend(axes[0], loc="upper center", small=True)
        self._views = [view.MachineView(straight, design, a.drive), view.MachineView(ordinary, design, a.ordinary)]
        self._cursor, self._text = view.Cursor(axes), style.Readout(axes[0], 0.0, 1.36)
        moving = (artist for own in (*self._views, self._cursor) for artist in own.artists)
        self._ready([*self._lines, *moving, self._text],
                    f"{style.named(design)}; arrows: gas; {a.load_case}\n{SAME_TRACE},\nor {SAME_CHARGE['engine']}")

    def _turn(self, angle_deg):
        angle = np.radians(angle_deg)
        for own, (loads, *_) in zip(self._views, self._found, strict=True):
            own.show(angle, view.at_angle(loads, ("gas",), angle))
        self._cursor.show(angle_deg)

    def _change(self, inertia, speed_rpm, load, compared):
        """Show the turning for one choice.

        Parameters
        ----------
        inertia : float [kg m2]
            Moment of inertia of flywheel and load.
        speed_rpm : float [rpm]
            Mean speed.
        load : float [1]
            Share of the gas pressure.
        compared : str [-]
            ``same trace`` or ``same charge and heat``.
        """
        a, speed, self._found = self._a, speed_rpm * np.pi / 30.0, []
        text = [f"{compared}, {speed_rpm:g} rev/min, inertia {inertia:g} kg m², share of the gas pressure {load:g}"]
        for mechanism, drive, gas, words in zip((machine.hypocycloid, machine.slider_crank), (a.drive, a.ordinary),
                                                (a.loads["gas"], self._gas[compared]), MACHINES.values(), strict=True):
            drive = replace(drive, speed=speed)
            loads = mechanism.rigid_loads(drive, a.angle, load * gas)
            even = balance.fluctuation(a.angle, loads["torque"])
            turning = balance.with_flywheel(drive, loads, inertia, self._crank)
            work = even.work - 0.5 * (even.work.max() + even.work.min())
            self._found.append((loads, loads["torque"], work, 100.0 * (turning.speeds.speed / speed - 1.0)))
            text.append(f"{words:20} mean {even.mean:5.1f} N m, energy {even.energy:5.1f} J, "
                        f"fluctuation {turning.speeds.coefficient:.4f}")
        self._move(self._lines, (each[k] for k in (1, 2, 3) for each in self._found))
        self._text.set_text("\n".join(text))
