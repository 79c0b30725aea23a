"""Contacts of both machines that do the same work, side by side."""

from __future__ import annotations

import numpy as np

#: Contacts of the straight-line drive and of the ordinary crank, by the words that stand for both.
ALIKE = {
    "shaft in block": ("carrier in block", "main journal in block"),
    "guides or skirts": ("guides", "skirts"),
    "big ends on crankpins": ("rod big end on crankpin",) * 2,
}


def like_with_like(straight, ordinary):
    """Put the losses of both machines side by side, like with like.

    Parameters
    ----------
    straight, ordinary : dict of str to float or array [-]
        Value of each contact.

    Returns
    -------
    names : list of str [-]
        Contacts, largest first.
    values : (N, 2, ...) array [-]
        Of both machines; nan where a machine has no such contact.

    Valid: contacts named as in ``contacts.Friction``.
    Source: none needed.
    """
    taken = {name for pair in ALIKE.values() for name in pair}
    pairs = {**ALIKE, **{name: (name, name) for name in {**straight, **ordinary} if name not in taken}}
    none = np.nan * np.asarray(next(iter(straight.values())))
    found = {words: np.stack([straight.get(own, none), ordinary.get(other, none)])
             for words, (own, other) in pairs.items()}
    names = sorted(found, key=lambda words: -np.nanmax(found[words]))
    return names, np.stack([found[name] for name in names])
