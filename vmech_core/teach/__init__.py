"""What makes a notebook a lesson: the one slider engine, checks of exercises, a bar while one waits, and the symbols
that derivations share.

``slider_panel(scene, alt=...)`` puts a scene's own controls above its picture. It knows widgets and words, and no
mechanics.
"""

from vmech_core.base.lazy import attach

__all__, __getattr__, __dir__ = attach(__name__, {
    "cells": "check",
    "guesses": "compare guess",
    "sheets": "notation",
    "panels": "slider_panel",
    "waiting": "progress",
}, modules="symbolic")
