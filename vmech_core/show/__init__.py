"""Pictures: figures and live scenes by topic, in one style. A scene draws once and then moves a few artists.

It draws what the other packages have computed, and knows no widget.
"""

from vmech_core.base.lazy import attach

__all__, __getattr__, __dir__ = attach(__name__, {

}, modules=(
    ""))
