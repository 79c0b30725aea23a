"""Live scenes of the teeth: one tooth that rolls through its loads, and backlash against the centre distance."""

from dataclasses import replace
from functools import lru_cache

import numpy as np
from matplotlib import colormaps
from matplotlib.patches import Polygon

from vmech_core import plays
from vmech_core.case import Case
from vmech_core.gears import contact_ratio, measure, outline, tooth_course
from vmech_core.gears.involute import involute
from vmech_core.sheet import along_cycle, rated_teeth
from vmech_core.show import drawing, style
from vmech_core.show.gear_rating import SHADES, SIDES, teeth
from vmech_core.show.view import Cursor

MOST_MPA, FINE = 900.0, 1441


class RollingScene(style.Scene):
    """Pinion in ring with one tooth in the colour of its stress, and the stress of that tooth over the cycle.

    Attributes
    ----------
    figure : Figure [-]
        The figure, with fixed axis limits.
    moving : list of Artist [-]
        Artists that change with the sliders.
    controls : tuple of Slider or Choice [-]
        What the reader may change.
    peak : float [Pa]
        Greatest root stress of the tooth that is shown.

    Parameters
    ----------
    design : Design [-]
        A design whose gear steels can be rated.
    samples : int [1]
        Angles over a cycle.
    """

    def __init__(self, design, samples=361):
        self._a = Case(design, samples)
        self._pair, own = self._a.design.pair, self._a.design.gear_pair
        self._rated = lru_cache(maxsize=2)(self._rate)
        self._set(correction_um=own.helix_correction_um, tooth={"maximum": self._pair.ring_teeth - 1})
        self.figure, (view, strip) = style.figure(9.8, 4.6, columns=2, ratios=[1.0, 1.35])
        self._shapes = teeth(self._pair)
        view.plot(*drawing.mm(outline.ring_outline(self._pair)), color="#444444", linewidth=0.8)
        self._outline = outline.pinion_outline(self._pair)
        (self._pinion,) = view.plot([], [], color=style.CRANK, linewidth=1.0)
        self._tooth = view.add_patch(Polygon(np.zeros((3, 2)), edgecolor="black", linewidth=1.2, zorder=5))
        self._touch = [view.plot([], [], sign, color="#b0307a", markersize=7, zorder=7)[0] for sign in "><"]
        reach = 1e3 * self._pair.ring_root_radius + 3.0 * own.module_mm
        style.label(view, "to the right, $x$ [mm]", "upward, $y$ [mm]", "the tooth in the colour of its stress",
                    xlim=(-reach, reach), ylim=(-reach, reach), aspect="equal")
        self._fine = np.linspace(0.0, self._a.angle[-1], FINE)
        self._force = np.interp(self._fine, self._a.angle, self._a.ends["mesh_end"][1])
        degrees = np.degrees(self._fine)
        self._lines = self._curves(strip, degrees, zip(SIDES, (style.OTHERS[2], style.OTHERS[1]), strict=True))
        style.over_cycle(strip, degrees, "root stress, $\\sigma_F$ [MPa]", 2 * "\n", ylim=(0.0, MOST_MPA))
        self._limit = strip.axhline(0.0, label="keeps the wanted safety 1.4", **style.LIMIT)
        style.legend(strip, small=True, loc="upper right")
        self._text, self._cursor = style.Readout(strip, 0.0, 1.13), Cursor([strip])
        self._ready([self._pinion, self._tooth, *self._touch, *self._lines, self._limit,
                     *self._cursor.artists, self._text], f"{style.named(design)}; {self._a.basis}")

    def _change(self, correction_um, level, gear, tooth):
        """Follow a tooth through the cycle; another correction or level rates the teeth anew.

        Parameters
        ----------
        correction_um : float [um]
            Helix correction of the driven end.
        level : str [-]
            ``light``, ``likely`` or ``heavy``: how far the crank leans.
        gear : str [-]
            ``pinion`` or ``ring``.
        tooth : int [1]
            Number of the tooth; for the pinion less its number of teeth, if it is larger.
        """
        one, self._along = self._rated(correction_um, level)
        ring, wide = gear == "ring", self._a.design.gear_pair.si.face_width
        tooth = int(tooth) if ring else int(tooth) % self._pair.pinion_teeth
        course = tooth_course(self._along, self._pair, wide, self._fine, self._force, tooth, ring)
        self._move(self._lines, course.root / 1e6)
        self._limit.set_ydata(2 * [one.root_strength[int(ring)] / 1.4e6])
        self._followed, self.peak = (gear, tooth, course), float(course.root.max())
        self._safe = float(one.root_strength[int(ring)]) / max(self.peak, 1.0)

    def _rate(self, correction_um, level):
        """Rating at the worst angle, and its factors at each fine angle."""
        found = rated_teeth(self._a, level, 1e-6 * correction_um)[1]
        along = along_cycle(self._a, found)
        return found.rating, replace(along, factors={
            key: np.interp(self._fine, self._a.angle, value) if np.shape(value) == self._a.angle.shape else value
            for key, value in along.factors.items()})

    def _turn(self, angle_deg):
        (gear, tooth, course), pair = self._followed, self._pair
        ring, angle = gear == "ring", np.radians(angle_deg)
        at = int(np.abs(self._fine - angle).argmin())
        self._turned(angle, tooth, ring, course.root[:, at].max())
        for flank, mark in enumerate(self._touch):
            place = self._contact(course.at[flank, at], (tooth - flank * ring) % pair.pinion_teeth, flank, angle)
            mark.set(data=([place.real], [place.imag]), markersize=7.0 if course.root[flank, at] > 1e4 else 0.0)
        self._cursor.show(angle_deg)
        self._text.set_text(f"{gear} tooth {tooth}: now {course.root[:, at].max() / 1e6:.0f} MPa, at most "
                            f"{self.peak / 1e6:.0f} MPa, strength over that {self._safe:.2f}\n"
                            f"face-load factor at this angle {self._along.factors['K_Hbeta'][at]:.2f}")

    def _turned(self, angle, tooth, ring, stress):
        """Turn the pinion, and draw the tooth in its colour."""
        edge = outline.place_pinion(self._pair, np.append(self._outline, self._outline[0]), angle)
        self._pinion.set_data(*drawing.mm(edge))
        shape = self._shapes[ring][tooth]
        shape = shape if ring else outline.place_pinion(self._pair, shape, angle)
        self._tooth.set(xy=np.stack(drawing.mm(shape), axis=-1), facecolor=colormaps[SHADES](stress / 1e6 / MOST_MPA))

    def _contact(self, roll, tooth, flank, angle):
        """Where a pinion tooth touches, mm."""
        point = outline.involute_points(self._pair.pinion_base_radius, self._pair.pinion_half_angle, roll)
        point = (point.conjugate() if flank else point) * np.exp(2j * np.pi * tooth / self._pair.pinion_teeth)
        return 1e3 * complex(outline.place_pinion(self._pair, np.array([point]), angle)[0])


class BacklashScene(style.Scene):
    """A tooth in its space, the gap at one flank enlarged, and backlash against the centre distance.

    Attributes
    ----------
    figure : Figure [-]
        The figure, with fixed axis limits.
    moving : list of Artist [-]
        Artists that change with the sliders.
    controls : tuple of Slider [-]
        What the reader may change.
    backlash : float [m]
        The backlash that is left; negative where the teeth would overlap.

    Parameters
    ----------
    design : Design [-]
        The design whose pair is shown.
    """

    def __init__(self, design):
        self._pair = design.pair
        self._set(module_mm=1e3 * self._pair.module, drawn_um=1e6 * self._pair.backlash)
        self.figure, (whole, near, chart) = style.figure(9.8, 4.0, columns=3, ratios=[1.0, 1.0, 1.3])
        self._edges = [ax.plot([], [], **look)[0] for ax in (whole, near)
                       for look in ({"color": "#444444"}, {"color": style.CRANK})]
        for ax, far, x, y, words in (
                (whole, 8, "from the pitch point, $x$ [mm]", "upward, $y$ [mm]", "pinion tooth in its space"),
                (near, 150, "from its middle, $x$ [µm]", "upward, $y$ [µm]", "gap at the other flank")):
            style.label(ax, x, y, words, xlim=(-far, far), ylim=(-far, far), aspect="equal")
        self._moved = np.linspace(-60e-6, 60e-6, 41)
        self._lines = self._curves(chart, 1e6 * self._moved, [("as these sliders stand", style.OTHERS[2])])
        self._dot = chart.plot([0.0], [0.0], "o", color="#b0307a", markersize=8)[0]
        chart.axhspan(-120, 0, color="#f3d3c4")
        chart.text(-58, -8, "jams", fontsize=style.FONT, va="top")
        style.label(chart, "change of the centre distance, $\\Delta a$ [µm]", "backlash, $j$ [µm]", 2 * "\n",
                    xlim=(-60, 60), ylim=(-120, 240))
        self._text = style.Readout(chart, 0.0, 1.14)
        self._ready([*self._edges, *self._lines, self._dot, self._text])

    def _change(self, module_mm, drawn_um, moved_um, warmer):
        """Show the gap for a pair, an error of the centre distance and temperatures.

        Parameters
        ----------
        module_mm : float [mm]
            Module; all else of the pair is kept in modules.
        drawn_um : float [um]
            Backlash as drawn.
        moved_um : float [um]
            Change of the centre distance.
        warmer : float [K]
            Ring above pinion, both of steel.
        """
        pair = replace(self._pair, module=module_mm / 1e3, backlash=drawn_um / 1e6)
        more, moved = float(plays.growth("steel", 1.0, warmer)), moved_um / 1e6
        self._lines[0].set_ydata(1e6 * measure.backlash_at(pair, self._moved, more))
        self.backlash = float(measure.backlash_at(pair, moved, more))
        self._dot.set_data([moved_um], [1e6 * self.backlash])
        space, tooth = outline.ring_flank(pair) * (1.0 + more), outline.pinion_flank(pair)
        space, tooth = (np.concatenate([half, half[::-1].conj()]) for half in (space, tooth))
        tooth = tooth * np.exp(-0.5j * self.backlash / pair.pinion_working_radius) + pair.centre_distance + moved
        base, half = pair.pinion_base_radius, pair.pinion_half_angle
        roll = base * (np.tan(pair.working_angle) + half - involute(pair.working_angle))
        near = pair.centre_distance + outline.involute_points(base, half, roll).conj()
        views = (pair.ring_working_radius, 1e3), (near, 1e6)
        self._move(self._edges, [scale * (edge - centre) for centre, scale in views for edge in (space, tooth)])
        words = "the teeth would overlap" if self.backlash < 0 else "the gears turn"
        self._text.set_text(f"backlash {1e6 * self.backlash:.0f} µm: {words}\n"
                            f"contact ratio as drawn {float(contact_ratio(pair)):.2f}")
