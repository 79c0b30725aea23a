"""Who carries the side load: the split, its dependence on clearance, the path of the pin, and a live scene."""

from dataclasses import replace

import numpy as np

from vmech_core.base import Loads, peak
from vmech_core.case import Case
from vmech_core.pressure.cycles import SAME_TRACE
from vmech_core.sharing import flanks, peak_forces, share
from vmech_core.show import style, view

#: Choices of the live scene.
FLOODED, DRY = "flooded", "none"
#: Ends of the scales of force and of path; every setting of the sliders stays within them.
LIMITS_KN, LIMIT_UM = (-8.0, 8.0), 220.0
PAIRS = {"guide": "guide", "piston on bore": "bore"}


def split(case, elastic):
    """Forces of teeth, guides and bores over a cycle, beside the side thrust of the ordinary engine.

    Parameters
    ----------
    case : Case [-]
        An assessed two-cylinder engine.
    elastic : Elastic [-]
        Its stiffnesses and clearances.

    Returns
    -------
    Figure [-]
        Left teeth and guides, with the limit of idle guides; right the pistons on their bores. Grey: the crank crosses
        its backlash and equilibrium is not followed.
    """
    loads, _ = share(elastic, case.drive, case.loads)
    fig, (left, right) = style.figure(9.8, 4.4, columns=2)
    angle = np.degrees(case.angle)
    left.plot(angle, case.loads["mesh"] / 1e3, label="teeth if guides idle", **{**style.QUIET, "linewidth": 2.0})
    left.plot(angle, loads["mesh"] / 1e3, label="teeth, $F_t$", **style.force("mesh"))
    for k in range(2):
        left.plot(angle, loads["guide"][k] / 1e3, label=f"guide {k + 1}, $N_{k + 1}$", **style.force("guide", k))
        right.plot(angle, loads["bore"][k] / 1e3, alpha=1.0 - 0.45 * k,
                   label=f"piston {k + 1}, straight-line drive", **style.STRAIGHT)
        right.plot(angle, case.ordinary_loads["bore"][k] / 1e3, alpha=1.0 - 0.45 * k,
                   label=f"piston {k + 1}, ordinary crank", **style.ORDINARY)
    for crossing in flanks.crossings(elastic, case.drive, loads):
        left.axvspan(np.degrees(crossing.angle), np.degrees(crossing.angle + crossing.turn), color="#dddddd", zorder=0)
    for ax, words in ((left, "teeth and guides"), (right, "pistons on their bores")):
        style.over_cycle(ax, angle, "lateral or tooth force, $N$, $F_t$ [kN]", words)
        style.legend(ax, small=True, loc="lower left", bbox_to_anchor=(0.0, 1.06), ncols=2)
    return _below(fig, case, elastic)


def against_clearance(case, elastic, dry, clearances_um):
    """Peak forces against the radial clearance of the guides, with oil films and without.

    Parameters
    ----------
    case : Case [-]
        An assessed engine.
    elastic : Elastic [-]
        Its stiffnesses, clearances and films; the clearance of the guides is replaced.
    dry : Elastic [-]
        The same without films.
    clearances_um : sequence of float [um]
        Radial clearances of the guides.

    Returns
    -------
    Figure [-]
        Teeth, guides and bores, thin without films; as lines the ordinary side thrust, the design's own clearance and
        the bound of ``flanks.idle_clearance``, which is safe: computed guides without films idle from less on.
    """
    peaks, bare = (np.array([peak_forces(replace(machine, guide_clearance=1e-6 * c), case.drive, case.loads)
                             for c in clearances_um]) / 1e3 for machine in (elastic, dry))
    away = replace(dry, guide_clearance=1e-2, bore_clearance=1e-2)
    _, found = share(away, case.drive, case.loads)
    idle = flanks.idle_clearance(away, case.drive, case.loads, found)
    fig, (ax,) = style.figure(8.8, 3.9)
    names = ("teeth, both ends", "one guide", "one piston on its bore")
    for k, look in enumerate(map(style.force, ("mesh", "guide", "bore"))):
        ax.plot(clearances_um, peaks[:, k], label=names[k], **look)
        ax.plot(clearances_um, bare[:, k], label=f"{names[k]}, dry", **{**look, "linewidth": 0.9, "alpha": 0.7})
    thrust = np.abs(case.ordinary_loads["bore"]).max() / 1e3
    ax.axhline(thrust, label="ordinary crank: piston on its bore", **style.ORDINARY)
    ax.axvline(1e6 * elastic.guide_clearance, label="clearance of the design", **style.QUIET)
    ax.axvline(1e6 * idle, label="safe bound: dry guides are idle\nright of it, and already before", color="black",
               linestyle=(0, (1, 3)))
    ax.set(xlim=(clearances_um[0], clearances_um[-1]), ylim=(0, None))
    style.label(ax, "radial clearance of the guides, $c_g$ [µm]", "peak force, $F_t$, $N$, $N_b$ [kN]")
    style.legend(ax, beside=True)
    return _below(fig, case, elastic)


def paths(case, cases):
    """Path of the first crankpin, drawn along and across its line, for a few machines.

    Parameters
    ----------
    case : Case [-]
        An assessed design.
    cases : dict of str to Elastic [-]
        Words to machine.

    Returns
    -------
    Figure [-]
        The scale across the line is stretched; a rigid perfect machine would draw a straight line at zero.
    """
    fig, (ax,) = style.figure(9.0, 3.6)
    drive = case.drive
    along = 1e3 * case.motion.position[0]
    looks = (style.OTHERS[2], *style.OTHERS[:2], *style.OTHERS[3:])
    for (words, elastic), look in zip(cases.items(), looks, strict=False):
        _, found = share(elastic, drive, case.loads)
        across = 1e6 * flanks.pin_place(elastic, drive, case.angle, found)[0]
        ax.plot(along, across, label=words, **{**look, "linewidth": 1.2})
    style.label(ax, "along the line, $x$ [mm]", "across the line, $y$ [µm]", "path of crankpin 1")
    style.legend(ax, beside=True)
    return fig


class SplitScene(style.Scene):
    """A picture whose artists are made once, of a machine that is solved anew at every step of a slider.

    Attributes
    ----------
    figure : Figure [-]
        The figure, with fixed axis limits.
    moving : list of Artist [-]
        Artists that change with the sliders.

    Parameters
    ----------
    design : Design [-]
        A two-cylinder engine with a pressure trace.
    angles : int [1]
        Angles over a cycle.
    title : str [-]
        Text above the path.
    """

    def __init__(self, design, angles, title):
        self._a, self._start = Case(design, angles), None
        self.figure, (left, right, side) = style.figure(9.8, 4.8, columns=3, ratios=[1.4, 0.75, 1.15])
        degrees = np.degrees(self._a.angle)
        style.over_cycle(left, degrees, "tooth, guide and bore force, $F_t$, $N$, $N_b$ [kN]",
                         "who carries what" + 3 * "\n", ylim=LIMITS_KN)
        pairs = [(f"{words} {k + 1}", style.force(kind, k)) for words, kind in PAIRS.items() for k in (0, 1)]
        looks = [("teeth", style.force("mesh")), *pairs]
        self._lines = self._curves(left, degrees, looks)
        thrust = np.abs(self._a.ordinary_loads["bore"]).max() / 1e3
        for sign, words in ((-1, None), (1, "ordinary piston on bore, peak")):
            left.axhline(sign * thrust, label=words, **{**style.ORDINARY, "linewidth": 1.2})
        style.legend_above(self.figure, left, columns=6, small=True)
        reach = 525.0 * float(self._a.drive.stroke)
        style.label(right, "along the line, $x$ [mm]", "across the line, $y$ [µm]", title,
                    xlim=(-reach, reach), ylim=(-LIMIT_UM, LIMIT_UM))
        (self._path,) = right.plot([], [], color=style.CRANK, linewidth=1.2)
        self._left, self._right, self._text = left, right, style.Readout(left, 0.0, 1.17)
        self._view, self._cursor = view.MachineView(side, design, self._a.drive), view.Cursor([left], [self._path])
        self._view.scale(0.0, 0.1, 2.0)
        self._ready([*self._lines, self._path, *self._view.artists, *self._cursor.artists, self._text],
                    f"{style.named(design)}; comparison: {SAME_TRACE}; {self._a.load_case}")

    def _turn(self, angle_deg, astray=0.0):
        """Show the machine and its forces at an angle, in every part of the picture."""
        angle = np.radians(angle_deg)
        self._view.show(angle, view.at_angle(self._loads, self._loads.channels, angle), astray)
        self._cursor.show(angle_deg, int(np.abs(self._a.angle - angle).argmin()))

    def _solve(self, elastic):
        """Solve a machine and draw it; forces of teeth, guides and bores in kN."""
        a = self._a
        loads, found = share(elastic, a.drive, a.loads, start=self._start)
        self._start = found.displacement
        self._loads = Loads(a.angle, {name: loads[name] for name in ("gas", "mesh", "guide", "bore")}, loads.model)
        self._draw([loads["mesh"], *loads["guide"], *loads["bore"]],
                   a.motion.position[0] + 1j * flanks.pin_place(elastic, a.drive, a.angle, found)[0])
        return [line.get_ydata() for line in self._lines]

    def _draw(self, forces, path):
        self._move(self._lines, [force / 1e3 for force in forces])
        self._path.set_data(1e3 * path.real, 1e6 * path.imag)

    @staticmethod
    def _line(kind, forces):
        """Values of teeth, two guides and two bores as a line of the readout."""
        forces = list(forces)
        return f"{kind}teeth {forces[0]:.2f} kN, guide {max(forces[1:3]):.2f} kN, bore {max(forces[3:]):.2f} kN"


class SharingScene(SplitScene):
    """Live split of the side load; every step of a slider solves the elastic machine anew at 181 angles.

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
        A two-cylinder engine with a pressure trace.
    """

    def __init__(self, design):
        super().__init__(design, 181, "path of crankpin 1")
        self._machines = {FLOODED: self._a.elastic, DRY: self._a.dry_elastic}
        self._right.axhspan(-1, 1, color="#bbbbbb")

    def _change(self, guide_um, backlash_um, bearing_um, mismatch_um, guide_stiffness, films):
        """Solve and show one choice.

        Parameters
        ----------
        guide_um : float [um]
            Radial clearance of the guides.
        backlash_um : float [um]
            Backlash.
        bearing_um : float [um]
            Radial clearance of crank and carrier bearings together.
        mismatch_um : float [um]
            Carrier radius less pin radius.
        guide_stiffness : float [1]
            Factor on the stiffness of guides and rods.
        films : str [-]
            ``flooded`` guides and bearings, or ``none``.
        """
        own = self._machines[films]
        forces = self._solve(replace(
            own, guide_clearance=1e-6 * guide_um, backlash=1e-6 * backlash_um, bearing_clearance=1e-6 * bearing_um,
            carrier_error=1e-6 * mismatch_um, guide=guide_stiffness * own.guide, bending=guide_stiffness * own.bending,
        ))
        self._text.set_text(
            f"guide {guide_um:.0f} µm, backlash {backlash_um:.0f} µm, bearings {bearing_um:g} µm,\n"
            f"radii {mismatch_um:+.0f} µm, guide stiffness x {guide_stiffness:.1f}, oil films: {films}\n"
            + self._line("peaks: ", map(peak, forces))
        )


def _below(fig, case, elastic):
    design, names = case.design, ("backlash", "guide_clearance", "bearing_clearance", "bore_clearance")
    backlash, guide, bearing, bore = (f"{1e6 * getattr(elastic, name):.0f} µm" for name in names)
    return style.below(fig, f"{style.named(design)}, {design.duty.speed_rpm:g} rev/min; backlash {backlash}, "
                            f"radial clearances: guide {guide}, bearings {bearing}, piston {bore}\n"
                            f"comparison: {SAME_TRACE}; stiffnesses estimated\n{case.basis}")
