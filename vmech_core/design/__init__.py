"""The design file: every key with unit, range and meaning, what must agree, refusals in one sentence, TOML in and out.

It knows what a drawing says and whether that can be; it computes no load and no motion.
"""

from vmech_core.base.lazy import attach

__all__, __getattr__, __dir__ = attach(__name__, {
    "files": "load_design",
    "saving": "save_design",
    "design": "Design",
    "scaling": "scaled",
})
