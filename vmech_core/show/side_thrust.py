"""Where the side load goes: limits, counterweights, comparators, and the live loads of a V-twin."""

from dataclasses import replace

import numpy as np

from vmech_core.base import MACHINES, peak, rms
from vmech_core.case import Case
from vmech_core.machine import hypocycloid, slider_crank
from vmech_core.pressure import SAME_TRACE
from vmech_core.show import style, view

#: Layouts whose guides are compared: name, bank angles [deg].
LAYOUTS = (("one cylinder", (0.0,)), ("V 60°", (0.0, 60.0)), ("V 90°", (0.0, 90.0)), ("V 120°", (0.0, 120.0)),
           ("star of three", (0.0, 120.0, 240.0)))


def holding():
    """How well guides alone can hold the crank: the sum of cos^2 phi over one turn.

    Returns
    -------
    Figure [-]
        Where a curve touches zero, guides without a gear cannot hold the crank.
    """
    fig, (ax,) = style.figure(9.0, 3.4)
    angle = np.linspace(0.0, 360.0, 721)
    for (words, banks), look in zip(LAYOUTS, style.OTHERS, strict=True):
        total = np.sum(np.cos(np.radians(angle - np.asarray(banks)[:, None])) ** 2, axis=0)
        ax.plot(angle, total, label=words, **look)
    style.label(ax, "carrier angle, $\\theta$ [deg]", "sum over cylinders, $\\Sigma\\cos^2\\varphi_k$ [1]",
                xlim=(0, 360), xticks=range(0, 361, 60), ylim=(0, 1.7))
    style.legend(ax, beside=True)
    return fig


def counterweight(case, fractions):
    """Peak tooth force and crank-bearing force against the crank counterweight.

    Parameters
    ----------
    case : Case [-]
        An assessed design.
    fractions : (F,) array [1]
        Shares of the rods' crank-borne inertia that the counterweight cancels.

    Returns
    -------
    Figure [-]
        Left the peak and the root mean square of the tooth force, right those of the force of the crank on its
        carriers, guides idle; an ideally light counterweight.
    """
    drive, gas = case.drive, case.loads["gas"]
    full = hypocycloid.crank_moment_for_balance(drive.stroke, drive.bank_angle, drive.reciprocating_mass, 1.0)
    many = replace(drive, crank_moment=np.asarray(fractions) * full, **{
        name: np.tile(getattr(drive, name), (len(fractions), 1)) for name in hypocycloid.PER_CYLINDER})
    loads = hypocycloid.rigid_loads(many, case.angle, np.broadcast_to(gas, (len(fractions), *gas.shape)))
    fig, axes = style.figure(9.4, 3.5, columns=2)
    parts = (("mesh", "tooth force, both ends, $F_t$"), ("crank_bearing", "force of the crank on the carriers, $F_c$"))
    for ax, (channel, words) in zip(axes, parts, strict=True):
        ax.plot(fractions, peak(loads[channel]) / 1e3, label="peak", **style.OTHERS[2])
        ax.plot(fractions, rms(loads[channel]) / 1e3, label="root mean square", **style.LIMIT)
        ax.set(xlim=(fractions[0], fractions[-1]), ylim=(0, None))
        style.label(ax, "counterweight / full balance of the rods, $f_c$ [1]", f"{words} [kN]")
    style.legend(axes[0])
    design = case.design
    return style.below(fig, f"{style.named(design)}, {design.duty.speed_rpm:g} rev/min, guides idle; "
                            f"the counterweight's own mass is left out\n{case.load_case}")


def _banks(v_angle_deg):
    """Cylinder lines of an upright V."""
    return np.pi / 2 + np.radians(v_angle_deg) * np.array([-0.5, 0.5])


class SideThrustScene(style.Scene):
    """Live tooth and guide forces of a V-twin beside the side thrust of the ordinary engine, same pressure trace.

    Attributes
    ----------
    figure : Figure [-]
        The figure, with fixed axis limits.
    moving : list of Artist [-]
        Artists that change with the sliders.
    controls : tuple of Slider [-]
        What the reader may change.

    Parameters
    ----------
    design : Design [-]
        A two-cylinder engine with a pressure trace.
    """

    def __init__(self, design):
        self._a = Case(design, 721)
        self.figure, (*axes, side) = style.figure(9.8, 4.4, columns=3, ratios=[1.0, 1.0, 0.9])
        degrees, self._lines = np.degrees(self._a.angle), []
        guides, bores = ([(f"{kind} {k + 1}, ${symbol}_{{{sub}{k + 1}}}$", style.force(kind, k)) for k in (0, 1)]
                         for kind, symbol, sub in (("guide", "N", ""), ("bore", "N", "b,")))
        looks = ([("teeth, $F_t$", style.force("mesh")), *guides], bores)
        for ax, words, own in zip(axes, MACHINES.values(), looks, strict=True):
            style.over_cycle(ax, degrees, "force, $F_t$, $N$, $N_b$ [kN]", words, ylim=(-10, 10))
            self._lines += self._curves(ax, degrees, own)
            style.legend(ax, loc="lower right", ncols=2, small=True)
        self._view, self._cursor = view.MachineView(side, design, self._a.drive), view.Cursor(axes)
        self._view.hold([replace(self._a.drive, bank_angle=_banks(v)) for v in (40.0, 90.0, 140.0)])
        self._view.scale(0.0, 0.06, 2.0)
        self._text = style.Readout(side, 0.0, 1.6)
        self._ready([*self._lines, *self._view.frame, *self._view.artists, *self._cursor.artists, self._text],
                    f"{style.named(design)}; comparison: {SAME_TRACE}; {self._a.load_case}")

    def _turn(self, angle_deg):
        angle = np.radians(angle_deg)
        self._view.show(angle, view.at_angle(self._loads, ("gas", "guide", "mesh"), angle))
        self._cursor.show(angle_deg)

    def _change(self, v_angle_deg, counterweight, speed_rpm, guide_share):
        """Show the loads for one choice.

        Parameters
        ----------
        v_angle_deg : float [deg]
            Angle between the two cylinder lines.
        counterweight : float [1]
            Share of the rods' crank-borne inertia that the crank cancels.
        speed_rpm : float [rpm]
            Speed.
        guide_share : float [1]
            Share of the load between the limits: 0 guides idle, 1 no gear.
        """
        banks, speed = _banks(v_angle_deg), speed_rpm * np.pi / 30.0
        a, drive = self._a, self._a.drive
        moment = hypocycloid.crank_moment_for_balance(drive.stroke, banks, drive.reciprocating_mass, counterweight)
        drive = replace(drive, bank_angle=banks, crank_moment=moment, speed=speed)
        alone = a.rigid(hypocycloid, drive, "alone")["guide"]
        self._loads = loads = a.rigid(hypocycloid, drive, guide_share * alone)
        self._view.stand(drive)
        bore = a.rigid(slider_crank, replace(a.ordinary, bank_angle=banks, speed=speed))["bore"]
        forces = [loads["mesh"], *loads["guide"], *bore]
        self._move(self._lines, [force / 1e3 for force in forces])
        peaks, means = ([f(force) / 1e3 for force in forces] for f in (peak, rms))
        self._text.set_text(f"V {v_angle_deg:.0f} deg, {speed_rpm:.0f} rev/min\ncounterweight {counterweight:.2f}, "
                            f"guide share {guide_share:.2f}\nteeth:  peak {peaks[0]:.2f} kN, rms {means[0]:.2f} kN\n"
                            f"guides: peak {max(peaks[1:3]):.2f} kN, rms {max(means[1:3]):.2f} kN\n"
                            f"ordinary crank, rod ratio {a.design.ordinary_crank.rod_ratio:g}\n"
                            f"bores:  peak {max(peaks[3:]):.2f} kN, rms {max(means[3:]):.2f} kN")
