"""What pushes on the pistons: each module takes an angle or a volume curve, never a mechanism."""
