"""The stroke picker: which modules and tooth numbers give a wanted stroke, as a live picture."""

import math

from vmech_core.gears import strokes
from vmech_core.show import style

ROWS = 6


class StrokePicker(style.Scene):
    """A picture whose artists are made once: a map of gear pairs on the left, the best pairs as a list on the right.

    Attributes
    ----------
    figure : Figure [-]
        The figure, with fixed axes limits.
    moving : list of Artist [-]
        Artists that change with the sliders.
    controls : tuple of Slider [-]
        What the reader may change.
    pasted : str [-]
        The chosen pair as lines for ``[gear_pair]`` of a design file; empty if no pair works.
    """

    def __init__(self):
        self.figure, (ax, side) = style.figure(9.6, 4.2, columns=2, ratios=[1.0, 1.1])
        modules = (1, 1.5, 2, 3, 4, 5, 6)
        ax.set(xlim=(8, 62), ylim=(0.8, 6.6), yscale="log", yticks=modules, yticklabels=modules)
        ax.minorticks_off()
        style.label(ax, "pinion teeth, $z_p$ [1]", "module, $m$ [mm]", "gear pairs for the wanted stroke")
        self._marks = [ax.plot([], [], marker, color=color, label=words, markersize=7)[0] for marker, color, words in (
            ("s", style.LIMIT["color"], "fits with unequal shifts"),
            ("o", style.SECOND["color"], "fits, shifts equal or none"), ("x", "#999999", "fails a screen"))]
        style.legend(ax, loc="upper right")
        side.axis("off")
        self._list = style.Readout(side, 0.0, 1.0)
        self._ready([*self._marks, self._list])

    def _change(self, stroke_mm, pressure_angle_deg, row):
        """Show the pairs for a stroke and a pressure angle, and one of them as lines to paste.

        Parameters
        ----------
        stroke_mm : float [mm]
            Wanted stroke.
        pressure_angle_deg : float [deg]
            Pressure angle of the basic rack.
        row : int [1]
            Which pair of the list, the first is 1; the last one where the list is shorter.
        """
        found = strokes.stroke_options(stroke_mm / 1e3, math.radians(float(pressure_angle_deg)))
        shifted = [o for o in found if o.ok and o.shift_difference]
        exact = [o for o in found if o.ok and not o.shift_difference]
        for mark, chosen in zip(self._marks, (shifted, exact, [o for o in found if not o.ok]), strict=True):
            mark.set_data([o.pair.pinion_teeth for o in chosen], [o.pair.module * 1e3 for o in chosen])
        table, self.pasted = _listing(found, stroke_mm, pressure_angle_deg, row)
        self._list.set_text("\n".join([*table, self.pasted]))


def _listing(found, stroke_mm, pressure_angle_deg, row=1):
    """Lines of a table of the best gear pairs, and one pair as lines for a design file."""
    lines = [f"stroke {stroke_mm:g} mm, pressure angle {float(pressure_angle_deg):g} deg", "",
             "row  module  teeth    pinion    ring  ring tooth  contact",
             "       mm   z_p/z_r    shift   shift  height / m    ratio"]
    working = [o for o in found if o.ok]
    lines += [f"{k:2d} {o.keys['module_mm']:7.4g}  {o.pair.pinion_teeth:3d}/{o.pair.ring_teeth:<3d}"
              f" {o.keys['pinion_shift']:+8.2f} {o.keys['ring_shift']:+8.4f} {o.keys['ring_addendum']:9.2f}"
              f" {o.contact_ratio:9.2f}"
              for k, o in enumerate(working[:ROWS], 1)]
    if not working:
        return [*lines, "no pair of this list passes all screens"], ""
    row = min(row, ROWS, len(working))
    pasted = "\n".join(f"{key} = {value:g}" for key, value in working[row - 1].keys.items())
    more = [f"and {len(working) - ROWS} more"] if len(working) > ROWS else []
    return [*lines, *more, "", f"row {row}, for a design file:"], pasted
