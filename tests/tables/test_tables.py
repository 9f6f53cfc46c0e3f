"""Every table says where it is from, and its numbers keep to relations that have nothing to do with their entry."""

from __future__ import annotations

import math
from itertools import pairwise
from pathlib import Path

import pytest

import handover.tables
from handover.record.facts import WireSize
from handover.tables.reader import NoRow, Table, read_table
from handover.units import read_number

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
    rows = [row for row in read_table("raceway_dimensions_ch9_t4").rows if row["raceway"] != "LFNC-A"]
    assert len(rows) == 91
    for row in rows:
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


def test_of_lfnc_a_one_cell_is_held_and_it_fits_its_neighbours():
    """Geometry: 0.601 in² at 40 % (a data set built on NEC 2023) is a pipe of 1.383 in, between 1 and 1-1/2 in."""
    rows = [row for row in read_table("raceway_dimensions_ch9_t4").rows if row["raceway"] == "LFNC-A"]
    (row,) = rows
    held = {key: value for key, value in row.items() if key.endswith("_in2") and value}
    assert held == {"over_two_wires_40pct_in2": "0.601"}
    diameter = math.sqrt(float(held["over_two_wires_40pct_in2"]) / 0.4 * 4 / math.pi)
    assert 1.054 < diameter < 1.588
    assert diameter == pytest.approx(1.25, rel=0.15)


def test_rigid_areas_rise_with_the_trade_size_and_schedule_80_has_less_room():
    """Geometry: a larger pipe holds more; the thicker wall of the same outside diameter leaves less."""
    by_kind: dict[str, dict[str, float]] = {}
    for row in read_table("raceway_dimensions_ch9_t4").rows:
        if row["total_area_in2"]:
            by_kind.setdefault(row["raceway"], {})[row["trade_size"]] = float(row["total_area_in2"])
    for areas in by_kind.values():
        ordered = [areas[size] for size in sorted(areas, key=read_number)]
        assert all(low < high for low, high in pairwise(ordered))
    forty, eighty = by_kind["PVC schedule 40"], by_kind["PVC schedule 80"]
    assert forty.keys() == eighty.keys()
    assert all(eighty[size] < forty[size] for size in forty)


def test_bend_radii_rise_and_are_at_least_six_times_the_trade_size():
    """Chapter 9 Table 2 keeps to the old rule of six times the inside diameter: exactly from 2 in on, more below."""
    rows = read_table("raceway_bend_radius_ch9_t2").rows
    for key in ("one_shot_and_full_shoe_in", "other_bends_in"):
        radii = [float(row[key]) for row in rows]
        assert all(low <= high for low, high in pairwise(radii))
    for row in rows:
        trade, other = read_number(row["trade_size"]), float(row["other_bends_in"])
        assert float(row["one_shot_and_full_shoe_in"]) <= other
        assert other == 6 * trade if trade >= 2 else other >= 6 * trade


def test_cover_never_rises_with_the_better_method():
    """Common sense of Table 300.5: metal conduit asks no more than plastic, plastic no more than cable in the earth."""
    rows = {row["location"]: row for row in read_table("burial_cover_300_5").rows}
    assert len(rows) == 6
    for row in rows.values():
        cable, metal, plastic, small = (float(row[column]) for column in "1234")
        assert metal <= plastic <= cable
        assert small <= cable
    general, concrete = rows["all locations not listed below"], rows["under 2 in of concrete in the trench"]
    assert all(float(concrete[column]) <= float(general[column]) for column in "12345")


def test_ground_wires_rise_with_the_device_and_aluminum_is_the_larger():
    """Physics: aluminum has 61 % of copper's conductivity, so 1.6 times the area does: 1.4 to 1.8 in sizes."""
    area = {
        (row["size"], row["unit"]): float(row["circular_mils"])
        for row in read_table("conductor_properties_ch9_t8").rows
    }
    rows = read_table("equipment_grounding_250_122").rows
    for metal in ("copper", "aluminum"):
        areas = [area[key] for row in rows if (key := (row[metal], row[f"{metal}_unit"])) in area]
        assert len(areas) >= 15
        assert all(low <= high for low, high in pairwise(areas))
    for row in rows:
        copper, aluminum = ((row[metal], row[f"{metal}_unit"]) for metal in ("copper", "aluminum"))
        if float(row["ocpd_not_exceeding_a"]) <= 2000:
            assert 1.4 <= area[aluminum] / area[copper] <= 1.8, row


def test_electrode_conductors_rise_and_the_rows_leave_no_gap():
    """Each row of Table 250.66 begins where the one before ends; the conductor of the next row is larger."""

    def order(text: str) -> float:
        size, unit = text.split()
        return WireSize(size, "kcmil" if unit == "kcmil" else "AWG").order

    rows = read_table("grounding_electrode_250_66").rows
    sizes = [size for row in read_table("ampacity_310_16").rows for size in (f"{row['size']} {row['unit']}",)]
    sizes += ["1100 kcmil", "1750 kcmil"]
    for metal in ("cu", "al"):
        assert all(order(low[f"gec_{metal}"]) < order(high[f"gec_{metal}"]) for low, high in pairwise(rows))
        for low, high in pairwise(rows):
            end, begin = order(low[f"{metal}_phase_to"]), order(high[f"{metal}_phase_from"])
            between = [size for size in sizes if end < order(size) < begin]
            assert between == [], (low["row"], metal)


def test_plastic_pipe_is_held_further_apart_the_larger_it_is():
    """Stiffness: supports of Table 352.30 rise with the trade size, without a gap from 1/2 to 6 in."""
    rows = [
        row
        for row in read_table("raceway_support").rows
        if row["methods"].startswith("PVC") and row["condition"] == "general"
    ]
    spacings = [float(row["max_support_spacing_ft"]) for row in rows]
    assert spacings == sorted(spacings)
    assert len(set(spacings)) == len(spacings)
    assert [row["trade_size_min"] for row in rows] == ["1/2", "1-1/4", "2-1/2", "3-1/2", "6"]


def test_a_smooth_sheath_is_bent_wider_the_thicker_it_is():
    """330.24(A): 10, 12 and 15 times; armor with rings, made to bend, 7 times; other cables 5 times."""
    times = {
        row["cable"]: float(row["min_radius_multiple_of_diameter"]) for row in read_table("cable_bend_radius").rows
    }
    smooth = [value for cable, value in times.items() if "smooth" in cable]
    assert smooth == sorted(smooth)
    assert times["MC interlocked or corrugated armor"] < min(smooth)
    assert {times[cable] for cable in ("NM, NMC", "UF", "SE, USE", "AC")} == {5}


def test_allowances_in_boxes_rise_with_the_conductor():
    """A thicker wire needs more room: rows run from 18 to 6 AWG."""
    rows = [row for row in read_table("conductor_volume_314_16_B").rows if row["item"] == "conductor"]
    volumes = [float(row["volume_in3_or_multiple"]) for row in rows]
    assert all(low < high for low, high in pairwise(volumes))


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
