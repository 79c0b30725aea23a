"""The stroke picker: which modules and tooth numbers give a wanted stroke, as a live picture."""

import math

from vmech_core.gears import strokes
from vmech_core.show import style
from vmech_core.show.controls import Slider

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
    """

    controls = (Slider("stroke_mm", "stroke", 20.0, 120.0, step=0.5, value=69.0, unit="mm"),
                Slider("pressure_angle_deg", "pressure angle", 15.0, 30.0, step=0.5, value=20.0, unit="deg"))

    def __init__(self):
        self.figure, (ax, side) = style.figure(9.6, 4.2, columns=2, ratios=[1.0, 1.1])
        modules = (1, 1.5, 2, 3, 4, 5, 6)
        ax.set(xlim=(8, 62), ylim=(0.8, 6.6), yscale="log", yticks=modules, yticklabels=modules)
        ax.minorticks_off()
        style.label(ax, "pinion teeth, $z_p$ [1]", "module, $m$ [mm]", "gear pairs for the wanted stroke")
        looks = (("s", style.LIMIT["color"], "fits with unequal shifts"),
                 ("o", style.SECOND["color"], "fits, shifts equal or none"),
                 ("x", "#999999", "fails a screen"))
        self._marks = [ax.plot([], [], marker, color=color, label=words, markersize=7)[0]
                       for marker, color, words in looks]
        style.legend(ax, loc="upper right")
        side.axis("off")
        self._list = style.Readout(side, 0.0, 1.0)
        self._ready([*self._marks, self._list])

    def update(self, stroke_mm=69.0, pressure_angle_deg=20.0):
        """Show the pairs for a stroke and a pressure angle.

        Parameters
        ----------
        stroke_mm : float [mm]
            Wanted stroke.
        pressure_angle_deg : float [deg]
            Pressure angle of the basic rack.
        """
        found = strokes.stroke_options(stroke_mm / 1e3, math.radians(float(pressure_angle_deg)))
        shifted = [o for o in found if o.ok and o.shift_difference]
        exact = [o for o in found if o.ok and not o.shift_difference]
        for mark, chosen in zip(self._marks, (shifted, exact, [o for o in found if not o.ok]), strict=True):
            mark.set_data([o.pair.pinion_teeth for o in chosen], [o.pair.module * 1e3 for o in chosen])
        self._list.set_text(_listing(found, stroke_mm, pressure_angle_deg))


def _listing(found, stroke_mm, pressure_angle_deg):
    """The best gear pairs as lines of text: a table, and the first of them as lines for a design file."""
    lines = [f"stroke {stroke_mm:g} mm, pressure angle {float(pressure_angle_deg):g} deg", "",
             "module  teeth    pinion    ring  ring tooth  contact",
             "  mm   z_p/z_r    shift   shift  height / m    ratio"]
    working = [o for o in found if o.ok]
    lines += [
        f"{o.keys['module_mm']:5.4g}  {o.pair.pinion_teeth:3d}/{o.pair.ring_teeth:<3d} {o.keys['pinion_shift']:+8.2f}"
        f" {o.keys['ring_shift']:+8.4f} {o.keys['ring_addendum']:9.2f} {o.contact_ratio:9.2f}"
        for o in working[:ROWS]
    ]
    if not working:
        return "\n".join([*lines, "no pair of this list passes all screens"])
    lines += [f"and {len(working) - ROWS} more"] if len(working) > ROWS else []
    pasted = [f"{key} = {value:g}" for key, value in working[0].keys.items()]
    return "\n".join([*lines, "", "the first, for a design file:", *pasted])
