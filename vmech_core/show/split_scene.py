"""What the live scenes of the elastic machine share: who carries what, the path of a pin, and the machine itself."""

import numpy as np

from vmech_core.base.results import Loads
from vmech_core.case import Case
from vmech_core.pressure.cycles import SAME_TRACE
from vmech_core.sharing import flanks, share
from vmech_core.show import style, view

#: Ends of the scales of force and of path; every setting of the sliders stays within them.
LIMITS_KN, LIMIT_UM = (-8.0, 8.0), 220.0
PAIRS = {"guide": "guide", "piston on bore": "bore"}


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
    height : float [-]
        Height of the figure in inches.
    ratio : float [1]
        Width of the left axes over that of the right ones.
    title : str [-]
        Text above the path.
    """

    def __init__(self, design, angles, height, ratio, title):
        self._a, self._start = Case(design, angles), None
        self.figure, (left, right, side) = style.figure(9.8, height, columns=3, ratios=[ratio, 0.75, 1.15])
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
