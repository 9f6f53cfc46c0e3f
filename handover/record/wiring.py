"""The record's wiring: conductors, feeders, branch circuits, and the runs they take from box to box."""

from __future__ import annotations

from typing import Annotated, Literal

from handover.record.facts import (
    NOT_RECORDED,
    Amperes,
    Celsius,
    Code,
    CrossSection,
    Degrees,
    Fact,
    Feet,
    Inches,
    Neutral,
    Number,
    Owner,
    Part,
    Posted,
    Power,
    Text,
    TradeSize,
    Volts,
    Volume,
    Whole,
    Wire,
    Words,
    Written,
    YesNo,
    read_trade_size,
)
from handover.record.supply import Material, Work

Role = Literal["hot", "neutral", "equipment ground"]
Raceway = Literal[
    "EMT", "RMC", "IMC", "PVC schedule 40", "PVC schedule 80", "FMC", "LFMC", "LFNC-A", "LFNC-B", "ENT",
]  # fmt: skip
Method = Literal[
    "EMT", "RMC", "IMC", "PVC schedule 40", "PVC schedule 80", "FMC", "LFMC", "LFNC-A", "LFNC-B", "ENT",
    "NM-B", "UF-B", "MC", "AC", "SE", "USE-2",
]  # fmt: skip
Surroundings = Literal["indoors", "outdoors", "attic", "crawl space", "in a wall", "roof", "underground"]
CoverLocation = Literal[
    "all locations not listed below", "under 2 in of concrete in the trench", "under a building",
    "under a 4 in exterior slab without vehicles", "under a street, road or shared driveway",
    "under a driveway of this dwelling",
]  # fmt: skip


class Conductor(Part):
    """Conductors of one role that are alike: how many, size, material, insulation, colour."""

    role: Posted[Role]
    count: Posted[Whole] = 1
    size: Posted[Fact[Wire]]
    material: Posted[Fact[Material]]
    insulation: Posted[Fact[Words]] = NOT_RECORDED
    colour: Posted[Words | None] = None
    carries_current: Posted[Fact[YesNo]] = NOT_RECORDED


class Wiring(Part):
    """What feeders and branch circuits share.  The breaker stands at the panel space that ``feeds`` this code.

    With parallel sets, ``conductors`` are those of one set, and ``sets_in_each_run`` says how many of the sets lie in
    each of the ``runs``: 1 where each set has a raceway of its own.
    """

    code: Posted[Code]
    name: Neutral[Words]
    name_posted: Posted[Words | None] = None
    work: Posted[Work]
    volts: Posted[Fact[Volts]]
    conductors: Posted[tuple[Conductor, ...]] = ()
    sets: Posted[Whole] = 1
    sets_in_each_run: Posted[Fact[Whole]] = NOT_RECORDED
    terminals: Posted[Fact[Literal["60 °C", "75 °C"]]] = NOT_RECORDED
    runs: Posted[tuple[Code, ...]] = ()
    upsized_for_voltage_drop_from: Posted[Fact[Wire]] = NOT_RECORDED
    splices: Posted[Fact[Words]] = NOT_RECORDED
    why: Posted[Text | None] = None
    note: Posted[Text | None] = None


class Feeder(Wiring):
    """A feeder to the panel ``to``.  ``load`` is the calculated load in amperes, ``continuous`` the part of it.

    ``whole_dwelling``: it carries all that one dwelling unit takes.
    """

    to: Posted[Code]
    load: Posted[Fact[Amperes]] = NOT_RECORDED
    continuous: Posted[Fact[Amperes]] = NOT_RECORDED
    whole_dwelling: Posted[Fact[YesNo]] = NOT_RECORDED


OutletPlace = Literal[
    "outdoors", "garage", "accessory building", "basement", "crawl space", "bathroom", "kitchen", "laundry area",
    "food or beverage area", "living area", "attic", "utility room", "other indoor area",
]  # fmt: skip


class Outlet(Part):
    """A point where current is taken: a receptacle or hardwired equipment, and where it is.

    ``habitable``: it is in a room to live in (a finished basement, a hallway or closet too), not for storage or work.
    ``exposure``: a wet place is open to the weather; a damp one is under a roof.  ``near_sink`` and ``near_tub``:
    within 6 ft of a sink, of a bathtub or shower.  ``gfci_accessible``: its protection is reached without
    a ladder, tool or key.
    """

    what: Posted[Words]
    place: Posted[Words]
    area: Posted[OutletPlace]
    kind: Posted[Literal["receptacle", "hardwired", "lighting"]]
    rating: Posted[Fact[Amperes]] = NOT_RECORDED
    single: Posted[Fact[YesNo]] = NOT_RECORDED
    gfci: Posted[Fact[Literal["in the breaker", "in this receptacle", "in another receptacle", "in the equipment",
                              "none"]]] = NOT_RECORDED  # fmt: skip
    gfci_reset: Posted[Words | None] = None
    gfci_accessible: Posted[Fact[YesNo]] = NOT_RECORDED
    afci: Posted[Fact[Literal["in the breaker", "in this receptacle", "in another receptacle", "none"]]] = NOT_RECORDED
    near_sink: Posted[Fact[YesNo]] = NOT_RECORDED
    near_tub: Posted[Fact[YesNo]] = NOT_RECORDED
    serves_countertop: Posted[Fact[YesNo]] = NOT_RECORDED
    habitable: Posted[Fact[YesNo]] = NOT_RECORDED
    exposure: Posted[Fact[Literal["dry", "damp", "wet"]]] = NOT_RECORDED
    cover: Posted[
        Fact[Literal["extra-duty in-use hood", "in-use hood", "other in-use enclosure", "closing cover", "none"]]
    ] = NOT_RECORDED
    weather_resistant: Posted[Fact[YesNo]] = NOT_RECORDED
    tamper_resistant: Posted[Fact[YesNo]] = NOT_RECORDED
    height: Posted[Fact[Inches]] = NOT_RECORDED
    listed_for_ev: Posted[Fact[YesNo]] = NOT_RECORDED


class Circuit(Wiring):
    """A branch circuit.  ``load`` is what it carries in use; equipment with a setting or nameplate says its own."""

    load: Posted[Fact[Amperes]] = NOT_RECORDED
    continuous: Posted[Fact[YesNo]] = NOT_RECORDED
    individual: Posted[Fact[YesNo]] = NOT_RECORDED
    multiwire_with: Posted[Code | None] = None
    outlets: Posted[tuple[Outlet, ...]] = ()


BENDS = ("bend", "offset", "saddle")
"""The steps of a run that turn it."""
PULL_POINTS = ("panel", "box", "conduit body", "equipment")
"""The steps where conductors are got at, so that bends are counted anew."""


class Step(Part):
    """One piece of a run, in order from its beginning.

    ``step`` says what it is; ``length`` belongs to straight pieces; ``degrees`` to bends: one bend's angle, and for an
    offset or saddle the sum of all its bends.  ``turns``: which way a bend goes on, as "up" or "south along the wall".
    ``first_support`` and ``last_support`` are measured within a piece, from its beginning and from its end.  Boxes,
    panels, conduit bodies and equipment are pull points.
    ``setting`` and ``travel`` belong to an expansion fitting: how far it stands open, and how far it can move in all.
    ``protected_from`` and ``protected_to`` belong to a raceway around a cable that comes out of the ground: how deep
    below grade it begins, and how high above grade it ends.
    """

    step: Posted[
        Literal["panel", "box", "conduit body", "equipment", "straight", "bend", "offset", "saddle",
                "expansion fitting", "coupling", "penetration", "splice"]
    ]  # fmt: skip
    at: Posted[Words | None] = None
    code: Posted[Code | None] = None
    box: Posted[Code | None] = None
    length: Posted[Fact[Feet]] = NOT_RECORDED
    degrees: Posted[Fact[Degrees]] = NOT_RECORDED
    turns: Posted[Words | None] = None
    surroundings: Posted[Surroundings | None] = None
    method: Posted[Method | None] = None
    support_spacing: Posted[Fact[Feet]] = NOT_RECORDED
    first_support: Posted[Fact[Inches]] = NOT_RECORDED
    last_support: Posted[Fact[Inches]] = NOT_RECORDED
    cover: Posted[Fact[Inches]] = NOT_RECORDED
    cover_location: Posted[Fact[CoverLocation]] = NOT_RECORDED
    behind: Posted[Words | None] = None
    radius: Posted[Fact[Inches]] = NOT_RECORDED
    sealed: Posted[Fact[Words]] = NOT_RECORDED
    setting: Posted[Fact[Inches]] = NOT_RECORDED
    travel: Posted[Fact[Inches]] = NOT_RECORDED
    protected_from: Posted[Fact[Inches]] = NOT_RECORDED
    protected_to: Posted[Fact[Feet]] = NOT_RECORDED
    warning_ribbon: Posted[Fact[YesNo]] = NOT_RECORDED
    concealed: Posted[YesNo] = False
    note: Posted[Text | None] = None


class Landmark(Part):
    """A hidden point of a run, found again by two measured distances to features that stay.

    ``features_apart``: how far the two features are from each other; written at one of the points measured from them is
    enough.  ``side``: on which side the point lies, for somebody who stands at the first feature and faces the second.
    """

    point: Posted[Words]
    from_first: Posted[Words]
    distance_first: Posted[Fact[Feet]]
    from_second: Posted[Words]
    distance_second: Posted[Fact[Feet]]
    features_apart: Posted[Fact[Feet]] = NOT_RECORDED
    side: Posted[Fact[Literal["left", "right"]]] = NOT_RECORDED
    depth: Posted[Fact[Inches]] = NOT_RECORDED


class Run(Part):
    """A raceway or cable from one end to the other, and the wiring it carries.

    ``cable_diameter`` is a cable's own, of a flat one its wider side.  ``bonded``: the metal of the raceway is joined
    from end to end, and to the equipment ground.

    Of a cable: ``bundled_conductors`` are the conductors that carry current, its own too, where most cables lie
    together for more than 24 in, or go through one hole that is sealed or insulated.  ``in_thermal_insulation``: any
    part of it.
    """

    code: Posted[Code]
    name: Posted[Words]
    work: Posted[Work]
    method: Posted[Method]
    trade_size: Posted[Fact[TradeSize]] = NOT_RECORDED
    ambient: Posted[Fact[Celsius]] = NOT_RECORDED
    height_above_roof: Posted[Fact[Inches]] = NOT_RECORDED
    temperature_low: Posted[Fact[Celsius]] = NOT_RECORDED
    temperature_high: Posted[Fact[Celsius]] = NOT_RECORDED
    pull_string: Posted[Fact[YesNo]] = NOT_RECORDED
    cable_diameter: Posted[Fact[Inches]] = NOT_RECORDED
    bonded: Posted[Fact[YesNo]] = NOT_RECORDED
    bundled_conductors: Posted[Fact[Whole]] = NOT_RECORDED
    in_thermal_insulation: Posted[Fact[YesNo]] = NOT_RECORDED
    power_factor: Posted[Fact[Number]] = NOT_RECORDED
    path: Posted[tuple[Step, ...]] = ()
    landmarks: Posted[tuple[Landmark, ...]] = ()
    note: Posted[Text | None] = None


def _read_trade_sizes(text: str) -> tuple[str, ...]:
    return tuple(read_trade_size(part.strip()) for part in text.split(","))


TradeSizes = Annotated[tuple[str, ...], Written(_read_trade_sizes, "3 in, 2 in")]
"""Trade sizes of several raceways, each written out: ``3 in, 2 in, 2 in``."""


class EntryRow(Part):
    """One row of raceways that enter a pull box in one wall: their trade sizes, and how far it is to the wall opposite.

    ``opposite_cover``: the wall opposite is a removable cover.
    """

    raceways: Posted[Fact[TradeSizes]] = NOT_RECORDED
    to_opposite: Posted[Fact[Inches]] = NOT_RECORDED
    opposite_cover: Posted[YesNo] = False


class Box(Part):
    """A box or conduit body: where it is, its volume, what is in it, how to get at it.

    ``devices`` are yokes, one for each gang that a device is wide; ``support_fittings`` the kinds of studs and hickeys
    inside, ``area`` a conduit body's cross-section.  ``rows`` and ``raceways_apart`` belong to pull boxes for thick
    wires: each row of raceways, and the least distance between two raceways with the same conductors.
    """

    code: Posted[Code]
    name: Posted[Words]
    place: Posted[Words]
    wall: Posted[Words | None] = None
    from_left: Posted[Fact[Feet]] = NOT_RECORDED
    height: Posted[Fact[Inches]] = NOT_RECORDED
    work: Posted[Work]
    kind: Posted[Literal["outlet box", "junction box", "pull box", "conduit body"]]
    volume: Posted[Fact[Volume]] = NOT_RECORDED
    conductors: Posted[tuple[Conductor, ...]] = ()
    devices: Posted[Fact[Whole]] = NOT_RECORDED
    internal_clamps: Posted[Fact[YesNo]] = NOT_RECORDED
    support_fittings: Posted[Fact[Whole]] = NOT_RECORDED
    terminal_blocks: Posted[Fact[Whole]] = NOT_RECORDED
    metal: Posted[Fact[YesNo]] = NOT_RECORDED
    area: Posted[Fact[CrossSection]] = NOT_RECORDED
    largest_raceway: Posted[Fact[TradeSize]] = NOT_RECORDED
    pull: Posted[Fact[Literal["straight", "angle", "none"]]] = NOT_RECORDED
    dimension: Posted[Fact[Inches]] = NOT_RECORDED
    rows: Posted[tuple[EntryRow, ...]] = ()
    raceways_apart: Posted[Fact[Inches]] = NOT_RECORDED
    bonded: Posted[Fact[YesNo]] = NOT_RECORDED
    access: Posted[Fact[Words]] = NOT_RECORDED
    spliced: Posted[Fact[YesNo]] = NOT_RECORDED
    note: Posted[Text | None] = None


class Disconnect(Part):
    """The disconnecting means of a piece of equipment."""

    kind: Posted[Fact[Literal["breaker", "pull-out", "switch", "cord and plug", "fused switch"]]] = NOT_RECORDED
    place: Posted[Words]
    within_sight: Posted[Fact[YesNo]] = NOT_RECORDED
    distance: Posted[Fact[Feet]] = NOT_RECORDED
    rating: Posted[Fact[Amperes]] = NOT_RECORDED
    lockable: Posted[Fact[YesNo]] = NOT_RECORDED
    readily_accessible: Posted[Fact[YesNo]] = NOT_RECORDED
    needs_tool_to_open: Posted[Fact[YesNo]] = NOT_RECORDED


class Setting(Part):
    """A setting as it was left, and how to read it back without an account."""

    name: Posted[Words]
    value: Posted[Fact[Words]]
    read_back: Posted[Text | None] = None
    may_change: Posted[Words | None] = None


class Equipment(Part):
    """A piece of equipment on a circuit.  The code of the label beside it is ``code``.

    ``maximum_marked`` says whether its plate gives a maximum overcurrent device, which is then ``maximum_overcurrent``.
    Of a compressor: ``marked_with_ampacity`` says whether the plate gives a minimum circuit ampacity, and where not,
    ``rated_load_current`` is the larger of the rated-load and the branch-circuit selection current.  Of a motor:
    ``table_current`` is the code's table current for its horsepower and volts, or the nameplate's where 430.6(A)(1)
    allows that; say in its note which.
    """

    code: Posted[Code]
    name: Posted[Words]
    kind: Posted[
        Literal["car charger", "heat pump", "air conditioner", "kiln", "receptacle", "lighting", "water heater",
                "space heater", "range", "dryer", "motor", "surge protector", "other"]
    ]  # fmt: skip
    circuit: Posted[Code]
    place: Posted[Words]
    wall: Posted[Words | None] = None
    from_left: Posted[Fact[Feet]] = NOT_RECORDED
    outdoors: Posted[Fact[YesNo]] = NOT_RECORDED
    work: Posted[Work]
    connection: Posted[Fact[Literal["hardwired", "cord and plug"]]] = NOT_RECORDED
    volts: Posted[Fact[Volts]] = NOT_RECORDED
    current: Posted[Fact[Amperes]] = NOT_RECORDED
    power: Posted[Fact[Power]] = NOT_RECORDED
    set_current: Posted[Fact[Amperes]] = NOT_RECORDED
    setting_access: Posted[Fact[Words]] = NOT_RECORDED
    rating_label: Posted[Fact[Words]] = NOT_RECORDED
    minimum_circuit_ampacity: Posted[Fact[Amperes]] = NOT_RECORDED
    maximum_overcurrent: Posted[Fact[Amperes]] = NOT_RECORDED
    overcurrent_kind: Posted[Fact[Literal["fuse or breaker", "fuse only"]]] = NOT_RECORDED
    maximum_marked: Posted[Fact[YesNo]] = NOT_RECORDED
    marked_with_ampacity: Posted[Fact[YesNo]] = NOT_RECORDED
    rated_load_current: Posted[Fact[Amperes]] = NOT_RECORDED
    table_current: Posted[Fact[Amperes]] = NOT_RECORDED
    heater_kind: Posted[Fact[Literal["storage to 120 gal", "storage above 120 gal", "instantaneous"]]] = NOT_RECORDED
    cooking_kind: Posted[Fact[Literal["range", "oven", "cooktop"]]] = NOT_RECORDED
    continuous: Posted[Fact[YesNo]] = NOT_RECORDED
    cable_length: Posted[Fact[Feet]] = NOT_RECORDED
    cable_managed: Posted[Fact[YesNo]] = NOT_RECORDED
    height: Posted[Fact[Inches]] = NOT_RECORDED
    ventilation_required: Posted[Fact[YesNo]] = NOT_RECORDED
    mounting: Posted[Fact[Literal["fastened in place", "portable"]]] = NOT_RECORDED
    supply_cord_length: Posted[Fact[Inches]] = NOT_RECORDED
    load_managed: Posted[Fact[YesNo]] = NOT_RECORDED
    listed: Posted[Fact[Words]] = NOT_RECORDED
    disconnect: Posted[Disconnect | None] = None
    service_receptacle: Posted[Fact[Feet]] = NOT_RECORDED
    clear_space: Posted[Fact[Words]] = NOT_RECORDED
    settings: Posted[tuple[Setting, ...]] = ()
    maker: Posted[Fact[Words]] = NOT_RECORDED
    model: Posted[Fact[Words]] = NOT_RECORDED
    serial: Owner[Fact[Words]] = NOT_RECORDED
    note: Posted[Text | None] = None
