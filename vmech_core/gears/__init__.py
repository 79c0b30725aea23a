"""Gears of the internal 2:1 pair: geometry, interference, outlines, stroke picker, bending screen."""
