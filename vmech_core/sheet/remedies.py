"""The nearest change of one thing that makes a failed screen hold: tried on the design itself, not guessed."""

from dataclasses import replace

import numpy as np

from vmech_core.base.errors import InputError
from vmech_core.gears.geometry import MODULES_FIRST
from vmech_core.gears.strokes import stroke_options

#: Step in which each key is tried; a step less than what is named does not help.
STEP = {"face_width_mm": 0.5, "pinion_bending_limit_MPa": 1.0, "ring_bending_limit_MPa": 1.0, "pinion_addendum": 0.05,
        "ring_addendum": 0.05, "pinion_dedendum": 0.05, "ring_dedendum": 0.05, "pressure_angle_deg": 0.5}
#: Words of a screen to the keys that may help; more of the first three always helps or never, so they are halved.
HELPS = {"bending": ("face_width_mm", "bending_limit_MPa"), "contact ratio": ("pinion_addendum", "ring_addendum"),
         "tip thickness": ("pinion_addendum", "ring_addendum"), "clearance": ("ring_addendum", "pinion_addendum"),
         "interference": ("ring_addendum",), "fillet": ("ring_addendum", "pinion_addendum"), "undercut": ()}


def remedies(case, name):
    """List what would make a failed screen hold while every screen that holds now goes on holding.

    Parameters
    ----------
    case : Case [-]
        The case; its gas pressure is kept.
    name : str [-]
        Name of the screen, as in its Margin.

    Returns
    -------
    list of dict [-]
        Keys of a design to new values, as ``changed`` takes them: one for each key that can help alone, the smallest
        change in steps of ``STEP``, then the profile shift of both gears, then another module with the same stroke.
    """
    tries = _Tries(case, name)
    keys = next(keys for words, keys in HELPS.items() if words in name)
    keys = [f"{name.split()[0]}_{key}" if key == "bending_limit_MPa" else key for key in keys]
    found = [tries.key(key) for key in keys] + [tries.first(tries.shifts()), tries.first(tries.modules())]
    return [new for new in found if new]


class _Tries:
    """Designs that differ from one in a little; each is judged by the screens of its own case."""

    def __init__(self, case, name):
        self.case, self.design, self.name = replace(case, state="running"), case.design, name
        self.held = {m.name for m in case.margins if m.ok}

    def helps(self, new):
        try:
            self.case.drawing.changed(**new)  # refused where only the running parts would have room
            design = self.design.changed(**new)
            margins = replace(self.case, drawing=design, trace=self.case.gas_trace, load=1.0, speed=None).margins
        except InputError:
            return False
        return self.held | {self.name} <= {m.name for m in margins if m.ok}

    def first(self, changes):
        return next(filter(self.helps, changes), None)

    def key(self, key):
        section, step = self.design.gear_pair, STEP[key]
        rule, now = section.rules[key], getattr(section, key)
        ends = [(side, int(abs(end - now) / step + 1e-9)) for side, end in ((1, rule.high), (-1, rule.low))]
        if key.endswith("_mm") or key.endswith("_MPa"):
            first = self._halved(key, now, step, ends[0][1])
            return first and self._values(key, now, step, first)
        tries = sorted((count, side) for side, most in ends for count in range(1, most + 1))
        return self.first(self._values(key, now, step, side * count) for count, side in tries)

    def _values(self, key, now, step, count):
        return {f"gear_pair.{key}": round(float(step * (np.floor(now / step + 1e-9) + count)), 6)}

    def _halved(self, key, now, step, most):
        """Smallest number of steps upward that helps, where more never harms; ends where the design has no room."""
        low, high = 0, 1
        while not self.helps(self._values(key, now, step, high)):
            low, high = high, 2 * high
            if low >= most or not self._allowed(self._values(key, now, step, low)):
                return None
        while high - low > 1:
            middle = (low + high) // 2
            low, high = (low, middle) if self.helps(self._values(key, now, step, middle)) else (middle, high)
        return high

    def _allowed(self, new):
        try:
            return bool(self.design.changed(**new))
        except InputError:
            return False

    def shifts(self):
        own = self.design.gear_pair
        for count in sorted(range(-20, 21), key=abs)[1:]:
            yield {f"gear_pair.{key}": round(getattr(own, key) + 0.05 * count, 6)
                   for key in ("pinion_shift", "ring_shift")}

    def modules(self):
        """Other modules of the series with teeth that keep the stroke: coarser first by size of the change."""
        pair = self.design.pair
        near = sorted((m for m in MODULES_FIRST if abs(m - pair.module) > 1e-9 and 0.4 < m / pair.module < 2.5),
                      key=lambda m: abs(np.log(m / pair.module)))
        heights = {key: getattr(pair, key) for key in (
            "pinion_addendum", "pinion_dedendum", "ring_dedendum", "backlash", "tool_tip_radius", "ring_fillet_radius")}
        for module in near:
            for option in stroke_options(float(pair.stroke), pair.pressure_angle, (module,), (8, 150), **heights):
                if option.ok:
                    yield {f"gear_pair.{key}": value for key, value in option.keys.items()}
