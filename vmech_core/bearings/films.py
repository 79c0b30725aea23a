"""Oil films of the bearings and guides of a design, what they do to the sharing of the side load, and the oil's path.

Every seat is solved as a plain bearing, also one that the design puts on rollers: that answers what a plain bearing in
its place would do. Guides, pistons and skirts follow one law from film to boundary, with the same oil.
"""

from contextlib import contextmanager
from dataclasses import replace

import numpy as np

from vmech_core.base import Effort, Endless, InputError, Loads, tables
from vmech_core.bearings import journal, mobility, oils, pads, seats, surfaces
from vmech_core.machine import ends, hypocycloid, slider_crank
from vmech_core.sharing.elastic import FilmSpring
from vmech_core.sharing.quasi_static import share

#: Skirt of the ordinary piston: length over bore, half angle that bears on each side [rad], barrel [m], radial
#: clearance over bore. Common practice, no source.
SKIRT_LENGTH, SKIRT_ARC, SKIRT_BARREL, SKIRT_CLEARANCE = 0.5, 0.8, 20e-6, 0.4e-3
#: Barrel of a piston that is not meant to slide on its bore [m]. Own choice.
PISTON_CROWN = 20e-6
#: A film as a spring goes through its least film h at the peak load W. Where films are thin their force grows about as
#: 1 / h^2, with the slope 2 W / h: the spring begins 1.5 h before the wall, or at the middle if that is nearer.
REACH = 1.5
#: Metals of ``data/materials.csv`` that touch the steel of journals, and that stands for guides, pistons and bores.
SHELL, SLIDER = "aluminium-tin", "grey iron"
#: Bearings between crank and block, one after the other at each end.
CRANK_TO_BLOCK = ("crank_in_carrier", "carrier_in_block")
#: Rounds of sharing and films in turn, and the angles of a cycle that they use.
ROUNDS, ANGLES = 5, 240
#: Steps in all for the films of a design, in its sharing and after it: about 4 s of processor time.
EFFORT = 230 * ANGLES


def thinned(loads, angles=ANGLES):
    """The same loads at fewer angles, both ends of the cycle included.

    Parameters
    ----------
    loads : Loads [-]
        Loads at equally spaced angles.
    angles : int [1]
        Steps wanted in a cycle; the nearest number that divides those there are.

    Returns
    -------
    Loads [-]
        Every n-th angle.

    Valid: any loads.
    Source: none needed.
    """
    count = len(loads.angle) - 1
    step = max(n for n in range(1, count + 1) if count % n == 0 and (n == 1 or count // n >= angles))
    return Loads(loads.angle[::step], {name: v[..., ::step] for name, v in loads.channels.items()}, loads.model)


def with_ends(design, drive, loads):
    """Loads of the straight-line drive with those of each end besides.

    Parameters
    ----------
    design : Design [-]
        The design.
    drive : HypocycloidDrive [-]
        Its drive.
    loads : Loads [-]
        Plane loads.

    Returns
    -------
    Loads [-]
        All channels of both.

    Valid: as ``ends.end_loads``.
    Source: ``ends``.
    """
    found = ends.end_loads(ends.from_design(design, drive), drive, loads)
    return Loads(loads.angle, {**loads.channels, **found.channels}, found.model)


def journals(found, design):
    """Seats as a batch of plain bearings in the oil of a design; those on rollers get the play of a plain bearing.

    Parameters
    ----------
    found : list of Seat [-]
        Seats of one machine or of several, at the same angles.
    design : Design [-]
        The design.

    Returns
    -------
    Journals [-]
        Viscosity at the temperature of the file.

    Raises
    ------
    InputError
        If the machine runs dry.

    Valid: steel journals in shells of the bearing metal named at the head of this file.
    Source: the design file; ``seats``; ``surfaces``.
    """
    own, lubricant = design.surfaces.si, design.lubricant.si
    names = ("diameter", "length", "load", "journal_speed", "sleeve_speed")
    each = {name: np.stack([getattr(seat, name) for seat in found]) for name in names}
    clearance = np.array([seat.clearance if seat.kind == "journal" else 0.5 * seats.PLAY * seat.diameter
                          for seat in found])
    roughness = float(surfaces.composite_roughness(own.journal_ra, own.shell_ra))
    peaks = surfaces.journal_asperity(each["length"], 0.5 * each["diameter"], clearance, roughness, modulus(SHELL))
    return mobility.Journals(**each, clearance=clearance, period=_period(design), roughness=roughness, asperity=peaks,
                            viscosity=oils.viscosity(oils.oil(design.lubricant.grade), lubricant.temperature))


def settle(found, design, **options):
    """Films of seats with the temperature that their own losses give them.

    Parameters
    ----------
    found : list of Seat [-]
        Seats at the same angles.
    design : Design [-]
        The design: oil, its inlet temperature and supply pressure.
    options : object [-]
        Passed on to ``journal.settle``.

    Returns
    -------
    Warm [-]
        As from ``journal.settle``.

    Raises
    ------
    InputError
        If the machine runs dry.

    Valid: as ``journal.settle``; every seat fed through a hole at the supply pressure.
    Source: ``journal``, ``oils``.
    """
    lubricant, oil = design.lubricant.si, oils.oil(design.lubricant.grade)
    with followed(design, [seat.kin for seat in found]):
        return journal.settle(journals(found, design), lambda t: oils.viscosity(oil, t), lubricant.temperature,
                              lubricant.supply_pressure, **options)


@contextmanager
def followed(design, names):
    """Word the refusal of a film that could not be followed, in the keys of a design.

    Parameters
    ----------
    design : Design [-]
        The design.
    names : list of str [-]
        The bearings or sliders of the batch, in words, again and again if there are more.

    Returns
    -------
    context manager [-]
        Around the march.

    Raises
    ------
    InputError
        If the march used up its effort.

    Valid: any march of films.
    Source: none needed.
    """
    try:
        yield
    except Endless as error:
        which = ", ".join(dict.fromkeys(names[row % len(names)] for row in error.rows))
        words = (f"too thin at duty.speed_rpm = {design.duty.speed_rpm:g} and lubricant.temperature_C = "
                 f"{design.lubricant.temperature_C:g}: its film ({which}) could not be followed in {error.value} steps")
        raise InputError("lubricant.grade", design.lubricant.grade, words,
                         nearest="a thicker or cooler oil, or a higher speed") from None


def sliders(part, design, drive, loads):
    """Guides or pistons of the straight-line drive, or skirts of the ordinary pistons, one for each cylinder.

    Parameters
    ----------
    part : str [-]
        ``guide``, ``piston`` or ``skirt``.
    design : Design [-]
        The design.
    drive : HypocycloidDrive or SliderCrank [-]
        For skirts the ordinary drive.
    loads : Loads [-]
        Loads of that drive, shared ones for guides and pistons, both ends of the cycle included.

    Returns
    -------
    Pads [-]
        In the order of the cylinders.

    Raises
    ------
    InputError
        If the machine runs dry.

    Valid: flooded surfaces, oil at the temperature of the file (skirts run in warmer oil: at 30 K more they would lose
        half); each part parallel to its line.
    Source: the design file and the rules at the head of this file.
    """
    guide, bore, own = design.guide.si, design.cylinders.si.bore, design.surfaces.si
    length, width, arc, clearance, crown = {
        "guide": (guide.length, guide.rod_diameter, np.pi, 0.5 * guide.clearance, guide.crown),
        "piston": (guide.piston_length, bore, np.pi, 0.5 * guide.piston_clearance, PISTON_CROWN),
        "skirt": (SKIRT_LENGTH * bore, bore, SKIRT_ARC, SKIRT_CLEARANCE * bore, SKIRT_BARREL)}[part]
    rough = (own.rod_ra, own.guide_ra) if part == "guide" else (own.piston_ra, own.bore_ra)
    viscosity = oils.viscosity(oils.oil(design.lubricant.grade), design.lubricant.si.temperature)
    alike = {"length": length, "width": width, "arc": arc, "clearance": clearance, "crown": crown,
             "viscosity": viscosity, "period": _period(design), "roughness": surfaces.composite_roughness(*rough),
             "asperity": surfaces.asperity_pressure(3.0, modulus(SLIDER))}
    force = loads["guide" if part == "guide" else "bore"][:, :-1]
    motion = (slider_crank if part == "skirt" else hypocycloid).motion(drive, loads.angle[:-1])
    each = {name: np.full(len(force), float(value)) for name, value in alike.items()}
    return pads.Pads(**each, load=force, speed=motion.velocity)


def with_films(elastic, design, drive, loads, effort=None):
    """The elastic machine with its oil films as springs, found from the loads that it then has.

    Parameters
    ----------
    elastic : Elastic [-]
        The machine without films.
    design : Design [-]
        Its design.
    drive : HypocycloidDrive [-]
        Its drive.
    loads : Loads [-]
        Plane loads, both ends of the cycle included; thinned ones will do.
    effort : Effort or None [-]
        Steps that may be taken, shared with other marches; None gives this one ``EFFORT``.

    Returns
    -------
    Elastic [-]
        The same if the machine runs dry.

    Valid: flooded guides; a spring through the film at the peak load stands for a film that is squeezed, checked
        against a march in time in tests/bearings/test_films.py. Pistons are taken to find no film: their rings scrape
        the bore. Bearings on rollers keep their own stiffness and play.
    Source: ``journal``, ``pads``; rule at the head of this file.
    """
    if design.lubricant.grade == "dry":
        return elastic
    effort = effort or Effort(EFFORT)
    shared, _ = share(elastic, drive, loads)
    filled = FilmSpring(reach=elastic.guide_clearance, stiffness=np.inf, clearance=elastic.guide_clearance)
    elastic = replace(elastic, bearing_film=_bearing_film(design, drive, shared, effort), guide_film=filled)
    for _ in range(ROUNDS):
        shared, _ = share(elastic, drive, loads)
        elastic = replace(elastic, guide_film=_guide_film(design, drive, shared, effort))
    return elastic


def _bearing_film(design, drive, shared, effort=None):
    """Films of the bearings between crank and block as one spring at each end; None if all run on rollers."""
    found = [seat for seat in seats.straight(design, drive, with_ends(design, drive, shared))
             if seat.kind == "journal" and seat.part in CRANK_TO_BLOCK and seat.place != "far"]
    if not found:
        return None
    warm = settle(found, design, effort=effort or Effort(EFFORT))
    film = journal.film_thickness(warm.journals, warm.orbit)
    reach, soft = _spring(np.abs(warm.journals.load), film, warm.journals.clearance)
    # of two ends, at each of which these seats stand in series
    return FilmSpring(reach=float(0.5 * reach.sum()), stiffness=float(2.0 / soft.sum()),
                      clearance=float(0.5 * warm.journals.clearance.sum()))


def _guide_film(design, drive, shared, effort=None):
    """Film of a guide as a spring at each of its ends, mean of the guides; None if no guide is pressed."""
    batch = sliders("guide", design, drive, shared)
    with followed(design, ["guide"] * len(batch.load)):
        film = pads.film_thickness(batch, pads.slide(batch, effort=effort))
    reach, soft = _spring(np.abs(batch.load), film, batch.clearance)
    if not soft.any():
        return None
    half = float(0.5 / soft.mean())  # half of the film at each end
    return FilmSpring(reach=float(reach.mean()), stiffness=half, clearance=float(batch.clearance[0]))


def _spring(load, film, clearance):
    """Reach and softness of each film at its peak load, (N,); none where there is no load."""
    at = np.argmax(load, axis=1)[:, None]
    peak, least = (np.take_along_axis(values, at, axis=1)[:, 0] for values in (load, film))
    pressed, reach = peak > 0.0, np.minimum(REACH * least, clearance)
    soft = np.divide(reach - least, peak, out=np.zeros(len(peak)), where=pressed)
    return np.where(pressed, reach, 0.0), soft


def _period(design):
    return 2.0 * np.pi * design.duty.cycle_turns / design.duty.si.speed


def modulus(metal):
    """Contact modulus of steel on a metal.

    Parameters
    ----------
    metal : str [-]
        Row of ``data/materials.csv``.

    Returns
    -------
    float [Pa]
        As in ``surfaces.contact_modulus``.

    Raises
    ------
    InputError
        If there is no such row.

    Valid: as ``surfaces.contact_modulus``.
    Source: ``data/materials.csv``.
    """
    rows = [tables.row("materials", "material", name) for name in ("steel", metal)]
    pairs = [(1e9 * float(row["youngs_modulus_GPa"]), float(row["poisson_ratio"])) for row in rows]
    return surfaces.contact_modulus(*pairs[0], *pairs[1])


def oil_path(design, drive):
    """Pressure along the oil's way to the crankpins, and the least over a turn at each crankpin.

    The oil enters the carrier from its bearing in the block and the crank from a groove around its journal, a joint
    whose sides turn against each other at twice the shaft's speed. Drillings that turn with the carrier have to be fed
    against the centrifugal force; those in the crank help, less or more as the crank turns on its straight lines. With
    ``lubricant.crankpin_feed = "crank_end"`` the oil enters the carrier on its axis and the crank on its own.

    Parameters
    ----------
    design : Design [-]
        The design.
    drive : HypocycloidDrive [-]
        Its drive.

    Returns
    -------
    dict of str to float [Pa]
        ``supply``, ``crank journal`` and ``crankpin, least`` and ``crankpin, greatest`` over a turn, all above the
        pressure in the crankcase; no loss by flow.

    Raises
    ------
    InputError
        If the machine runs dry.

    Valid: filled drillings, constant speed, drilling from the outside of the journal, or from the crank's axis, to the
        outside of the pin. A bearing on rollers passes no oil on: see ``feed.oil_supply``.
    Source: p + rho w^2 r^2 / 2 in the carrier; acceleration of a point of the crank, -w^2 (a e^(i theta) + s).
    """
    density, supply = oils.oil(design.lubricant.grade).density, design.lubricant.si.supply_pressure
    crank, a, speed2 = design.crank.si, 0.25 * float(drive.stroke), float(drive.speed) ** 2
    from_axis = design.lubricant.crankpin_feed == "crank_end"
    begin = 0.0 if from_axis else 0.5 * crank.journal_diameter
    outside = 0.0 if from_axis else 0.5 * design.carrier.si.bearing_diameter
    journal = supply - 0.5 * density * speed2 * (outside**2 - (a + begin) ** 2)
    end = a + 0.5 * crank.pin_diameter
    mean, swing = 0.5 * (end**2 - begin**2), a * np.abs(end - begin)
    pin = [journal + density * speed2 * (mean + sign * swing) for sign in (-1.0, 1.0)]
    return {"supply": supply, "crank journal": journal, "crankpin, least": pin[0], "crankpin, greatest": pin[1]}
