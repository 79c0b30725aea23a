"""How each machine moves and what rigid parts carry: the straight-line drive, the ordinary crank, the scotch yoke.

One file per machine, each with its motion, rigid loads and rubbing pairs; besides the gear train, even firing, harmonics,
masses from geometry and the statics along the crank's axis. It knows no elastic part, no film and no friction.
"""

from vmech_core.base.lazy import attach

__all__, __getattr__, __dir__ = attach(__name__, {
    "train": "by_tooth jam_path path_ellipse pin_path pins_on_crank speeds",
    "firing": "as_turns even_layout families firing in_degrees pair_split parts pin_places search",
    "harmonics": "dwell harmonics",
}, modules="ends hypocycloid masses scotch_yoke slider_crank train")
