"""Every table says where it is from, and its numbers keep to relations that have nothing to do with their entry."""

from __future__ import annotations

import math
from itertools import pairwise
from pathlib import Path

import pytest

import handover.tables
from handover.tables.reader import NoRow, Table, read_table

NAMES = sorted(path.stem for path in Path(handover.tables.__file__).parent.glob("*.csv"))


def half_a_unit(printed: str) -> float:
    """Half of the last printed digit."""
    decimals = len(printed.partition(".")[2])
    return 0.5 * 10**-decimals


def test_there_are_tables():
    assert len(NAMES) >= 20


@pytest.mark.parametrize("name", NAMES)
def test_every_table_has_its_headings_and_rows(name):
    table = read_table(name)
    assert table.rows
    assert all(None not in row and None not in row.values() for row in table.rows), "a row is longer or shorter"
    for edition in (2017, 2020, 2023):
        assert "not confirmed" not in table.cited(edition)


def test_a_table_is_not_read_for_an_edition_that_it_does_not_name():
    with pytest.raises(NoRow, match="2026 edition prints the same is not confirmed"):
        read_table("ampacity_310_16").cited(2026)


def test_a_table_is_cited_by_the_number_of_the_edition():
    """The renumbering of 2020: Table 310.15(B)(16) became 310.16."""
    table = read_table("ampacity_310_16")
    assert (table.cited(2017), table.cited(2023)) == ("NEC Table 310.15(B)(16)", "NEC Table 310.16")


def test_areas_of_insulated_conductors_follow_from_their_diameter():
    """Geometry: area = π d² / 4, within the rounding of both printed figures."""
    for row in read_table("insulated_conductor_ch9_t5").rows:
        diameter, area = float(row["approx_diameter_in"]), float(row["approx_area_in2"])
        slack = half_a_unit(row["approx_area_in2"]) + math.pi / 2 * diameter * half_a_unit(row["approx_diameter_in"])
        assert abs(area - math.pi * diameter**2 / 4) <= slack, row


def test_raceway_areas_follow_from_the_inside_diameter_and_the_percentages():
    """Geometry, and the percentages of Chapter 9 Table 1."""
    shares = {"total_area_in2": 1.0, "nipple_60pct_in2": 0.60, "one_wire_53pct_in2": 0.53,
              "two_wires_31pct_in2": 0.31, "over_two_wires_40pct_in2": 0.40}  # fmt: skip
    for row in read_table("raceway_dimensions_ch9_t4").rows:
        diameter = float(row["internal_diameter_in"])
        for key, share in shares.items():
            slack = 0.0006 + share * math.pi / 2 * diameter * 0.0005
            assert abs(float(row[key]) - share * math.pi * diameter**2 / 4) <= slack, (row, key)


def test_ambient_factors_follow_the_square_root_relation():
    """NEC 310.15(B), equation: √((Tc - Ta) / (Tc - 30)), at the warm end of each row."""
    for row in read_table("ambient_correction_310_15_B1").rows:
        ambient = float(row["ambient_max_c"])
        for column in (60, 75, 90):
            printed = row[f"factor_{column}c"]
            if printed:
                assert float(printed) == pytest.approx(math.sqrt((column - ambient) / (column - 30)), abs=0.0051)
            else:
                assert ambient >= column


@pytest.mark.parametrize(
    ("column", "construction", "low", "high"),
    [
        ("cu_uncoated_ohm_per_kft_75c", "solid", 12.5, 12.7),
        ("cu_uncoated_ohm_per_kft_75c", "stranded", 12.8, 13.0),
        ("al_ohm_per_kft_75c", "solid", 20.6, 20.9),
        ("al_ohm_per_kft_75c", "stranded", 21.0, 21.4),
    ],
)
def test_resistance_times_area_is_the_metals_own(column, construction, low, high):
    """Physics: ρ = R × A is one number for each metal and stranding; about 12.9 Ω·cmil/ft for copper at 75 °C."""
    for row in read_table("conductor_properties_ch9_t8").rows:
        if row["construction"] == construction:
            assert low <= float(row[column]) * float(row["circular_mils"]) / 1000 <= high, row


def test_effective_impedance_follows_from_resistance_and_reactance():
    """NEC Chapter 9 Table 9, note 2: Z = R cos θ + X sin θ, at 0.85, within the rounding of the three figures."""
    sine = math.sqrt(1 - 0.85**2)
    for row in read_table("ac_impedance_ch9_t9").rows:
        for metal in ("cu", "al"):
            for conduit in ("pvc", "al_conduit", "steel"):
                r, z = row[f"r_{metal}_{conduit}"], row[f"z85_{metal}_{conduit}"]
                x = row["xl_steel_conduit" if conduit == "steel" else "xl_pvc_or_al_conduit"]
                if not r:
                    continue
                slack = half_a_unit(z) + 0.85 * half_a_unit(r) + sine * half_a_unit(x)
                assert abs(float(z) - 0.85 * float(r) - sine * float(x)) <= slack + 1e-9, (row["size"], metal, conduit)


def test_ampacity_rises_with_size_and_column_and_copper_is_above_aluminum():
    rows = read_table("ampacity_310_16").rows
    for row in rows:
        for metal in ("cu", "al"):
            cells = [row[f"{metal}_{column}c_a"] for column in (60, 75, 90)]
            if all(cells):
                assert all(int(low) < int(high) for low, high in pairwise(cells))
        for column in (60, 75, 90):
            if row[f"al_{column}c_a"]:
                assert int(row[f"cu_{column}c_a"]) > int(row[f"al_{column}c_a"])
    for metal in ("cu", "al"):
        for column in (60, 75, 90):
            cells = [int(row[f"{metal}_{column}c_a"]) for row in rows if row[f"{metal}_{column}c_a"]]
            assert all(low < high for low, high in pairwise(cells))


def test_dwelling_sizes_have_at_least_83_percent_of_the_rating_at_75_degrees():
    """NEC 310.12(A) and (B): not less than 83 percent of the rating; ampacities of Table 310.16, 75 °C."""
    amps = {(r["size"], m): r[f"{m}_75c_a"] for r in read_table("ampacity_310_16").rows for m in ("cu", "al")}
    for row in read_table("dwelling_service_310_12").rows:
        for metal, short in (("copper", "cu"), ("aluminum", "al")):
            assert float(amps[row[metal], short]) >= 0.83 * float(row["service_or_feeder_rating_a"]), row


def test_plastic_pipe_growth_is_the_coefficient_times_change_and_length():
    """NEC Table 352.44: 3.38e-5 in per in and °F, over 100 ft, printed to two decimals."""
    for row in read_table("pvc_expansion_352_44").rows:
        grown = 3.38e-5 * float(row["temperature_change_f"]) * 1200
        assert float(row["length_change_in_per_100ft"]) == pytest.approx(grown, abs=0.0051)


def test_box_counts_are_volume_over_allowance_rounded_down():
    """NEC 314.16(A) and (B): the counts of the table follow from the allowance for each size."""
    allowance = {
        row["size_awg"]: float(row["volume_in3_or_multiple"])
        for row in read_table("conductor_volume_314_16_B").rows
        if row["item"] == "conductor"
    }
    for row in read_table("box_volume_314_16_A").rows:
        for size, each in allowance.items():
            assert int(row[f"max_{size}awg"]) == int(float(row["min_volume_in3"]) / each + 1e-9), (row, size)


@pytest.mark.parametrize(
    ("name", "column"),
    [
        ("equipment_grounding_250_122", "ocpd_not_exceeding_a"),
        ("bundling_adjustment_310_15_C1", "conductors_min"),
        ("conductor_properties_ch9_t8", "circular_mils"),
        ("dwelling_service_310_12", "service_or_feeder_rating_a"),
    ],
)
def test_rows_that_are_searched_in_order_rise(name: str, column: str):
    table: Table = read_table(name)
    values = [float(row[column]) for row in table.rows]
    assert values == sorted(values)


def test_loads_with_a_plug_are_80_percent_of_the_receptacle():
    """NEC 210.23(A)(1), from memory: no more than 80 % of the rating."""
    rows = read_table("cord_and_plug_load_210_21_B2").rows
    assert [(float(row["load_a"]), float(row["receptacle_a"]) * 0.8) for row in rows] == [
        (load, load) for load in (12.0, 12.0, 16.0, 24.0)
    ]


def test_receptacles_on_a_shared_circuit_are_of_its_rating_or_the_nearest_made():
    """No receptacle of 40 A is common, so 50 A is let by there; a 20 A circuit takes 15 A ones: never below else."""
    for row in read_table("receptacle_rating_210_21_B3").rows:
        ratings = [float(each) for each in row["receptacles_a"].split("; ")]
        assert float(row["circuit_a"]) in ratings
        assert all(each >= float(row["circuit_a"]) for each in ratings) or row["circuit_a"] == "20"
