"""Every number that is uncertain and counts for friction: low, likely, high and basis. Set on the ordinary crank alone.

Where published values of a part are known for an engine like the first demo (430 cm3 in two cylinders, 3,000 rpm,
without pumping), the range was set to hold them, with the likely value near theirs, on the ordinary crank alone: skirts
0.10 to 0.33 bar (likely 0.20), rings 0.15 to 0.35 (0.26), valve train 0.07 to 0.31 (0.16), seals 0.03 to 0.08 (0.05),
oil pump 0.02 to 0.07 (0.04), plain bearings of the crank 0.03 to 0.25, wrist pins 0.005 to 0.08. No saving was looked
at for that, though the verdict of earlier ranges was known. Sources of these: ``published``.
"""

from vmech_core.base import Estimate, rows
from vmech_core.bearings import journal, surfaces

#: Rows of the table whose numbers stand with their law.
_OF_LAWS = {"sheared": journal.SHEARED, "boundary": surfaces.BOUNDARY_FRICTION}


def _estimate(row):
    numbers = (float(row[end]) for end in ("low", "likely", "high"))
    return _OF_LAWS.get(row["name"]) or Estimate(*numbers, row["unit"], row["basis"])


#: Name to range and basis, the rows of ``data/friction_assumptions.csv``.
ASSUMPTIONS = {row["name"]: _estimate(row) for row in rows("friction_assumptions")}
#: Assumptions that no contact feels: they say what is not modelled.
GAP = ("published", "missing_share")
#: Words for it among the contacts.
MISSING = "not modelled"
