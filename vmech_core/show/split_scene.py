"""What the live scenes of the elastic machine share: who carries what on the left, the path of a pin on the right."""

import numpy as np

from vmech_core.case import Case
from vmech_core.pressure.cycles import SAME_TRACE
from vmech_core.sharing import flanks
from vmech_core.sharing.quasi_static import share
from vmech_core.show import style

#: Ends of the scales of force and of path; every setting of the sliders stays within them.
LIMITS_KN, LIMIT_UM = (-6.0, 9.2), 190.0


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
        self.figure, (left, right) = style.figure(9.8, height, columns=2, ratios=[ratio, 1.0])
        degrees = np.degrees(self._a.angle)
        style.over_cycle(left, degrees, "tooth, guide and bore force, $F_t$, $N$, $N_b$ [kN]",
                         "who carries what" + 3 * "\n", ylim=LIMITS_KN)
        looks = (("teeth", style.STRAIGHT), ("guide 1", style.LIMIT), ("guide 2", style.SECOND),
                 ("piston 1 on bore", {**style.LIMIT, "linestyle": ":"}),
                 ("piston 2 on bore", {**style.SECOND, "linestyle": ":"}))
        self._lines = self._curves(left, degrees, looks)
        thrust = np.abs(self._a.ordinary_loads["bore"]).max() / 1e3
        for sign, words in ((-1, None), (1, "ordinary piston on bore, peak")):
            left.axhline(sign * thrust, label=words, **{**style.ORDINARY, "linewidth": 1.2})
        self.figure.legend(*left.get_legend_handles_labels(), fontsize=style.FONT - 1, frameon=False, ncols=6,
                           loc="outside upper center")
        right.set(xlim=(-36, 36), ylim=(-LIMIT_UM, LIMIT_UM))
        style.label(right, "along the line, $x$ [mm]", "across the line, $y$ [µm]", title)
        (self._path,) = right.plot([], [], **{**style.STRAIGHT, "linewidth": 1.2})
        self._right, self._text = right, style.Readout(left, 0.0, 1.17)
        self._ready([*self._lines, self._path, self._text], f"{style.named(design)}; comparison: {SAME_TRACE}")

    def _solve(self, elastic):
        """Solve a machine and draw it; forces of teeth, guides and bores in kN."""
        a = self._a
        loads, found = share(elastic, a.drive, a.loads, start=self._start)
        self._start = found.displacement
        self._draw([loads["mesh"], *loads["guide"], *loads["bore"]],
                   a.motion.position[0] + 1j * flanks.pin_place(elastic, a.drive, a.angle, found)[0])
        return [line.get_ydata() for line in self._lines]

    def _draw(self, forces, path):
        for line, force in zip(self._lines, forces, strict=True):
            line.set_ydata(force / 1e3)
        self._path.set_data(1e3 * path.real, 1e6 * path.imag)

    @staticmethod
    def _line(kind, forces):
        """Values of teeth, two guides and two bores as a line of the readout."""
        forces = list(forces)
        return f"{kind}teeth {forces[0]:.2f} kN, guide {max(forces[1:3]):.2f} kN, bore {max(forces[3:]):.2f} kN"
