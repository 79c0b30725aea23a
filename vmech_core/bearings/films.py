"""Oil films of the bearings and guides of a design, what they do to the sharing of the side load, and the oil's path.

Every seat is solved as a plain bearing, also one that the design puts on rollers: that answers what a plain bearing in
its place would do. Guides, pistons and skirts follow one law from film to boundary, with the same oil.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from vmech_core.base import tables
from vmech_core.base.results import Loads
from vmech_core.bearings import journal as bearings
from vmech_core.bearings import oils, seats, surfaces
from vmech_core.bearings import pads as sliding
from vmech_core.machine import ends as axial
from vmech_core.sharing import quasi_static as sharing

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


def oil_of(design):
    """Oil of a design.

    Parameters
    ----------
    design : Design [-]
        The design.

    Returns
    -------
    Oil [-]
        From ``data/oils.csv``.

    Raises
    ------
    InputError
        If the machine runs dry.

    Valid: any grade of the design file.
    Source: ``oils``.
    """
    return oils.oil(design.lubricant.grade)


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

    Valid: as ``axial.end_loads``.
    Source: ``axial``.
    """
    ends = axial.end_loads(axial.from_design(design, drive), drive, loads)
    return Loads(loads.angle, {**loads.channels, **ends.channels}, ends.model)


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
    diameter, length = (np.array([getattr(seat, name) for seat in found]) for name in ("diameter", "length"))
    clearance = np.array([seat.clearance if seat.kind == "journal" else 0.5 * seats.PLAY * seat.diameter
                          for seat in found])  # fmt: skip
    roughness = float(surfaces.composite_roughness(own.journal_ra, own.shell_ra))
    load, journal_speed, sleeve_speed = (np.stack([getattr(seat, name) for seat in found])
                                         for name in ("load", "journal_speed", "sleeve_speed"))  # fmt: skip
    return bearings.Journals(
        diameter,
        length,
        clearance,
        np.full(len(found), float(oils.viscosity(oil_of(design), lubricant.temperature))),
        load,
        journal_speed,
        sleeve_speed,
        _period(design),
        np.full(len(found), roughness),
        surfaces.journal_asperity(length, 0.5 * diameter, clearance, roughness, modulus(SHELL)),
    )


def settle(found, design, **options):
    """Films of seats with the temperature that their own losses give them.

    Parameters
    ----------
    found : list of Seat [-]
        Seats at the same angles.
    design : Design [-]
        The design: oil, its inlet temperature and supply pressure.
    options : object [-]
        Passed on to ``bearings.settle``.

    Returns
    -------
    Warm [-]
        As from ``bearings.settle``.

    Raises
    ------
    InputError
        If the machine runs dry.

    Valid: as ``bearings``; every seat fed through a hole at the supply pressure.
    Source: ``bearings``, ``oils``.
    """
    lubricant, oil = design.lubricant.si, oil_of(design)
    batch = journals(found, design)
    return bearings.settle(batch, lambda t: oils.viscosity(oil, t), lubricant.temperature, lubricant.supply_pressure,
                           **options)  # fmt: skip


def sliding_parts(design, drive, shared, ordinary_motion=None, ordinary_loads=None, only_guides=False):
    """Guides and pistons of the straight-line drive, and skirts of the ordinary one, as a batch of sliding parts.

    Parameters
    ----------
    design : Design [-]
        The design.
    drive : HypocycloidDrive [-]
        Its drive.
    shared : Loads [-]
        Shared loads, both ends of the cycle included.
    ordinary_motion : Motion or None [-]
        Motion of the ordinary drive at the same angles; None leaves its skirts out.
    ordinary_loads : Loads or None [-]
        Its loads.
    only_guides : bool [-]
        True leaves the pistons out.

    Returns
    -------
    names : list of str [-]
        ``guide 1``, ... ``piston 1``, ... ``skirt 1``, ...
    pads : Pads [-]
        In that order.

    Raises
    ------
    InputError
        If the machine runs dry.

    Valid: flooded surfaces, oil at the temperature of the file (skirts run in warmer oil: at 30 K more they would lose
        half); each part parallel to its line.
    Source: the design file and the rules at the head of this file.
    """
    guide, bore, own = design.guide.si, design.cylinders.si.bore, design.surfaces.si
    velocity = 0.25 * drive.stroke * 2.0 * drive.speed * -np.sin(
        shared.angle[:-1] - np.asarray(drive.bank_angle)[:, None])  # fmt: skip
    parts = [
        ("guide", guide.length, guide.rod_diameter, np.pi, 0.5 * guide.clearance, guide.crown,
         shared["guide"], velocity, (own.rod_ra, own.guide_ra)),
        ("piston", guide.piston_length, bore, np.pi, 0.5 * guide.piston_clearance, PISTON_CROWN,
         shared["bore"], velocity, (own.piston_ra, own.bore_ra)),
    ][: 1 if only_guides else 2]  # fmt: skip
    if ordinary_loads is not None:
        rough = (own.piston_ra, own.bore_ra)
        parts.append(("skirt", SKIRT_LENGTH * bore, bore, SKIRT_ARC, SKIRT_CLEARANCE * bore, SKIRT_BARREL,
                      ordinary_loads["bore"], ordinary_motion.velocity[:, :-1], rough))  # fmt: skip
    return _pads(design, parts)


def _pads(design, parts):
    rows = [(f"{part[0]} {k + 1}", *part[1:6], part[6][k, :-1], part[7][k], part[8])
            for part in parts for k in range(len(part[6]))]  # fmt: skip
    names, length, width, arc, clearance, crown, load, speed, rough = zip(*rows, strict=True)
    length, width, arc, clearance, crown = (np.array(v, dtype=float) for v in (length, width, arc, clearance, crown))
    roughness = np.array([float(surfaces.composite_roughness(*pair)) for pair in rough])
    viscosity = float(oils.viscosity(oil_of(design), design.lubricant.si.temperature))
    made = sliding.Pads(
        length,
        width,
        arc,
        clearance,
        crown,
        np.full(len(names), viscosity),
        np.stack(load),
        np.stack(speed),
        np.full(len(names), _period(design)),
        roughness,
        np.full(len(names), float(surfaces.asperity_pressure(3.0, modulus(SLIDER)))),
    )
    return list(names), made


def with_films(elastic, design, drive, loads):
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
        Plane loads, both ends of the cycle included.

    Returns
    -------
    Elastic [-]
        The same if the machine runs dry.

    Valid: flooded guides; a spring through the film at the peak load stands for a film that is squeezed, checked
        against a march in time in tests/test_films.py. Pistons are taken to find no film: their rings scrape the bore.
        Bearings on rollers keep their own stiffness and play.
    Source: ``bearings``, ``sliding``; rule at the head of this file.
    """
    if design.lubricant.grade == "dry":
        return elastic
    few = thinned(loads, ANGLES)
    shared, _ = sharing.share(elastic, drive, few)
    filled = (elastic.guide_clearance, np.inf, elastic.guide_clearance)
    elastic = replace(elastic, bearing_film=bearing_film(design, drive, shared), guide_film=filled)
    for _ in range(ROUNDS):
        shared, _ = sharing.share(elastic, drive, few)
        elastic = replace(elastic, guide_film=guide_film(design, drive, shared))
    return elastic


def bearing_film(design, drive, shared):
    """Films of the bearings between crank and block as one spring at each end.

    Parameters
    ----------
    design : Design [-]
        The design.
    drive : HypocycloidDrive [-]
        Its drive.
    shared : Loads [-]
        Shared loads.

    Returns
    -------
    reach : float [m]
        How far the films reach into the clearance.
    stiffness : float [N/m]
        At one end of the crank; infinite if all bearings run on rollers.
    clearance : float [m]
        For which both hold: radial, of all these bearings.

    Raises
    ------
    InputError
        If the machine runs dry.

    Valid: as ``with_films``.
    Source: as ``with_films``.
    """
    found = [seat for seat in seats.straight(design, drive, with_ends(design, drive, shared))
             if seat.kind == "journal" and seat.part in CRANK_TO_BLOCK and seat.place != "far"]
    if not found:
        return sharing.NO_FILM
    warm = settle(found, design)
    film = bearings.film_thickness(warm.journals, warm.orbit)
    reach, soft = _spring(np.abs(warm.journals.load), film, warm.journals.clearance)
    ends = 2.0  # seats of one end in series
    return float(reach.sum() / ends), float(ends / soft.sum()), float(warm.journals.clearance.sum() / ends)


def guide_film(design, drive, shared):
    """Film of a guide as a spring at each of its ends.

    Parameters
    ----------
    design : Design [-]
        The design.
    drive : HypocycloidDrive [-]
        Its drive.
    shared : Loads [-]
        Shared loads.

    Returns
    -------
    reach : float [m]
        How far the film reaches into the clearance.
    stiffness : float [N/m]
        At one end of a guide.
    clearance : float [m]
        For which both hold.

    Raises
    ------
    InputError
        If the machine runs dry.

    Valid: as ``with_films``; mean of the guides.
    Source: as ``with_films``.
    """
    _, batch = sliding_parts(design, drive, shared, only_guides=True)
    film = sliding.film_thickness(batch, sliding.slide(batch))
    reach, soft = _spring(np.abs(batch.load), film, batch.clearance)
    if not soft.any():
        return sharing.NO_FILM
    return float(reach.mean()), float(0.5 / soft.mean()), float(batch.clearance[0])  # half of the film at each end


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
    against the centrifugal force; those in the crank help, less or more as the crank turns on its straight lines.

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

    Valid: filled drillings, constant speed, drilling from the outside of the journal to the outside of the pin. A
        bearing on rollers cannot pass the oil on: it then has to go in at the end of the crank.
    Source: p + rho w^2 r^2 / 2 in the carrier; acceleration of a point of the crank, -w^2 (a e^(i theta) + s).
    """
    density, supply = oil_of(design).density, design.lubricant.si.supply_pressure
    crank, a, speed2 = design.crank.si, 0.25 * float(drive.stroke), float(drive.speed) ** 2
    outside = 0.5 * design.carrier.si.bearing_diameter
    into = a + 0.5 * crank.journal_diameter
    journal = supply - 0.5 * density * speed2 * (outside**2 - into**2)
    begin, end = 0.5 * crank.journal_diameter, a + 0.5 * crank.pin_diameter
    mean, swing = 0.5 * (end**2 - begin**2), a * np.abs(end - begin)
    pin = [journal + density * speed2 * (mean + sign * swing) for sign in (-1.0, 1.0)]
    return {"supply": supply, "crank journal": journal, "crankpin, least": pin[0], "crankpin, greatest": pin[1]}
