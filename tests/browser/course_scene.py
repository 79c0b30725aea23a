"""The scene of notebook 01 for the slider benchmark: ``--scene course_scene:straight_line``."""

from vmech_core.panels import Control
from vmech_core.plots.straight_line import StraightLineScene, controls


def straight_line():
    """Scene and controls as the notebook shows them."""
    return StraightLineScene(stroke_mm=69.0), [Control(*row) for row in controls()]
