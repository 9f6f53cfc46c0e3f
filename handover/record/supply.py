"""The record's supply side: service, panelboards with every space, other sources, transfer equipment."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BeforeValidator

from handover.problems import NOWHERE
from handover.record.facts import (
    NOT_RECORDED,
    Amperes,
    Area,
    Code,
    Date,
    Fact,
    Feet,
    Inches,
    Neutral,
    Owner,
    Part,
    Percent,
    Posted,
    Power,
    Text,
    Volts,
    Whole,
    Wire,
    Words,
    YesNo,
)
from handover.record.marked import MarkedDict

Work = Literal["new", "changed", "existing"]
"""Whether a thing is of this job, was altered by it, or was there before and only seen."""
Material = Literal["copper", "aluminum", "copper-clad aluminum"]


class Electrode(Part):
    """One grounding electrode, and the conductor that goes to it."""

    kind: Posted[
        Literal["ground rod", "metal water pipe", "concrete-encased", "ground ring", "plate", "metal in-ground support"]
    ]
    work: Posted[Work] = "existing"
    length: Posted[Fact[Feet]] = NOT_RECORDED
    spacing: Posted[Fact[Feet]] = NOT_RECORDED
    resistance_note: Posted[Text | None] = None
    place: Posted[Words | None] = None


class Grounding(Part):
    """The grounding electrode system of the service or of a separate building."""

    conductor: Posted[Fact[Wire]] = NOT_RECORDED
    conductor_material: Posted[Fact[Material]] = NOT_RECORDED
    electrodes: Posted[tuple[Electrode, ...]] = ()
    intersystem_bonding: Posted[Fact[YesNo]] = NOT_RECORDED
    all_present_used: Posted[Fact[YesNo]] = NOT_RECORDED


class Transformer(Part):
    """The utility's transformer, for the fault-current calculation."""

    rating: Posted[Fact[Power]] = NOT_RECORDED
    impedance: Posted[Fact[Percent]] = NOT_RECORDED


class ServiceConductors(Part):
    """The conductors between the utility and the service disconnect: ``size`` of the hot ones, and of the neutral."""

    size: Posted[Fact[Wire]] = NOT_RECORDED
    material: Posted[Fact[Material]] = NOT_RECORDED
    insulation: Posted[Fact[Words]] = NOT_RECORDED
    length: Posted[Fact[Feet]] = NOT_RECORDED
    sets: Posted[Fact[Whole]] = NOT_RECORDED
    neutral: Posted[Fact[Wire]] = NOT_RECORDED


class Service(Part):
    """The utility's supply and the service disconnect.  ``at`` names the panel whose main is that disconnect.

    ``disconnect_near_house``: on the house or in sight of it.  ``disconnect_marking_red``: white letters of at least
    1/2 in on red.
    """

    utility: Posted[Words]
    volts: Posted[Literal["120/240 V single-phase", "208Y/120 V single-phase"]]
    rating: Posted[Fact[Amperes]]
    entrance: Posted[Fact[Literal["overhead", "underground"]]] = NOT_RECORDED
    at: Posted[Code]
    disconnect_place: Posted[Words]
    disconnect_outdoors: Posted[Fact[YesNo]] = NOT_RECORDED
    disconnect_marked: Posted[Fact[Words]] = NOT_RECORDED
    disconnect_readily_accessible: Posted[Fact[YesNo]] = NOT_RECORDED
    disconnect_near_house: Posted[Fact[YesNo]] = NOT_RECORDED
    disconnect_marking_red: Posted[Fact[YesNo]] = NOT_RECORDED
    replaced_on_this_job: Posted[Fact[YesNo]] = NOT_RECORDED
    conductors: Posted[ServiceConductors | None] = None
    transformer: Posted[Transformer | None] = None
    fault_current: Posted[Fact[Amperes]] = NOT_RECORDED
    grounding: Posted[Grounding | None] = None
    surge_protection: Posted[Fact[Words]] = NOT_RECORDED
    surge_discharge_current: Posted[Fact[Amperes]] = NOT_RECORDED
    meter: Owner[Words | None] = None


class Breaker(Part):
    """An overcurrent device in a panel.  ``60 A`` alone is enough where no more is known."""

    rating: Posted[Fact[Amperes]]
    interrupting: Posted[Fact[Amperes]] = NOT_RECORDED
    gfci: Posted[Fact[YesNo]] = NOT_RECORDED
    afci: Posted[Fact[YesNo]] = NOT_RECORDED
    maker: Posted[Fact[Words]] = NOT_RECORDED
    model: Posted[Fact[Words]] = NOT_RECORDED
    listed_for_panel: Posted[Fact[YesNo]] = NOT_RECORDED
    common_trip: Posted[Fact[YesNo]] = NOT_RECORDED
    hold_down: Posted[Fact[YesNo]] = NOT_RECORDED


def _bare_rating(data: Any) -> Any:
    """``breaker: 60 A`` means a breaker of which only the rating was recorded."""
    if not (isinstance(data, str) or (isinstance(data, dict) and "value" in data)):
        return data
    place = getattr(data, "place", NOWHERE)
    return MarkedDict({"rating": data}, place, {"rating": place})


ShortBreaker = Annotated[Breaker, BeforeValidator(_bare_rating)]


class Slot(Part):
    """One breaker, or one blank plate, with the panel spaces it takes.

    ``feeds`` names by code a circuit, feeder, source or transfer equipment that this record describes further;
    ``says`` is the wording on the panel's directory for all others.  ``says_posted`` is the neutral wording for the
    posted edition where the real one would tell a stranger about an alarm, a safe or medical equipment.
    """

    spaces: Posted[tuple[Whole, ...]]
    breaker: Posted[ShortBreaker | None] = None
    feeds: Posted[Code | None] = None
    says: Neutral[Words | None] = None
    says_posted: Posted[Words | None] = None
    blank: Posted[YesNo] = False
    work: Posted[Work] = "existing"
    traced: Posted[Fact[YesNo]] = NOT_RECORDED
    note: Posted[Text | None] = None


class Panel(Part):
    """A panelboard: every space, and what it is fed from (a feeder's code; the service feeds the panel it names).

    ``fed_at``: where on the bus the main breaker or lugs stand.  ``directory_explains``: the directory says what its
    abbreviations and signs mean.

    ``wall``: the wall it is on, worded alike for all things on that wall.  ``from_left``: from the wall's left end, for
    somebody who faces it, to the middle of the thing.  ``height`` of other things: their middle, above floor or ground.
    """

    code: Posted[Code]
    name: Posted[Words]
    place: Posted[Words]
    wall: Posted[Words | None] = None
    from_left: Posted[Fact[Feet]] = NOT_RECORDED
    outdoors: Posted[Fact[YesNo]] = NOT_RECORDED
    work: Posted[Work]
    spaces: Posted[Whole]
    numbering: Posted[Literal["odd left, even right", "down one side"]] = "odd left, even right"
    volts: Posted[Fact[Volts]] = NOT_RECORDED
    bus: Posted[Fact[Amperes]] = NOT_RECORDED
    main: Posted[Fact[Amperes]] = NOT_RECORDED
    main_kind: Posted[Literal["main breaker", "main lugs"]]
    main_interrupting: Posted[Fact[Amperes]] = NOT_RECORDED
    feed_through_lugs: Posted[Fact[YesNo]] = NOT_RECORDED
    fed_at: Posted[Literal["top", "bottom", "center"]] = "top"
    neutral_bonded: Posted[Fact[YesNo]] = NOT_RECORDED
    service_equipment: Posted[YesNo] = False
    separate_building: Posted[YesNo] = False
    dwelling: Posted[YesNo] = True
    grounding: Posted[Grounding | None] = None
    terminals: Posted[Fact[Literal["60 °C", "75 °C"]]] = NOT_RECORDED
    handle_height: Posted[Fact[Inches]] = NOT_RECORDED
    working_depth: Posted[Fact[Inches]] = NOT_RECORDED
    working_width: Posted[Fact[Inches]] = NOT_RECORDED
    headroom: Posted[Fact[Inches]] = NOT_RECORDED
    width: Posted[Fact[Inches]] = NOT_RECORDED
    short_circuit_rating: Posted[Fact[Amperes]] = NOT_RECORDED
    maker: Posted[Fact[Words]] = NOT_RECORDED
    model: Posted[Fact[Words]] = NOT_RECORDED
    serial: Owner[Fact[Words]] = NOT_RECORDED
    year: Posted[Fact[Words]] = NOT_RECORDED
    directory: Posted[Fact[Words]] = NOT_RECORDED
    directory_explains: Posted[Fact[YesNo]] = NOT_RECORDED
    surge_protection: Posted[Fact[Words]] = NOT_RECORDED
    surge_discharge_current: Posted[Fact[Amperes]] = NOT_RECORDED
    slots: Posted[tuple[Slot, ...]] = ()
    note: Posted[Text | None] = None


class Source(Part):
    """Anything besides the utility that can make the wiring live.  ``own_breaker``: the rating of the one at it.

    Of solar: ``rapid_shutdown``: whether the system has it; ``rapid_shutdown_switch``: where that is started;
    ``dc_raceway``: where the wires between panels and inverter run on or in the building.  ``operator_phone``: the
    emergency telephone number of an operator elsewhere who can switch the source.
    """

    code: Posted[Code]
    kind: Posted[Literal["solar", "battery", "generator", "vehicle"]]
    name: Posted[Words]
    place: Posted[Words]
    wall: Posted[Words | None] = None
    from_left: Posted[Fact[Feet]] = NOT_RECORDED
    height: Posted[Fact[Inches]] = NOT_RECORDED
    outdoors: Posted[Fact[YesNo]] = NOT_RECORDED
    work: Posted[Work]
    output_current: Posted[Fact[Amperes]] = NOT_RECORDED
    own_breaker: Posted[Fact[Amperes]] = NOT_RECORDED
    power: Posted[Fact[Power]] = NOT_RECORDED
    volts: Posted[Fact[Volts]] = NOT_RECORDED
    bus_end: Posted[Fact[Literal["opposite end from the main", "same end as the main", "supply side of the main"]]] = (
        NOT_RECORDED
    )
    starts_by_itself: Posted[Fact[YesNo]] = NOT_RECORDED
    portable: Posted[Fact[YesNo]] = NOT_RECORDED
    disconnect: Posted[Fact[Words]] = NOT_RECORDED
    stays_live: Posted[Text | None] = None
    rapid_shutdown: Posted[Fact[YesNo]] = NOT_RECORDED
    rapid_shutdown_switch: Posted[Fact[Words]] = NOT_RECORDED
    dc_raceway: Posted[Fact[Words]] = NOT_RECORDED
    operator_phone: Posted[Fact[Words]] = NOT_RECORDED
    neutral: Posted[Fact[Literal["bonded at the source", "floating at the source"]]] = NOT_RECORDED
    fuel: Posted[Fact[Words]] = NOT_RECORDED
    fuel_shutoff: Posted[Fact[Words]] = NOT_RECORDED
    maker: Posted[Fact[Words]] = NOT_RECORDED
    model: Posted[Fact[Words]] = NOT_RECORDED
    serial: Owner[Fact[Words]] = NOT_RECORDED
    exercise: Posted[Fact[Words]] = NOT_RECORDED
    seen: Posted[Date | None] = None
    labels_seen: Posted[tuple[Words, ...]] = ()
    note: Posted[Text | None] = None


class Transfer(Part):
    """Transfer equipment: utility on one side, a source on the other, a panel behind it.

    ``calculated_load``: the load by Article 220 of all that it may put on the source.
    """

    code: Posted[Code]
    name: Posted[Words]
    place: Posted[Words]
    wall: Posted[Words | None] = None
    from_left: Posted[Fact[Feet]] = NOT_RECORDED
    height: Posted[Fact[Inches]] = NOT_RECORDED
    outdoors: Posted[Fact[YesNo]] = NOT_RECORDED
    work: Posted[Work]
    kind: Posted[Fact[Literal["automatic", "manual", "interlocked breakers"]]]
    source: Posted[Code]
    feeds: Posted[Code]
    rating: Posted[Fact[Amperes]] = NOT_RECORDED
    switches_neutral: Posted[Fact[YesNo]] = NOT_RECORDED
    load_management: Posted[Fact[YesNo]] = NOT_RECORDED
    calculated_load: Posted[Fact[Amperes]] = NOT_RECORDED
    start_delay: Posted[Fact[Words]] = NOT_RECORDED
    note: Posted[Text | None] = None


class Appliance(Part):
    """One load of the service calculation, by nameplate.  ``uses_neutral``: whether it has parts that run on 120 V."""

    name: Posted[Words]
    kind: Posted[
        Literal["range", "dryer", "water heater", "fastened in place", "motor", "car charger", "heating",
                "cooling", "heat pump", "supplementary heat", "thermal storage heat", "other"]
    ]  # fmt: skip
    power: Posted[Fact[Power]]
    work: Posted[Work]
    units: Posted[Whole] = 1
    uses_neutral: Posted[Fact[YesNo]] = NOT_RECORDED
    note: Posted[Text | None] = None


class MeasuredDemand(Part):
    """A recorded maximum demand, where one was taken instead of a calculation."""

    maximum: Posted[Fact[Amperes]] = NOT_RECORDED
    days: Posted[Fact[Whole]] = NOT_RECORDED
    interval_minutes: Posted[Fact[Whole]] = NOT_RECORDED
    both_legs: Posted[Fact[YesNo]] = NOT_RECORDED
    occupied: Posted[Fact[YesNo]] = NOT_RECORDED
    seasonal_added: Posted[Fact[Power]] = NOT_RECORDED
    peak_shaving: Posted[Fact[YesNo]] = NOT_RECORDED


class EnergyManagement(Part):
    """An energy management system that keeps the current of what it ``limits`` at or below its set point."""

    limits: Posted[Literal["service", "feeder", "car chargers"]]
    feeder: Posted[Code | None] = None
    set_point: Posted[Fact[Amperes]] = NOT_RECORDED
    measures: Posted[Fact[Words]] = NOT_RECORDED
    on_failure: Posted[Fact[Words]] = NOT_RECORDED
    setting_access: Posted[Fact[Words]] = NOT_RECORDED
    label: Posted[Fact[Words]] = NOT_RECORDED
    listed: Posted[Fact[YesNo]] = NOT_RECORDED


LoadMethod = Literal["existing dwelling", "optional", "standard", "measured demand"]
"""How the load of a service is found: NEC 220.83, 220.82, Part III of Article 220, 220.87."""


class ServiceLoad(Part):
    """What the load calculation of the dwelling needs.

    ``method`` is the one the contractor went by, which decides.  None named: the method for an existing dwelling, and
    a measured demand too where one is recorded.
    """

    method: Posted[LoadMethod | None] = None
    dwelling: Posted[Fact[Literal["one-family", "two-family", "multifamily"]]] = NOT_RECORDED
    floor_area: Posted[Fact[Area]] = NOT_RECORDED
    small_appliance_circuits: Posted[Fact[Whole]] = NOT_RECORDED
    laundry_circuits: Posted[Fact[Whole]] = NOT_RECORDED
    heating_controls: Posted[Fact[Whole]] = NOT_RECORDED
    compressor_locked_out: Posted[Fact[YesNo]] = NOT_RECORDED
    appliances: Posted[tuple[Appliance, ...]] = ()
    energy_management: Posted[EnergyManagement | None] = None
    measured: Posted[MeasuredDemand | None] = None
    note: Posted[Text | None] = None
