"""How sure an answer is: what would turn it.

``nearest_edges``, ``Edge``
    for each key the value nearest to the present one at which the verdict changes
``movable_keys``
    the keys that are tried
"""

from inrushlib.margins.edges import Edge, nearest_edges
from inrushlib.margins.moves import movable_keys

__all__ = ["Edge", "movable_keys", "nearest_edges"]
