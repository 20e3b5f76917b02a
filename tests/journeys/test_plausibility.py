"""A typed slip that the rules allow is told as a note of `check`; the example and the starter have none.

Every row of the table is one keyboard: what stood in the example, what was typed, and what the note must say:
where it points, the words of the range, the likely slip. The ranges are common practice, no source, but for
how densely fibres pack (geometry) and what a centimetre of sea water weighs (hydrostatics).
"""

from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

import pytest

from recipe_track.errors import Problem
from recipe_track.procedures.start import starting_files
from recipe_track.recipe import rules
from recipe_track.review import plausibility
from recipe_track.workspace import Reading, Workspace, open_workspace
from recipe_track.workspace.assembly import Parser, assemble, parse
from recipe_track.workspace.work_tree import working
from tests.example import copy_of_example
from tests.journeys.gitrepo import GitRepo
from tests.journeys.yard import Yard

GLASS, CARBON = "materials/e-glass.toml", "materials/carbon-hs.toml"
RESIN, MAT, BIAX = "materials/vinylester-infusion.toml", "materials/csm-300.toml", "materials/biax-610.toml"
QUAD, PVC, BALSA = "materials/quad-1200.toml", "materials/pvc-80.toml", "materials/balsa-155.toml"
BARRIER, PASTE, PRICES = "materials/barrier-coat.toml", "materials/bond-paste.toml", "prices.toml"
MODEL, DECK = "models/pb98/model.toml", "models/pb98/deck/part.toml"
SUPPORT, SIDE = "models/pb98/deck/deck-support.toml", "models/pb98/deck/side-deck.toml"
BEAMS, JOINT = "models/pb98/deck/beams.toml", "models/pb98/deck/sheer-joint.toml"
KEEL, AFT, COAMING = (
    "models/pb98/hull/keel.toml", "models/pb98/hull/bottom-aft.toml", "models/pb98/deck/coaming.toml",
)  # fmt: skip
TANK = "models/pb98/grid/tank-top.toml"


class Slip(NamedTuple):
    """What stood in a file, what was typed, the text that the note points at, words of it and of its hint."""

    file: str
    stood: str
    typed: str
    points_at: str
    message: str
    hint: str = ""


FIBRES = [
    Slip(GLASS, "density_kg_m3 = 2560", "density_kg_m3 = 2.56", "2.56", "1300 to 2800 kg/m³", "g/cm³? 2560"),
    Slip(GLASS, "density_kg_m3 = 2560", "density_kg_m3 = 256", "256", "1300 to 2800", "ten? 2560"),
    Slip(GLASS, "e_axial_gpa = 73.0", "e_axial_gpa = 73000.0", "73000.0", "25 to 650 GPa", "MPa? 73 GPa"),
    Slip(GLASS, "e_axial_gpa = 73.0", "e_axial_gpa = 235.0", "235.0", "65 to 95 GPa", "another fibre's row?"),
    Slip(CARBON, "e_axial_gpa = 235.0", "e_axial_gpa = 73.0", "73.0", "150 to 650 GPa", "another fibre's row?"),
    Slip(CARBON, "e_transverse_gpa = 15.0", "e_transverse_gpa = 15000.0", "15000.0", "3 to 100 GPa", "MPa? 15"),
    Slip(GLASS, "g_gpa = 30.0", "e_transverse_gpa = 80.0\ng_gpa = 30.0", "80.0", "more than 73 GPa along", "place?"),
    Slip(GLASS, "g_gpa = 30.0", "g_gpa = 30000.0", "30000.0", "1 to 45 GPa", "MPa? 30 GPa"),
    Slip(GLASS, "nu = 0.18", "nu = 0.018", "0.018", "0.1 to 0.45", "ten? 0.18"),
]  # fmt: skip
RESINS = [
    Slip(RESIN, "density_kg_m3 = 1120", "density_kg_m3 = 1.12", "1.12", "1000 to 1400 kg/m³", "g/cm³? 1120"),
    Slip(RESIN, "e_gpa = 3.4", "e_gpa = 3400", "3400", "2 to 5 GPa", "MPa? 3.4 GPa"),
    Slip(RESIN, "e_gpa = 3.4", "e_gpa = 34", "34", "2 to 5 GPa", "ten? 3.4 GPa"),
    Slip(RESIN, "nu = 0.35", "nu = 0.035", "0.035", "0.28 to 0.42", "ten? 0.35"),
]
FABRICS = [
    Slip(BIAX, "areal_mass_g_m2 = 612", "areal_mass_g_m2 = 0.612", "0.612", "80 to 2500 g/m²", "kg/m²? 612 g/m²"),
    Slip(BIAX, "areal_mass_g_m2 = 612", "areal_mass_g_m2 = 18", "18", "80 to 2500 g/m²", "oz/yd²? 610"),
    Slip(BIAX, "infusion = 0.69", "infusion = 0.31", "0.31", "for infusion is 0.17 by volume: ordinarily 0.2 to 0.65", "the resin's fraction? the fibre's would be 0.69"),
    Slip(BIAX, "infusion = 0.69", "infusion = 0.95", "0.95", "0.90 by volume: ordinarily 0.2 to 0.65, 0.36 to 0.81 by mass and in square packing at most 0.785"),
    Slip(BIAX, "infusion = 0.69", "infusion = 0.97", "0.97", "not possible: round fibres fill at most 0.907"),
    Slip(BIAX, "hand-layup = 0.50", "hand-layup = 0.69", "0.69", "0.50 by volume: ordinarily 0.1 to 0.42", "the resin's fraction? the fibre's would be 0.31"),
    Slip(BIAX, "vacuum-bag = 0.61", "vacuum-bag = 0.82", "0.82", "0.67 by volume: ordinarily 0.18 to 0.55"),
    Slip(MAT, "hand-layup = 0.30", "hand-layup = 0.50", "0.50", "0.31 by volume: ordinarily 0.1 to 0.22", "the row of a stitched cloth?"),
    Slip(MAT, "infusion = 0.45", "infusion = 0.68", "0.68", "0.49 by volume: ordinarily 0.15 to 0.35", "the resin's fraction? the fibre's would be 0.32"),
    Slip(MAT, "spray-up = 0.28", "spray-up = 0.45", "0.45", "0.27 by volume: ordinarily 0.1 to 0.22", "the row of a stitched cloth?"),
    Slip(BIAX, "stiffness_factor = 0.95", "stiffness_factor = 95", "95", "0.6 to 1", "percent? 0.95"),
    Slip(BIAX, "stiffness_factor = 0.95", "stiffness_factor = 0.095", "0.095", "0.6 to 1", "ten? 0.95"),
    Slip(MAT, "stiffness_factor = 0.80\n", "", "", "20–30 %", "0.8 is common practice"),
    Slip(BIAX, "areal_mass_tolerance_fraction = 0.02", "areal_mass_tolerance_fraction = 0.2", "0.2", "0.005 to 0.1", "ten? 0.02"),
    Slip(BIAX, "fibre_mass_fraction_tolerance = 0.02", "fibre_mass_fraction_tolerance = 1.0", "1.0", "0.005 to 0.1", "percent? 0.01"),
    Slip(BIAX, "tension = 0.0035", "tension = 0.35", "0.35", "0.001 to 0.02", "percent? 0.0035"),
    Slip(BIAX, "tension = 0.0035", "tension = 3500", "3500", "0.001 to 0.02", "µm/m? 0.0035"),
    Slip(BIAX, "compression = 0.0030", "compression = 0.30", "0.30", "0.001 to 0.02", "percent? 0.003"),
    Slip(BIAX, "transverse = 0.0020", "transverse = 0.20", "0.20", "0.0005 to 0.01", "percent? 0.002"),
    Slip(BIAX, "shear = 0.0060", "shear = 6.0", "6.0", "0.002 to 0.03", "per mille? 0.006"),
    Slip(BIAX, "roll_width_m = 1.27", "roll_width_m = 1270", "1270", "0.02 to 4 m", "mm? 1.27 m"),
    Slip(BIAX, "angle_deg = 45", "angle_deg = 0.785", "0.785", "whole degrees", "radians? 45°"),
    Slip(BIAX, "angle_deg = 45", "angle_deg = 450", "450", "−90 to 90, or 180"),
]  # fmt: skip
ADDED = [
    Slip(BIAX, "stiffness_factor = 0.95", "stiffness_factor = 0.95\nvoid_fraction = { infusion = 0.1 }", "0.1", "`void_fraction` for infusion: 0.1: ordinarily 0 to 0.08", "ten? 0.01"),
    Slip(BARRIER, "density_kg_m3 = 1320", "density_kg_m3 = 1320\nliquid_density_kg_m3 = 12000", "12000", "1000 to 1700", "ten? 1200"),
]  # fmt: skip
LAMINAS = [
    Slip(QUAD, "e1_gpa = 36.8", "e1_gpa = 36800", "36800", "5 to 350 GPa", "MPa? 36.8 GPa"),
    Slip(QUAD, "e2_gpa = 11.2", "e2_gpa = 1.12", "1.12", "3 to 70 GPa", "ten? 11.2 GPa"),
    Slip(QUAD, "g12_gpa = 3.7", "g12_gpa = 3700", "3700", "1.5 to 35 GPa", "MPa? 3.7 GPa"),
    Slip(QUAD, "density_kg_m3 = 1835", "density_kg_m3 = 18350", "18350", "1300 to 2200 kg/m³", "ten? 1835"),
    Slip(QUAD, "thickness_mm = 0.95", "thickness_mm = 950", "950", "ordinarily 0.15 to 0.7", "µm? 0.95 mm"),
    Slip(
        QUAD,
        "areal_mass_g_m2 = 1200",
        "areal_mass_g_m2 = 300",
        "0.95",
        "0.12 fibre by volume",
        "another cloth?",
    ),
]
CORES = [
    Slip(PVC, "density_kg_m3 = 80", "density_kg_m3 = 0.08", "0.08", "30 to 300 kg/m³", "g/cm³? 80 kg/m³"),
    Slip(PVC, "density_kg_m3 = 80", "density_kg_m3 = 800", "800", "30 to 300 kg/m³ for foam", "ten? 80 kg/m³"),
    Slip(PVC, "density_kg_m3 = 80", "density_kg_m3 = 5", "5", "30 to 300 kg/m³", "lb/ft³? 80"),
    Slip(PVC, "e_inplane_mpa = 60", "e_inplane_mpa = 60000", "60000", "5 to 6000 MPa", "kPa? 60 MPa"),
    Slip(PVC, "e_inplane_mpa = 60", "e_inplane_mpa = 0.060", "0.060", "5 to 6000 MPa", "GPa? 60 MPa"),
    Slip(PVC, "e_through_mpa = 95", "e_through_mpa = 0.095", "0.095", "5 to 6000 MPa", "GPa? 95 MPa"),
    Slip(PVC, "g_mpa = 28", "g_mpa = 0.028", "0.028", "5 to 300 MPa", "GPa? 28 MPa"),
    Slip(PVC, "g_mpa = 28", "g_mpa = 28000", "28000", "5 to 300 MPa", "kPa? 28 MPa"),
    Slip(PVC, "shear_strength_mpa = 1.1", "shear_strength_mpa = 1100", "1100", "0.2 to 5 MPa", "kPa? 1.1 MPa"),
    Slip(PVC, "shear_strength_mpa = 1.1", "shear_strength_mpa = 4.0", "4.0", "0.28 to 2.24 MPa", "one of the two?"),
    Slip(BALSA, "shear_strength_mpa = 2.6", "shear_strength_mpa = 0.26", "0.26", "1.55 to 12.4 MPa", "one of the two?"),
    Slip(PVC, "board_m2 = 2.6", "board_m2 = 26000", "26000", "0.2 to 6 m²", "cm²? 2.6 m²"),
    Slip(PVC, "thickness_tolerance_mm = 0.3", "thickness_tolerance_mm = 30", "30", "0 to 2 mm", "ten? 0.3 mm"),
    Slip(PVC, "{ infusion = 300,", "{ infusion = 0.3,", "0.3", "20 to 800 g/m²", "kg/m²? 300 g/m²"),
    Slip(PVC, "{ infusion = 12,", "{ infusion = 120,", "120", "0 to 25 g/m² per mm", "g/m² per cm? 12"),
]  # fmt: skip
LIQUIDS = [
    Slip(
        BARRIER, "density_kg_m3 = 1320", "density_kg_m3 = 1.32", "1.32", "1000 to 1700 kg/m³", "g/cm³? 1320"
    ),
    Slip(BARRIER, "wet_thickness_mm = 0.65", "wet_thickness_mm = 650", "650", "0.05 to 2 mm", "µm? 0.65 mm"),
    Slip(BARRIER, "wet_thickness_mm = 0.65", "wet_thickness_mm = 1.65", "0.5", "0.30303 of the wet film"),
    Slip(
        BARRIER,
        "cured_thickness_mm = 0.5",
        "cured_thickness_mm = 0.7",
        "0.7",
        "0.5 to 1",
        "each other's place?",
    ),
    Slip(PASTE, "density_kg_m3 = 1150", "density_kg_m3 = 1.15", "1.15", "800 to 1700 kg/m³", "g/cm³? 1150"),
    Slip(JOINT, "kg_per_m = 1.15", "kg_per_m = 1150", "1150", "0.02 to 5 kg/m", "g/m? 1.15 kg/m"),
]
PRICE_LIST = [
    Slip(PRICES, "biax-610 = { per_kg = 4.1", "biax-610 = { per_kg = 410", "410", "1 to 20 EUR/kg of glass", "cents? 4.1"),
    Slip(PRICES, "uni-carbon-300 = { per_m2 = 16.5", "uni-carbon-300 = { per_kg = 5.5", "5.5", "15 to 120 EUR/kg of carbon"),
    Slip(PRICES, "uni-carbon-300 = { per_m2 = 16.5", "uni-carbon-300 = { per_kg = 13.5", "13.5", "15 to 120 EUR/kg", "per_m2`? it would be 45"),
    Slip(PRICES, "uni-carbon-300 = { per_m2 = 16.5", "uni-carbon-300 = { per_m2 = 1650", "1650", "1 to 80 EUR/m²", "cents? 16.5"),
    Slip(PRICES, "pvc-80 = { per_m3 = 1040.0", "pvc-80 = { per_m3 = 20.8", "20.8", "300 to 6000 EUR/m³"),
    Slip(PRICES, "gelcoat-grey = { per_kg = 6.4", "gelcoat-grey = { per_kg = 640", "640", "2 to 40 EUR/kg", "cents? 6.4"),
    Slip(PRICES, "vinylester-infusion = { per_kg = 4.9", "vinylester-infusion = { per_kg = 0.49", "0.49", "2 to 40", "ten? 4.9"),
    Slip(PRICES, "bond-paste = { per_kg = 10.2", "bond-paste = { per_kg = 1020", "1020", "2 to 40 EUR/kg", "cents? 10.2"),
    Slip(PRICES, "labour_per_hour = 50.5", "labour_per_hour = 0.84", "0.84", "15 to 150 EUR/h"),
    Slip(PRICES, "biax-610 = { per_kg = 4.1, labour_min_per_m2 = 5.5", "biax-610 = { per_kg = 4.1, labour_min_per_m2 = 0.09", "0.09", "1 to 60 min/m²", "hours? 5.4"),
    Slip(PRICES, "biax-610 = { per_kg = 4.1, labour_min_per_m2 = 5.5", "biax-610 = { per_kg = 4.1, labour_min_per_m2 = 330", "330", "1 to 60 min/m²", "seconds? 5.5"),
]  # fmt: skip
PARTS = [
    Slip(DECK, "reinforcement = 0.10", "reinforcement = 1.0", "1.0", "0 to 0.35", "percent? 0.01"),
    Slip(DECK, "line_resin_kg = 7.5", "line_resin_kg = 7500", "7500", "0 to 100 kg", "g? 7.5 kg"),
    Slip(
        DECK,
        "consumables_per_m2 = 13.5",
        "consumables_per_m2 = 405",
        "405",
        "0 to 80 EUR/m²",
        "for the whole part?",
    ),
    Slip(DECK, "setup_hours = 17.0", "setup_hours = 1020", "1020", "0 to 300 h"),
]
LAYERS = [
    Slip(SUPPORT, "thickness_mm = 20", "thickness_mm = 200", "200", "layer 5: `thickness_mm` 200 mm: ordinarily 3 to 60 mm", "ten? 20 mm"),
    Slip(SUPPORT, "thickness_mm = 20", "thickness_mm = 2", "2", "3 to 60 mm for a core", "cm? 20 mm"),
    Slip(SUPPORT, "thickness_mm = 20", "thickness_mm = 0.02", "0.02", "3 to 60 mm", "m? 20 mm"),
    Slip(SUPPORT, "thickness_mm = 0.6", "thickness_mm = 600", "600", "0.05 to 1.2 mm for a coating", "µm? 0.6 mm"),
    Slip(SUPPORT, "thickness_mm = 0.6", "thickness_mm = 6", "6", "0.05 to 1.2 mm", "ten? 0.6 mm"),
    Slip(SUPPORT, "thickness_mm = 0.6", "thickness_mm = 0.0006", "0.0006", "0.05 to 1.2 mm", "m? 0.6 mm"),
    Slip(SUPPORT, "angle_deg = 90", "angle_deg = 1.57", "1.57", "layer 4", "radians? 90°"),
    Slip(SUPPORT, "angle_deg = 90", "angle_deg = 900", "900", "−90 to 90, or 180"),
    Slip(SUPPORT, "plies = 2 },", "plies = 200 },", "200", "1 to 30"),
    Slip(SUPPORT, '{ material = "uni-600", angle_deg = 90 }', '{ material = "uni-600", fibre_mass_fraction = 0.3 }', "0.3", "for infusion is 0.16 by volume", "the resin's fraction?"),
    Slip(SUPPORT, '"pvc-80", thickness_mm = 20', '"pvc-80", thickness_mm = 20, uptake_g_m2 = 0.9', "0.9", "40 to 3000 g/m²", "kg/m²? 900"),
    Slip(SUPPORT, '  { material = "csm-300", process = "hand-layup" },', '  { material = "csm-300", process = "hand-layup" },\n  { material = "gelcoat-grey", thickness_mm = 0.6 },', '"gelcoat-grey"', "layer 3: the coating `gelcoat-grey` lies within", "order"),
    Slip(SUPPORT, '  { material = "biax-610", plies = 2, flipped = true, note = "stagger overlaps 50 mm" },\n', "", '"pvc-80"', "no carrying skin on its bag side", "order of the lines?"),
    Slip(SUPPORT, '{ material = "uni-600", angle_deg = 90 }', '{ material = "uni-600", angle_deg = 90, resin = "vinylester-hand" }', '"vinylester-hand"', "stage 1 of deck is infused with `vinylester-hand` here and with `vinylester-infusion`", "`process` missing?"),
    Slip(KEEL, 'process = "hand-layup", resin = "vinylester-hand", stage = 2 },', 'resin = "vinylester-hand" },', '"vinylester-hand"', "stage 1 of hull is infused", "a `stage`"),
]  # fmt: skip
BEAM_FORMER = 'girth_mm = 300\nformer = { material = "pvc-80", section_mm2 = 4200 }'
HAT = 'former = {{ material = "pvc-80" }}\nsection = {{ crown_mm = 60, height_mm = {height}, base_mm = {base} }}'
LOADED = (
    "beam = {{ span_mm = {span}, load_width_mm = {width}, pressure_kpa = {pressure}, ends = 'clamped' }}\n"
)
ZONES = [
    Slip(SUPPORT, "area_m2 = 2.60", "area_m2 = 2600000", "2600000", "0.02 to 78.4 m²", "mm²? 2.6 m²"),
    Slip(SUPPORT, "area_m2 = 2.60", "area_m2 = 0.0026", "0.0026", "0.02 to 78.4 m²"),
    Slip(SUPPORT, "centroid_m = [5.10,", "centroid_m = [5100,", "5100", "x of `centroid_m` 5100 m: ordinarily -0.98 to 10.78 m", "mm? 5.1 m"),
    Slip(SUPPORT, "5.10, 0.00,", "5.10, 18.0,", "18.0", "y of `centroid_m` 18 m: ordinarily -1.92 to 1.92 m", "cm? 0.18 m"),
    Slip(SUPPORT, "0.00, 1.34]", "0.00, 1340]", "1340", "-2.94 to 7.84 m", "mm? 1.34 m"),
    Slip(SUPPORT, "overlap_fraction = 0.06", "overlap_fraction = 6", "6", "0 to 0.3", "percent? 0.06"),
    Slip(COAMING, "span_mm = 200", "span_mm = 0.2", "0.2", "100 to 2500 mm", "m? 200 mm"),
    Slip(SUPPORT, "length_mm = 1240", "length_mm = 12400", "12400", "620 to 4960 mm at this span", "ten? 1240 mm"),
    Slip(SUPPORT, "pressure_kpa = 12.0", "pressure_kpa = 12000", "12000", "1 to 250 kPa", "Pa? 12 kPa"),
    Slip(SUPPORT, "pressure_kpa = 12.0", "pressure_kpa = 0.12", "0.12", "1 to 250 kPa", "bar? 12 kPa"),
    Slip(SUPPORT, "force_kn = 1.6", "force_kn = 1600", "1600", "0.3 to 60 kN", "N? 1.6 kN"),
    Slip(SUPPORT, "force_kn = 1.6", "force_kn = 163", "163", "0.3 to 60 kN", "kg? 1.59848 kN"),
    Slip(SUPPORT, "side_mm = 100", "side_mm = 10", "10", "20 to 600 mm", "cm? 100 mm"),
    Slip(SUPPORT, "force_kn = 1.6, side_mm = 100", "force_kn = 16, side_mm = 30", "30", "17777.8 kPa: ordinarily 10 to 3000 kPa", "cm?"),
    Slip(BEAMS, "length_m = 12.50", "length_m = 12500", "12500", "0.05 to 98 m", "mm? 12.5 m"),
    Slip(BEAMS, "girth_mm = 300", "girth_mm = 30", "30", "40 to 2000 mm", "cm? 300 mm"),
    Slip(BEAMS, "section_mm2 = 4200", "section_mm2 = 42", "42", "100 to 100000 mm²", "cm²? 4200 mm²"),
    Slip(BEAMS, "section_mm2 = 4200 }", "section_mm2 = 4200, height_mm = 140 }", "140", "leaves a width of 30 mm: ordinarily 41 to 130 mm", "outer dimensions"),
    Slip(BEAMS, BEAM_FORMER, HAT.format(height=400, base=70), "400", "24 to 240 mm on a crown of 60 mm", "outer dimensions?"),
    Slip(BEAMS, BEAM_FORMER, HAT.format(height=80, base=40), "40", "60 to 140 mm for this crown and height", "outer dimensions?"),
    Slip(BEAMS, BEAM_FORMER, HAT.format(height=80, base=9), "9", "10 to 1500 mm", "cm? 90 mm"),
    Slip(BEAMS, "zero_dir", LOADED.format(span=1.2, width=450, pressure=18) + "zero_dir", "1.2", "200 to 6000 mm", "m? 1200 mm"),
    Slip(BEAMS, "zero_dir", LOADED.format(span=1200, width=4500, pressure=18) + "zero_dir", "4500", "20 to 1200 mm at this span"),
    Slip(BEAMS, "zero_dir", LOADED.format(span=1200, width=450, pressure=18000) + "zero_dir", "18000", "1 to 250 kPa", "Pa? 18 kPa"),
    Slip(BEAMS, "effective_width_mm = 160", "effective_width_mm = 16", "16", "20 to 2500 mm", "cm? 160 mm"),
    Slip(SUPPORT, 'source = "SC-098 rev C, sheet 7"\n', "", "[required]", "minima without a `source`"),
    Slip(SUPPORT, "core_shear_use_max = 0.80", "core_shear_use_max = 80", "80", "ordinarily at most 1", "percent? 0.8"),
    Slip(SUPPORT, 'formerly = ["deck/flange"]', 'formerly = ["deck/flanges"]', '"deck/flanges"', "no zone of pb98 was ever called so", "`deck/flange`?"),
]  # fmt: skip
CRAFT = [
    Slip(MODEL, "length_m = 9.8", "length_m = 32.2", "32.2", "3 to 30 m", "feet? 9.81456 m"),
    Slip(MODEL, "length_m = 9.8", "length_m = 29.8", "3.2", "5.96 to 17.88 m at a length of 29.8 m"),
    Slip(MODEL, "beam_m = 3.2", "beam_m = 10.5", "10.5", "1.96 to 5.88 m", "feet? 3.2004 m"),
    Slip(MODEL, "at_m = [2.55, 0.00,", "at_m = [2550, 0.00,", "2550", "`engines and gearboxes`: x of `at_m` 2550 m", "mm? 2.55 m"),
    Slip(MODEL, "kg_per_cm = 215", "kg_per_cm = 0.215", "0.215", "160.7 to 305.4 kg/cm by length and beam", "t/cm? 215"),
    Slip(MODEL, "lcf_m = 3.75", "lcf_m = 3750", "3750", "-0.98 to 10.78 m", "mm? 3.75 m"),
    Slip(MODEL, "gm_m = 0.95", "gm_m = 950", "950", "0.2 to 3 m", "mm? 0.95 m"),
]  # fmt: skip
SHAFTS = [
    Slip(MODEL, "steady_rpm = [1900]", "steady_rpm = [31.7]", "31.7", "300 to 8000 rpm", "Hz? 1902 rpm"),
    Slip(MODEL, "range_rpm = [750, 2600]", "range_rpm = [750, 24000]", "24000", "300 to 8000 rpm", "ten? 2400"),
    Slip(MODEL, "steady_rpm = [1900]", "steady_rpm = [1900]\nhz = [1901]", "1901", "1 to 500"),
    Slip(MODEL, "per_rev = 4,", "per_rev = 40,", "40", "0.5 to 20", "ten? 4"),
    Slip(PVC, "shear_strength_mpa = 1.1", "shear_strength_mpa = 1.1\ncompressive_strength_mpa = 1400", "1400", "0.2 to 20 MPa", "kPa? 1.4 MPa"),
    Slip(PVC, "shear_strength_mpa = 1.1", "shear_strength_mpa = 1.1\ncompressive_strength_mpa = 14", "14", "0.003 to 0.03 of it", "one of the two?"),
    Slip(SUPPORT, "pressure_kpa = 12.0", "pressure_kpa = 12.0\ncarried_kg_m2 = 4000", "4000", "0 to 100 kg/m²"),
]  # fmt: skip
# What is told only with figures.
COMPUTED = [
    Slip(TANK, "plies = 2 },", "plies = 30 },", "[", "`structural_thickness_mm` of this single skin is", "plies of a line?"),
    Slip(MODEL, "mct_kg_m_per_cm = 98", "mct_kg_m_per_cm = 0.098", "0.098", "kg·m/cm at", "t·m/cm? 98"),
    Slip(MODEL, "mass_kg = 105", "mass_kg = 0.105", "0.105", "`fuel tank, empty`: `mass_kg` 0.105 kg: ordinarily 1 to", "t? 105 kg"),
    Slip(MODEL, "mass_kg = 820", "mass_kg = 820000", "820000", "(half the craft)"),
    Slip(SUPPORT, "ei_y_kn_m2_per_m_min = 3.0", "ei_y_kn_m2_per_m_min = 3000", "3000", "kN·m²/m computed: ordinarily"),
    Slip(SUPPORT, "outer_fibre_kg_m2_min = 1.3", "outer_fibre_kg_m2_min = 1300", "1300", "computed: ordinarily"),
    Slip(SUPPORT, "deflection_mm_max = 4.5", "deflection_mm_max = 0.45", "0.45", "mm computed: ordinarily", "cm? 4.5 mm"),
    Slip(AFT, "structural_thickness_mm_min = 9.0", "structural_thickness_mm_min = 0.9", "0.9", "computed", "cm? 9 mm"),
    Slip("records/2025/W-12SB4X.toml", "mass_kg = 383.0", "mass_kg = 0.383", "0.383", "deck of hull 011 weighed 0.383 kg net against", "t? 383 kg"),
    Slip("records/2025/W-12SB4X.toml", "mass_kg = 383.0", "mass_kg = 844.4", "844.4", "weighed 844.4 kg net", "lb? 383"),
    Slip("records/2025/W-12SB4X.toml", "mass_kg = 383.0", "mass_kg = 583.0", "583.0", "weighed 583 kg net", "the tare"),
]  # fmt: skip
WRITTEN = [
    *FIBRES,
    *RESINS,
    *FABRICS,
    *LAMINAS,
    *CORES,
    *LIQUIDS,
    *PRICE_LIST,
    *PARTS,
    *LAYERS,
    *ZONES,
    *CRAFT,
    *ADDED,
    *SHAFTS,
]


class Files(NamedTuple):
    ws: Workspace
    files: dict[str, bytes]
    parser: Parser


@pytest.fixture(scope="module")
def files(example: Path) -> Iterator[Files]:
    with open_workspace(example) as ws:
        yield Files(ws, dict(working(example, with_records=True)), Parser())


def read(files: Files, slip: Slip) -> Reading:
    text = files.files[slip.file].decode()
    assert slip.stood in text
    edited = {**files.files, slip.file: text.replace(slip.stood, slip.typed, 1).encode()}
    reading = assemble(parse(edited, files.parser), with_records=True, past_zones=files.ws.past_zones)
    assert reading.problems == ()
    return reading


def pointed(note: Problem) -> str:
    return note.excerpt[(note.column or 1) - 1 :][: note.length]


def named(slip: Slip) -> str:
    return f"{Path(slip.file).stem}-{slip.typed}".replace(" ", "")[:60]


def is_told(note: Problem, slip: Slip) -> bool:
    fits = slip.message in note.message and slip.hint in note.hint
    return fits and note.file == slip.file and pointed(note).startswith(slip.points_at)


@pytest.mark.parametrize("slip", WRITTEN, ids=named)
def test_a_slip_is_told_once_where_it_was_typed(files: Files, slip: Slip) -> None:
    reading = read(files, slip)
    notes = [note for note in reading.located(rules.notes(reading.snapshot)) if note.file == slip.file]
    assert len([note for note in notes if is_told(note, slip)]) == 1, notes
    assert len(notes) == 1, notes


@pytest.mark.parametrize("slip", COMPUTED, ids=named)
def test_a_slip_against_what_is_computed(files: Files, slip: Slip) -> None:
    notes = plausibility.notes(files.ws, read(files, slip))
    assert [note for note in notes if is_told(note, slip)] != [], notes


def test_the_table_is_about_a_hundred_keyboards() -> None:
    assert len({(slip.file, slip.typed) for slip in (*WRITTEN, *COMPUTED)}) >= 100


def test_the_example_and_the_starter_are_ordinary(files: Files) -> None:
    reading = files.ws.assembled(files.files, with_records=True)
    assert (reading.problems, plausibility.notes(files.ws, reading)) == ((), ())
    starter = {path: text for path, text in starting_files("boat") if path.endswith(".toml")}
    reading = files.ws.assembled(starter, with_records=True)
    assert (reading.problems, plausibility.notes(files.ws, reading)) == ((), ())


@pytest.fixture
def yard(tmp_path: Path) -> Yard:
    return Yard(GitRepo(copy_of_example(tmp_path / "yard"), tmp_path / "home"))


THICK = 'plausible = { thickness_mm = { value = 2.0, why = "for engraving, sanded to 1.2" } }'


def test_a_value_that_is_meant_is_asked_about_no_more_and_any_other_again(yard: Yard) -> None:
    yard.edit(SUPPORT, "thickness_mm = 0.6", "thickness_mm = 2.0")
    answer = yard("check")
    assert (answer.status, answer.out) == (0, "no problems\n")
    assert "note: models/pb98/deck/deck-support.toml:12:47: layer 1: `thickness_mm` 2 mm" in answer.err
    assert "plausible = {" in answer.err
    yard.edit(SUPPORT, "thickness_mm = 2.0", f"thickness_mm = 2.0, {THICK}")
    assert (yard("check", "--strict").status, yard.said[-1].err) == (0, "")
    yard.edit(SUPPORT, "thickness_mm = 2.0,", "thickness_mm = 2.5,")
    assert "`thickness_mm` 2.5 mm" in yard("check").err


def test_a_diff_in_words_shows_what_is_meant(yard: Yard) -> None:
    yard.edit(SUPPORT, "thickness_mm = 0.6", f"thickness_mm = 2.0, {THICK}")
    words = yard("git-textconv", str(yard.root / SUPPORT)).out
    assert "gelcoat-grey  2 mm  meant: thickness_mm 2.0 (for engraving, sanded to 1.2)" in words


def test_strict_makes_notes_problems_and_refuses_nothing_else(yard: Yard) -> None:
    yard.edit(SUPPORT, "thickness_mm = 0.6", "thickness_mm = 2.0")
    answer = yard("check", "--json")
    (note,) = answer.json["notes"]
    assert (answer.status, answer.json["problems"]) == (0, [])
    assert (note["file"], note["line"], note["column"]) == (SUPPORT, 12, 47)
    strict = yard("check", "--json", "--strict")
    assert (strict.status, strict.json["problems"], strict.json["notes"]) == (1, [note], [])
    assert "layer 1: `thickness_mm` 2 mm" in yard("check", "--strict").out
    assert yard("figures").status == 0


def test_places_and_fractions_are_meant_as_they_are_written(yard: Yard) -> None:
    yard.edit(SUPPORT, "5.10, 0.00,", "5.10, 18.0,")
    yard.edit(BIAX, "infusion = 0.69", "infusion = 0.31")
    assert len(yard("check", "--json").json["notes"]) == 2
    point = 'plausible = { centroid_m = { value = [5.10, 18.0, 1.34], why = "outrigger" } }'
    yard.edit(SUPPORT, 'name = "Deck support"', f'name = "Deck support"\n{point}')
    dry = 'plausible = { fibre_mass_fraction = { value = 0.31, why = "dry test of the line" } }'
    yard.edit(BIAX, 'kind = "reinforcement"', f'kind = "reinforcement"\n{dry}')
    assert yard("check", "--json").json["notes"] == []


def test_what_is_said_to_be_meant_of_no_key_is_told(yard: Yard) -> None:
    yard.edit(
        SUPPORT, "thickness_mm = 0.6", f"thickness_mm = 2.0, {THICK.replace('thickness_mm', 'thicknes_mm')}"
    )
    words = [note["message"] for note in yard("check", "--json").json["notes"]]
    assert any("`thicknes_mm`, which is no key of this table" in one for one in words)
    assert any("`thickness_mm` 2 mm" in one for one in words)


def test_what_follows_from_a_slip_that_is_told_is_not_told_again(yard: Yard) -> None:
    """A core ten times as thick puts every minimum of its zone far from the figures."""
    yard.edit(SUPPORT, "thickness_mm = 20", "thickness_mm = 200")
    (note,) = yard("check", "--json").json["notes"]
    assert "`thickness_mm` 200 mm" in note["message"]
    meant = 'plausible = { thickness_mm = { value = 200, why = "keel block" } }'
    yard.edit(SUPPORT, "thickness_mm = 200", f"thickness_mm = 200, {meant}")
    assert "far-minimum" in {note["code"] for note in yard("check", "--json").json["notes"]}


def test_a_copied_zone_is_told(yard: Yard) -> None:
    twin = yard.root / "models/pb98/deck/twin.toml"
    twin.write_bytes((yard.root / SIDE).read_bytes())
    notes = yard("check", "--json").json["notes"]
    assert [n["message"] for n in notes] == ["the same layup, size and centre as deck/side-deck"]


def test_plates_of_a_part_that_add_up_to_too_much(yard: Yard) -> None:
    for name, area in (("foredeck", "6.40"), ("side-deck", "6.80"), ("aft-deck", "8.20")):
        yard.edit(f"models/pb98/deck/{name}.toml", f"area_m2 = {area}", f"area_m2 = {9 * float(area):g}")
    (note,) = yard("check", "--json").json["notes"]
    assert "the plates of deck add up to 199 m²: ordinarily at most 188.16 m²" in note["message"]


def test_a_currency_that_is_not_known_asks_for_no_price(yard: Yard) -> None:
    text = (yard.root / PRICES).read_text().replace('"EUR"', '"JPY"').replace("per_kg = 4.1", "per_kg = 650")
    (yard.root / PRICES).write_text(text)
    assert yard("check", "--json").json["notes"] == []


def test_a_heavy_core_as_stiff_as_wood_is_ordinary(yard: Yard) -> None:
    plywood = """kind = "core"
source = "common practice, no source"
density_kg_m3 = 600
e_inplane_mpa = 6000
e_through_mpa = 600
g_mpa = 200
shear_strength_mpa = 4
surface_uptake_g_m2 = { hand-layup = 150 }
perforation_uptake_g_m2_mm = { hand-layup = 0 }
"""
    (yard.root / "materials/ply.toml").write_text(plywood)
    assert yard("check", "--json").json["notes"] == []
    (yard.root / "materials/ply.toml").write_text(plywood.replace("= 600\ne_in", "= 6000\ne_in"))
    (note,) = yard("check", "--json").json["notes"]
    assert "300 to 800 kg/m³ for wood" in note["message"]
