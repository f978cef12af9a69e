"""Coolant and air against the check values beside this file; each row's `mark` says where its number comes from."""

import csv
import json
from pathlib import Path

import pytest

from headrace.fluids import air
from headrace.fluids.air import Air
from headrace.fluids.coolant import Coolant, glycol_mass, glycol_volume, water

BASES = {"PG": "propylene glycol", "EG": "ethylene glycol"}


def rows(name):
    with (Path(__file__).parent / name).open(encoding="utf-8") as file:
        table = list(csv.DictReader(file))
    return [pytest.param(row, id=row["id"]) for row in table]


def close(row, value):
    expected = float(row["value"])
    return abs(value - expected) <= max(float(row["rel_tol"]) * abs(expected), float(row["abs_tol"]))


def liquid(given):
    return water() if given["fluid"] == "water" else glycol_mass(BASES[given["fluid"]], given["mass_fraction"])


COOLANT = {
    "density": Coolant.density_kg_m3,
    "cp": Coolant.heat_capacity_j_kg_k,
    "dynamic_viscosity": Coolant.viscosity_pa_s,
    "conductivity": Coolant.conductivity_w_m_k,
    "Prandtl": Coolant.prandtl,
}


def coolant_value(quantity, given):
    if quantity == "expansion_coeff":
        return liquid(given).expansion_frac(given["T_C"] + 272.65, given["T_C"] + 273.65)
    if quantity == "freezing_point":
        return liquid(given).freezing_temp_k - 273.15
    if quantity == "mass_fraction_from_volume_fraction":
        return glycol_volume(BASES[given["fluid"]], given["volume_fraction"]).mass_frac
    return COOLANT[quantity](liquid(given), given["T_K"] if "T_K" in given else given["T_C"] + 273.15)


AIR = {
    "pressure": lambda g: air.pressure_pa(g["altitude_m"]),
    "air_density_at_25C": lambda g: Air.at(g["altitude_m"], 0.0).density_kg_m3(298.15),
    "air_density": lambda g: Air(g["p_Pa"], 0.0).density_kg_m3(g["T_C"] + 273.15),
    "air_viscosity": lambda g: Air(101325.0, 0.0).viscosity_pa_s(g["T_C"] + 273.15),
    "air_conductivity": lambda g: Air(101325.0, 0.0).conductivity_w_m_k(g["T_C"] + 273.15),
    "dew_point": lambda g: air.dew_point_k(g["T_C"] + 273.15, g["RH_pct"] / 100.0) - 273.15,
}


@pytest.mark.parametrize("row", rows("coolant.csv"))
def test_coolant(row):
    assert close(row, coolant_value(row["quantity"], json.loads(row["inputs"])))


@pytest.mark.parametrize("row", rows("air.csv"))
def test_air(row):
    assert close(row, AIR[row["quantity"]](json.loads(row["inputs"])))
