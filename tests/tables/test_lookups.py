"""Look-ups: published rows come back, and what a table does not hold is refused by name."""

from __future__ import annotations

import pytest

from handover.record.facts import WireSize
from handover.tables import box_lookups, lookups, raceway_lookups, reader, space_lookups
from handover.tables.reader import NoRow
from handover.units import magnitude, quantity


def awg(size: str) -> WireSize:
    return WireSize(size, "AWG")


def amps(value: float):
    return quantity(value, "ampere")


@pytest.mark.parametrize(
    ("device", "copper", "aluminum"),
    [(15, "14", "12"), (20, "12", "10"), (30, "10", "8"), (60, "10", "8"), (100, "8", "6"), (150, "6", "4"),
     (200, "6", "4"), (400, "3", "1")],
)  # fmt: skip
def test_ground_wire_by_breaker(device, copper, aluminum):
    """NEC Table 250.122, as printed in two public copies (an engineering reference and a trade newsletter)."""
    found = lookups.equipment_grounding_conductor
    assert found(amps(device), "copper", 2023).value == awg(copper)
    assert found(amps(device), "aluminum", 2023).value == awg(aluminum)


def test_ground_wire_one_row_on_and_past_the_table():
    """NEC Table 250.122: "not exceeding", so 61 A is read in the 100 A row; the table ends at 6000 A."""
    assert lookups.equipment_grounding_conductor(amps(61), "copper", 2023).value == awg("8")
    with pytest.raises(NoRow, match=r"Table 250\.122 has no row .* 6001 A"):
        lookups.equipment_grounding_conductor(amps(6001), "copper", 2023)


@pytest.mark.parametrize(
    ("phase", "metal", "expected"),
    [("2", "copper", "8"), ("1/0", "copper", "6"), ("2/0", "copper", "4"), ("4/0", "aluminum", "4"),
     ("4/0", "copper", "2")],
)  # fmt: skip
def test_grounding_electrode_conductor(phase, metal, expected):
    """NEC Table 250.66, as printed on a distributor's page; copper electrode conductor."""
    assert lookups.grounding_electrode_conductor(awg(phase), metal, "copper", 2023).value == awg(expected)


def test_grounding_electrode_conductor_at_the_ends_of_the_table():
    """NEC Table 250.66: over 3/0 through 350 kcmil is one row; over 1100 kcmil is the last."""
    at, over = WireSize("350", "kcmil"), WireSize("400", "kcmil")
    found = lookups.grounding_electrode_conductor
    assert found(at, "copper", "copper", 2023).value == awg("2")
    assert found(over, "copper", "copper", 2023).value == awg("1/0")
    assert found(WireSize("1250", "kcmil"), "copper", "copper", 2023).value == awg("3/0")


def test_rod_and_concrete_caps():
    """NEC 250.66(A) 6 AWG and (B) 4 AWG copper, on study pages and an inspectors' forum."""
    assert lookups.electrode_conductor_cap("rod, pipe or plate", "copper", 2023).value == awg("6")
    assert lookups.electrode_conductor_cap("concrete-encased electrode", "copper", 2023).value == awg("4")
    with pytest.raises(NoRow):
        lookups.electrode_conductor_cap("concrete-encased electrode", "aluminum", 2023)


def test_dwelling_service_of_200_amperes():
    """A code educator's example to the 83 percent rule: 200 A needs 166 A, 2/0 copper with 175 A at 75 °C."""
    size = lookups.dwelling_service_size(amps(200), "copper", 2023).value
    assert size == awg("2/0")
    assert magnitude(lookups.ampacity(size, "copper", 75, 2023).value, "ampere") == 175
    with pytest.raises(NoRow, match="no row for 201 A"):
        lookups.dwelling_service_size(amps(201), "copper", 2023)


@pytest.mark.parametrize(
    ("location", "column", "inches"),
    [
        ("all locations not listed below", "1", 24),
        ("all locations not listed below", "2", 6),
        ("all locations not listed below", "3", 18),
        ("all locations not listed below", "4", 12),
        ("under a driveway of this dwelling", "1", 18),
        ("under a driveway of this dwelling", "3", 18),
        ("under a driveway of this dwelling", "4", 12),
        ("under a street, road or shared driveway", "2", 24),
    ],
)
def test_cover(location, column, inches):
    """NEC Table 300.5 on a code library's page; a trade magazine gives 18 in for plastic conduit too."""
    found = raceway_lookups.cover(location, column, 2023)
    assert magnitude(found.value, "inch") == inches
    assert found.source == f"NEC Table 300.5(A), {location}, column {column}"


def test_ampacity_names_the_table_of_the_edition_and_refuses_an_empty_cell():
    """NEC Table 310.16: 6 AWG copper 65 A at 75 °C; no aluminum below 12 AWG."""
    found = lookups.ampacity(awg("6"), "copper", 75, 2017)
    assert magnitude(found.value, "ampere") == 65
    assert found.source == "NEC Table 310.15(B)(16), 6 AWG copper, 75 °C"
    with pytest.raises(NoRow, match="gives no value for 14 AWG aluminum"):
        lookups.ampacity(awg("14"), "aluminum", 75, 2023)
    with pytest.raises(NoRow, match="no row for 5 AWG"):
        lookups.ampacity(awg("5"), "copper", 75, 2023)


def test_ambient_factor_has_steps_and_an_end():
    """NEC Table 310.15(B)(1): 120 °F is 48.9 °C, factor 0.82 in the 90 °C column (an education provider's article)."""
    fahrenheit = quantity(120, "degree_Fahrenheit")
    assert lookups.ambient_factor(fahrenheit, 90, 2023).value == 0.82
    assert lookups.ambient_factor(quantity(30, "degree_Celsius"), 75, 2023).value == 1.0
    assert lookups.ambient_factor(quantity(30.1, "degree_Celsius"), 75, 2023).value == 0.94
    with pytest.raises(NoRow, match=r"56 to 60 °C in the 60 °C column"):
        lookups.ambient_factor(quantity(60, "degree_Celsius"), 60, 2023)
    with pytest.raises(NoRow, match="no row for 86 °C"):
        lookups.ambient_factor(quantity(86, "degree_Celsius"), 90, 2023)


@pytest.mark.parametrize(("count", "percent"), [(3, 100), (4, 80), (6, 80), (7, 70), (9, 70), (10, 50), (41, 35)])
def test_bundling(count, percent):
    """NEC Table 310.15(C)(1), on a handout that copies the 2014 table."""
    assert magnitude(lookups.bundling_percent(count, 2023).value, "percent") == percent


def test_bundling_of_nothing_is_refused():
    with pytest.raises(NoRow):
        lookups.bundling_percent(0, 2023)


def test_standard_ratings_by_edition():
    """NEC Table 240.6(A): a 10 A breaker stands there from 2023 on; 65 A never."""
    assert not lookups.is_standard(amps(10), 2020).value
    assert lookups.is_standard(amps(10), 2020, fuse=True).value
    assert lookups.is_standard(amps(10), 2023).value
    assert not lookups.is_standard(amps(65), 2023).value
    assert magnitude(lookups.next_up(amps(65), 2023).value, "ampere") == 70
    assert magnitude(lookups.next_up(amps(70), 2023).value, "ampere") == 70
    assert magnitude(lookups.next_down(amps(54), 2023).value, "ampere") == 50
    with pytest.raises(NoRow):
        lookups.next_up(amps(6001), 2023)


def test_small_conductor_limits():
    """NEC 240.4(D): 12 AWG copper 20 A, 10 AWG aluminum 25 A; 8 AWG is not named; 14 AWG copper-clad from 2023."""
    limit = lookups.small_conductor_limit(awg("12"), "copper", 2023)
    assert limit is not None
    assert magnitude(limit.value.device, "ampere") == 20
    aluminum = lookups.small_conductor_limit(awg("10"), "aluminum", 2023)
    assert aluminum is not None
    assert magnitude(aluminum.value.device, "ampere") == 25
    assert lookups.small_conductor_limit(awg("8"), "copper", 2023) is None
    clad = lookups.small_conductor_limit(awg("14"), "copper-clad aluminum", 2023)
    assert clad is not None
    assert "8 A" in clad.value.condition
    with pytest.raises(NoRow):
        lookups.small_conductor_limit(awg("14"), "copper-clad aluminum", 2020)


def test_wires_per_conduit_from_published_areas():
    """A code forum's exam question: 26 conductors of 12 AWG THHN in 1 in EMT, 0.346 / 0.0133 = 26.0."""
    allowed = magnitude(raceway_lookups.raceway_area("EMT", "1", "over two", 2023).value, "square_inch")
    each = magnitude(lookups.conductor_area(awg("12"), "THHN", 2023).value, "square_inch")
    assert (allowed, each) == (0.346, 0.0133)
    assert int(allowed / each) == 26


def test_insulation_markings_find_their_family():
    """NEC Chapter 9 Table 5: 4 AWG THWN-2 has 0.0824 in² (a data set built on NEC 2023 states it too)."""
    found = lookups.conductor_area
    assert magnitude(found(awg("4"), "THWN-2", 2023).value, "square_inch") == 0.0824
    assert found(awg("4"), "THHN/THWN-2", 2023) == found(awg("4"), "thwn-2", 2023)
    assert "XHHW" in found(awg("4"), "XHHW-2", 2023).source
    assert "Table 8, 10 AWG stranded, bare" in found(awg("10"), "bare", 2023).source
    with pytest.raises(NoRow, match="insulation"):
        found(awg("4"), "paper", 2023)


def test_insulation_ratings():
    """From memory of NEC Table 310.4(1): THHN 90 °C and for dry places only, THWN-2 90 °C in wet ones too."""
    both = lookups.insulation("THHN/THWN-2", 2023).value
    assert (both.dry, both.wet) == (90, 90)
    assert lookups.insulation("THHN", 2023).value.wet is None
    assert lookups.insulation("XHHW", 2023).value.wet == 75


def test_resistance_and_circular_mils():
    """NEC Chapter 9 Table 8: 12 AWG stranded copper 1.98 Ω per 1000 ft and 6530 cmil (an exam study guide)."""
    assert magnitude(lookups.dc_resistance(awg("12"), "copper", 2023).value, "ohm") == 1.98
    assert magnitude(lookups.circular_mils(awg("12"), 2023).value, "circular_mil") == 6530
    assert lookups.size_for_circular_mils(quantity(58436, "circular_mil"), 2023).value == awg("2")
    with pytest.raises(NoRow, match="no solid row"):
        lookups.dc_resistance(awg("6"), "copper", 2023, stranded=False)


def test_supports_come_general_first_and_by_size():
    """NEC Table 352.30: 3 ft to 1 in, 5 ft from 1-1/4 to 2 in; 358.30: 10 ft and 36 in for EMT."""
    small, large = (raceway_lookups.supports("PVC schedule 40", size, 2023)[0].value for size in ("1", "1-1/4"))
    assert (magnitude(small.spacing, "foot"), magnitude(large.spacing, "foot")) == (3, 5)
    rows = raceway_lookups.supports("EMT", "3/4", 2023)
    assert [row.value.condition == "general" for row in rows] == [True, False]
    with pytest.raises(NoRow, match="EMT 5 in"):
        raceway_lookups.supports("EMT", "5", 2023)
    with pytest.raises(NoRow, match="USE-2"):
        raceway_lookups.supports("USE-2", None, 2023)


def test_raceway_look_ups_refuse_what_is_not_there():
    with pytest.raises(NoRow, match="ENT 4 in"):
        raceway_lookups.raceway_area("ENT", "4", "one", 2023)
    with pytest.raises(NoRow):
        raceway_lookups.bend_limit("NM-B", 2023)
    with pytest.raises(NoRow):
        raceway_lookups.cover("on the moon", "1", 2023)
    with pytest.raises(NoRow):
        raceway_lookups.loose_end("EMT", "1", 2023)


@pytest.mark.parametrize(
    ("method", "inches", "times"),
    [("NM-B", 0.5, [5]), ("UF-B", 0.5, [5]), ("SE", 1.0, [5]), ("USE-2", 1.0, [5]), ("AC", 0.6, [5]),
     ("MC", 0.75, [7, 10]), ("MC", 0.76, [7, 12]), ("MC", 1.51, [7, 15])],
)  # fmt: skip
def test_cable_bends(method, inches, times):
    """NEC 334.24, 340.24, 338.24, 320.24, 330.24; trade press, UF and smooth sheaths over 3/4 in from memory."""
    rows = raceway_lookups.cable_bends(method, quantity(inches, "inch"), 2023)
    assert [row.value.multiple for row in rows] == times


def test_allowances_that_an_edition_did_not_ask_for_yet():
    """NEC 314.16(B): the quarter for ground wires beyond four came in 2020, terminal blocks in 2023 (trade press)."""
    held = {
        (item, edition): box_lookups.allowance_multiple(item, edition) is not None
        for item in ("equipment_grounding_each_over_four", "terminal_block_assembly", "internal_clamps")
        for edition in (2017, 2020, 2023)
    }
    assert [edition for (item, edition), there in held.items() if there and "four" in item] == [2020, 2023]
    assert [edition for (item, edition), there in held.items() if there and "block" in item] == [2023]
    assert [edition for (item, edition), there in held.items() if there and "clamps" in item] == [2017, 2020, 2023]


def test_inside_dimensions_and_what_is_not_held():
    """NEC Chapter 9 Table 4: 1/2 in EMT 0.622 in and 0.304 in²."""
    assert magnitude(raceway_lookups.raceway_diameter("EMT", "1/2", 2023).value, "inch") == 0.622
    assert magnitude(raceway_lookups.raceway_inside("EMT", "1/2", 2023).value, "square_inch") == 0.304
    for found in (raceway_lookups.raceway_diameter, raceway_lookups.raceway_inside):
        with pytest.raises(NoRow, match="LFNC-A 1-1/4 in"):
            found("LFNC-A", "1-1/4", 2023)
    with pytest.raises(NoRow, match="no row for THHN"):
        raceway_lookups.cable_bends("THHN", quantity(1, "inch"), 2023)


@pytest.mark.parametrize(
    ("current", "up", "down"),
    [(15, 15, 15), (15.5, 20, 15), (16, 20, 15), (20, 20, 20), (20.1, 25, 20), (24.9, 25, 20), (44, 45, 40),
     (799, 800, 700), (800, 800, 800), (5999, 6000, 5000)],
)  # fmt: skip
def test_standard_ratings_up_and_down(current, up, down):
    """NEC 240.6(A): the rating itself where it is one; else its neighbours."""
    assert magnitude(lookups.next_up(amps(current), 2023).value, "ampere") == up
    assert magnitude(lookups.next_down(amps(current), 2023).value, "ampere") == down


def test_what_is_beyond_the_standard_ratings():
    """NEC 240.6(A): no standard rating above 6000 A; 10 A is one of breakers from 2023 on."""
    with pytest.raises(NoRow, match="as high as 6001 A"):
        lookups.next_up(amps(6001), 2023)
    with pytest.raises(NoRow, match="as low as 9 A"):
        lookups.next_down(amps(9), 2023)
    assert [lookups.is_standard(amps(20), each).value for each in (2017, 2020, 2023)] == [True] * 3
    assert not lookups.is_standard(amps(20.5), 2023).value
    assert not lookups.is_standard(amps(21), 2023).value
    assert [lookups.is_standard(amps(601), 2023, fuse=each).value for each in (False, True)] == [False, True]


def test_rows_hold_up_to_their_figure_and_not_beyond():
    """NEC Tables 250.122, "not exceeding", and 310.12, the rating itself."""
    for device, copper in ((15, "14"), (15.5, "12"), (20, "12"), (20.5, "10"), (60, "10"), (60.5, "8")):
        assert lookups.equipment_grounding_conductor(amps(device), "copper", 2023).value == awg(copper)
    for rating in (199.5, 200.5):
        with pytest.raises(NoRow):
            lookups.dwelling_service_size(amps(rating), "copper", 2023)


def test_a_size_that_has_just_so_many_circular_mils():
    """NEC Chapter 9 Table 8: 8 AWG has 16510 cmil."""
    at, above = quantity(16510, "circular_mil"), quantity(16511, "circular_mil")
    assert lookups.size_for_circular_mils(at, 2023).value == awg("8")
    assert lookups.size_for_circular_mils(above, 2023).value == awg("6")
    with pytest.raises(NoRow):
        lookups.size_for_circular_mils(quantity(2_000_001, "circular_mil"), 2023)


def test_what_an_insulation_is_called_in_the_working():
    assert str(lookups.insulation("THHN", 2023).value) == "90 °C dry, not for wet places"
    assert str(lookups.insulation("THHN/THWN-2", 2023).value) == "90 °C dry, 90 °C wet"
    assert str(lookups.insulation("XHHW", 2023).value) == "90 °C dry, 75 °C wet"
    assert str(lookups.insulation("TW", 2023).value) == "60 °C dry, 60 °C wet"
    with pytest.raises(NoRow):
        lookups.insulation("COTTON", 2023)


@pytest.mark.parametrize("edition", [2017, 2020, 2023])
def test_every_source_names_the_edition_s_own_table(edition):
    """NEC ampacities stand in Table 310.15(B)(16) in 2017 and in Table 310.16 later."""
    found = lookups.ampacity(awg("8"), "copper", 75, edition)
    assert ("310.15(B)(16)" in found.source) == (edition == 2017)
    assert magnitude(found.value, "ampere") == 50


def test_a_table_is_read_once_and_cited_by_its_title():
    table = reader.read_table("small_conductor_240_4_D")
    assert reader.read_table("small_conductor_240_4_D") is table
    assert lookups.standard_ratings(2023) is lookups.standard_ratings(2023)
    assert isinstance(table.title, str)
    with pytest.raises(NoRow) as refused:
        table.cited(1999)
    assert str(refused.value).startswith(f"{table.title}: whether the 1999 edition prints the same")


def test_working_space_is_read_to_150_volts_to_ground():
    """NEC Table 110.26(A)(1): 3 ft from 0 to 150 V to ground, whatever stands opposite."""
    for volts in (0, 120, 149, 150):
        assert magnitude(space_lookups.least_working_depth(quantity(volts, "volt"), 2023).value, "foot") == 3
    for volts in (151, 277):
        with pytest.raises(NoRow, match="only up to 150 V"):
            space_lookups.least_working_depth(quantity(volts, "volt"), 2023)


@pytest.mark.parametrize(("wide", "least"), [(20, 30), (29, 30), (30, 30), (31, 31), (42, 42)])
def test_working_width_is_the_equipment_s_where_that_is_more(wide, least):
    """NEC 110.26(A)(2): 30 in, or the width of the equipment."""
    assert magnitude(space_lookups.least_working_width(quantity(wide, "inch"), 2023).value, "inch") == least


def test_bends_from_memory_say_so_and_others_do_not():
    """NEC 334.24 and 338.24 were seen quoted; 340.24 is from memory."""
    told = {
        kind: raceway_lookups.cable_bends(kind, quantity(0.5, "inch"), 2023)[0].source
        for kind in ("NM-B", "SE", "UF-B")
    }
    assert {kind: "from memory" in source for kind, source in told.items()} == {
        "NM-B": False,
        "SE": False,
        "UF-B": True,
    }
