"""What the set describes (storeys, roof, foundation, wind) and how its joints are tied, roof to footing."""

from notelint.loadpath.building import Overrides, infer_building
from notelint.loadpath.path import trace

__all__ = ["Overrides", "infer_building", "trace"]
