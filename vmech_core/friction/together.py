"""Films of several machines marched in one batch: a march costs by its steps, and little by its bearings."""

from dataclasses import replace

import numpy as np

from vmech_core.base.results import some
from vmech_core.bearings import films, journal, pads

#: What skirts have of their own: factors on play and roughness, and the warmth of their oil.
SKIRT = "skirt_play", "skirt_marks", "skirt_oil"


def settled(totals):
    """Films of the plain bearings of each machine.

    Parameters
    ----------
    totals : sequence of sums [-]
        What is added up for each machine, from ``contacts``.

    Returns
    -------
    list of Warm or None [-]
        None where there is no plain bearing.

    Raises
    ------
    InputError
        If a film cannot be followed; it names the first machine.

    Valid: the same number of angles and the same grade of oil in all.
    Source: ``bearings.journal``.
    """
    plain = [total for total in totals if total.found("journal")]
    if not plain:
        return [None] * len(totals)
    given, names = [], []
    for total in plain:
        v, one = total.batch(films.journals(total.found("journal"), total.design))
        given.append((v["viscosity"], total.inlet.repeat(len(v["inlet"]) // total.count), v["heat_share"],
                      np.full(len(v["inlet"]), total.design.lubricant.si.supply_pressure), v["sheared"] * v["plain"],
                      replace(one, clearance=one.clearance * v["clearance"], roughness=one.roughness * v["roughness"],
                              viscosity=np.ones(len(one.load)),
                              asperity=one.asperity * v["peaks"] * np.sqrt(v["roughness"] / v["clearance"]))))
        names += [seat.kin for seat in total.found("journal")]
    factor, inlet, share, supply, sheared = (np.concatenate([one[k] for one in given]) for k in range(5))
    batch, rows = _joined([one[-1] for one in given])
    with films.followed(plain[0].design, names):
        warm = journal.settle(batch, lambda t: plain[0].viscosity(t, factor), inlet, supply, share, sheared=sheared)
    parts = iter([_part(warm, own) for own in rows])
    return [next(parts) if total in plain else None for total in totals]


def slid(totals):
    """Films of guides, or skirts, of each machine.

    Parameters
    ----------
    totals : sequence of sums [-]
        What is added up for each machine, from ``contacts``.

    Returns
    -------
    list of tuple of Pads and Film [-]
        The batch of each machine and its films.

    Raises
    ------
    InputError
        If a film cannot be followed; it names the first machine.

    Valid: the same number of angles and the same grade of oil in all.
    Source: ``bearings.pads``.
    """
    batches = []
    for total in totals:
        v, one = total.batch(total.rubbing.pads)
        skirt = total.rubbing.slides == "skirts"
        play, marks, warmer = (v[name] for name in SKIRT) if skirt else (v["clearance"], v["roughness"], 0.0)
        inlet = np.repeat(total.inlet, len(one.load) // total.count)
        wet = v["wetted"] * (v["guide_oil"] if total.rubbing.slides == "guides" else 1.0)
        wet = np.minimum(wet, np.maximum(1.0, v["wetted"]))
        batches.append(replace(one, viscosity=total.viscosity(inlet + warmer, v["viscosity"]),
                               clearance=one.clearance * play, length=one.length * wet,
                               crown=one.crown * v["crown"] * wet**2, roughness=one.roughness * marks,
                               asperity=one.asperity * v["peaks"]))
    batch, rows = _joined(batches)
    with films.followed(totals[0].design, [total.rubbing.slides for total in totals]):
        film = pads.slide(batch)
    return [(one, _part(film, own)) for one, own in zip(batches, rows, strict=True)]


def _joined(batches):
    """Batches of the same kind one after the other, and the rows of each."""
    ends = np.cumsum([0, *(len(one.load) for one in batches)])
    names, shape = vars(batches[0]), batches[0].load.shape[1]
    each = ([np.broadcast_to(v, (len(one.load), shape)) if np.ndim(v := getattr(one, name)) == 2 else v
             for one in batches] for name in names)
    whole = type(batches[0])(**dict(zip(names, map(np.concatenate, each), strict=True)))
    return whole, [slice(*pair) for pair in zip(ends[:-1], ends[1:], strict=True)]


def _part(result, rows):
    """Some rows of a result that holds arrays, batches and results."""
    if isinstance(result, tuple):
        return type(result)(*(_part(value, rows) for value in result))
    return some(result, rows) if hasattr(result, "load") else result[rows] if np.ndim(result) else result
