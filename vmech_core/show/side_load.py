"""Where did the side load go? Both machines side by side, their forces at one angle and over the cycle."""

from dataclasses import replace

import numpy as np
from matplotlib.lines import Line2D

from vmech_core.case import Case
from vmech_core.pressure.cycles import SAME_TRACE
from vmech_core.sharing.quasi_static import share
from vmech_core.show import style, view

WORDS = {"gas": "gas on the piston, $G$", "bore": "piston on its bore, $N_b$",
         "mesh": "pinion on the ring's teeth, $F_t$", "guide": "rod on its guide, $N$"}
NAMES = {"bore": "on a bore", "mesh": "on the teeth", "guide": "on a guide"}


class SideLoadScene(style.Scene):
    """The ordinary V-twin and the straight-line drive at the same angle, with arrows, numbers and a strip chart.

    The numbers are the forces at this angle; of the two bores the one that carries more.

    Attributes
    ----------
    figure : Figure [-]
        The figure, with fixed axis limits.
    moving : list of Artist [-]
        Artists that change with the sliders.
    controls : tuple of Slider [-]
        What the reader may change.
    forces : dict of str to float [N]
        Size of the forces at the angle shown, of two bores or guides the larger.

    Parameters
    ----------
    design : Design [-]
        A two-cylinder engine with a pressure trace.
    """

    def __init__(self, design):
        self._a, self._start = Case(design, 361), None
        a = self._a
        self._degrees = np.degrees(a.angle)
        self.figure, (left, right, strip) = style.mosaic(9.8, 6.1, [["left", "right"], ["strip", "strip"]],
                                                         height_ratios=[2.2, 1.0])
        self._views = [view.MachineView(ax, design, drive) for ax, drive in ((left, a.ordinary), (right, a.drive))]
        view.same_scale(self._views)
        self._chart(strip)
        self._cursor = view.Cursor([strip])
        self._numbers = [self._number(*place) for place in (
            (left, 0.5, 0.98, "bore"), (right, 0.5, 0.98, "bore"), (right, 0.82, 0.33, "mesh"))]
        _explain(self.figure, left, right, strip)
        self._views[0].scale(0.02, 0.12, 2.0)
        self.figure.get_layout_engine().set(h_pad=0.1)
        moving = [*self._views[0].artists, *self._views[1].artists, *self._lines.values(), *self._cursor.artists]
        self._ready([*moving, *self._numbers], f"{style.named(design, sizes=True)}; comparison: {SAME_TRACE}\n"
                    "elastic parts in equilibrium at every angle, oil films\n" + self._a.basis)

    @staticmethod
    def _number(ax, x, y, kind):
        """A large number with its words above it; of two bores the larger is shown."""
        color = style.FORCES[kind]["color"]
        ax.text(x, y, NAMES[kind], transform=ax.transAxes, fontsize=style.FONT + 1, color=color, ha="center", va="top")
        return style.Readout(ax, x, y - 0.06, 20.0, middle=True, facecolor=color)

    def _chart(self, strip):
        """The strip chart: what stands still, and the lines that move."""
        style.over_cycle(strip, self._degrees, "force, $N_b$, $F_t$, $N$ [kN]",
                         ylim=(-2.4, 1.2e-3 * np.abs(self._a.loads["mesh"]).max()))
        for k, thrust in enumerate(self._a.ordinary_loads["bore"] / 1e3):
            strip.fill_between(self._degrees, thrust, label="ordinary crank: bores" if k == 0 else None,
                               facecolor=style.FORCES["bore"]["color"], alpha=0.35)
        names = {"mesh": "straight-line drive: teeth", "guide": "guides", "bore": "bores"}
        self._lines = {kind: strip.plot([], [], label=words, **style.FORCES[kind])[0] for kind, words in names.items()}
        strip.add_artist(strip.legend(loc="upper right", ncols=4, fontsize=style.FONT - 1, frameon=False))

    def _turn(self, angle_deg):
        a, turn = self._a, np.radians(angle_deg)
        ordinary = view.at_angle(a.ordinary_loads, ("gas", "bore"), turn)
        straight = view.at_angle(self._loads, ("gas", "bore", "guide", "mesh"), turn)
        self._views[0].show(turn, ordinary)
        self._views[1].show(turn, straight)
        self._cursor.show(angle_deg)
        self.forces = {f"ordinary crank, {NAMES['bore']}": ordinary["bore"]}
        self.forces |= {f"straight-line drive, {NAMES[kind]}": straight[kind] for kind in ("bore", "mesh", "guide")}
        self.forces = {words: float(np.abs(force).max()) for words, force in self.forces.items()}
        for large, force in zip(self._numbers, self.forces.values(), strict=False):
            large.set_text(f"{force / 1e3:.2f} kN")

    def _change(self, play_um):
        """Solve the elastic machine anew at 361 angles, starting from the last play.

        Parameters
        ----------
        play_um : float [um]
            Radial clearance of the guides.
        """
        elastic = replace(self._a.elastic, guide_clearance=1e-6 * play_um)
        self._loads, found = share(elastic, self._a.drive, self._a.loads, start=self._start)
        self._start = found.displacement
        for kind, line in self._lines.items():
            rows = [np.append(force / 1e3, np.nan) for force in np.atleast_2d(self._loads[kind])]
            line.set_data(np.tile(np.append(self._degrees, np.nan), len(rows)), np.concatenate(rows))


def _explain(fig, left, right, strip):
    """Names of the machines and the key of the forces."""
    for ax, name, look in ((left, "ordinary crank", style.ORDINARY), (right, "straight-line drive", style.STRAIGHT)):
        ax.set_title(name, fontsize=style.FONT + 4, color=look["color"], fontweight="bold")
    keys = [Line2D([], [], label=words, **{**style.FORCES[kind], "linewidth": 3.0}) for kind, words in WORDS.items()]
    strip.legend(handles=keys, loc="lower center", bbox_to_anchor=(0.5, 1.0), ncols=4, fontsize=style.FONT,
                 frameon=False)
