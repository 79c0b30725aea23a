"""Numbers of making: whether there is an order of assembly, what holds the ring gears, how warm the crowns get."""

from vmech_core import bearings, size
from vmech_core.base.results import MACHINES, Quantity
from vmech_core.sheet.rated import duty_of


def _making(a):
    """Ring gears only where they are of steel, crowns only where fuel burns in a computed cycle."""
    d, ways, out = a.design, size.ways_to_build(a.design), size.tooth_out(a.design)
    own = size.ways_to_build(d, **d.making.to_dict())[0]
    result = {"ways": Quantity(sum(bool(way.order) for way in ways), "1", f"ways to build it, of {len(ways)} tried")}
    result |= {f"step_{k}": Quantity(k, "1", f"{'step' if own.order else 'the way of the file is blocked'}: {words}")
               for k, words in enumerate(own.order or own.blocked, 1)}
    words = "they go on all the same, and it jams" if out.least < out.play else "so the walls do not go on"
    result["tooth_out"] = Quantity(out.least, "m", f"rings a tooth out: least miss of a pin; {words}", "mm")
    if d.lubricant.grade != "dry":
        dry = [feed.part for feed in bearings.oil_supply(d, a.drive) if feed.broken]
        result["oil_broken"] = Quantity(len(dry), "1", f"parts whose oil path is broken: {', '.join(dry) or 'none'}")
    if d.design.machine != "hand_model":
        held = size.ring_seat(a, duty_of(a).dynamic)
        result |= {f"ring_hold_{level}": Quantity(float(safety), "1", f"ring gear: press fit over peak torque, {level}")
                   for level, safety in zip(("least", "likely", "most"), held.safety, strict=True)}
        result["ring_pins"] = Quantity(held.bearing, "Pa", "ring gear: pressure of dowel pins that hold alone", "MPa")
    return result | {f"{name}_crown_{level}": Quantity(
        float(hot), "K", f"{MACHINES[name]}: crown, {level} ({hot - 273.15:.0f} °C)", "", True)
        for name, heated in (size.piston_heat(a) if d.design.machine == "engine" and a.has_own else {}).items()
        for level, hot in zip(("cool", "likely", "hot"), heated.crown, strict=True)}
