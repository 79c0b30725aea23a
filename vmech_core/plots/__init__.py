"""One file per topic: each takes results and returns a figure; no physics and no widgets."""
