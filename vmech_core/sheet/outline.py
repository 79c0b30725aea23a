"""Numbers of room and parts: how high, wide, long and heavy both machines are, and how many parts they have."""

from vmech_core import size
from vmech_core.base.results import Quantity
from vmech_core.sheet.stages import STRAIGHT

LENGTHS = ("main axis to top of the bore", "below the main axis", "width", "height", "length along the axis")
COUNTS = ("parts", "kinds of parts", "ground surfaces", "plays to keep", "gears", "rolling bearings", "plain bearings")


def _outline(a):
    rival, result = "crosshead" if a.design.design.machine == "pump" else "ordinary", {}
    for key, machine, words in (("", "straight", STRAIGHT), ("ordinary_", rival, size.OUTLINED[rival])):
        made = size.outline(a, machine)
        parts, kinds, mass, *counts = size.totals(size.part_list(a, made))
        lengths = zip(("deck", "below", "width", "height", "length"), LENGTHS, (made.deck, made.below, *made.box),
                      strict=True)
        result |= {f"{key}{name}": Quantity(float(value), "m", f"{words}: {label}", "mm")
                   for name, label, value in lengths}
        result[f"{key}box"] = Quantity(made.volume, "m3", f"{words}: box around it, heads on", "cm3", True)
        result[f"{key}total_mass"] = Quantity(mass.likely, "kg", f"{words}: mass of all parts listed", "", True)
        result |= {f"{key}{name.replace(' ', '_')}": Quantity(float(value), "1", f"{words}: {name}")
                   for name, value in zip(COUNTS, (parts, kinds, *counts), strict=True)}
    return result
