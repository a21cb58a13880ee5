"""Frames against frames: distances that an eye would agree with. Imports numpy alone."""

from migrate.compare.colour import ciede2000, lab_of_light
from migrate.compare.figures import Figures, Place, Tolerance, compare, delta_e_map, within
from migrate.compare.flash import Flashes, flashes
from migrate.compare.statistics import NoiseDistance, noise_distance, within_noise

__all__ = [
    "Figures", "Flashes", "NoiseDistance", "Place", "Tolerance", "ciede2000", "compare", "delta_e_map", "flashes",
    "lab_of_light", "noise_distance", "within", "within_noise",
]  # fmt: skip
