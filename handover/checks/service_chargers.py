"""What car chargers count in a load calculation, by edition, and when a lowered setting or management counts."""

from __future__ import annotations

from handover.checks.asking import written
from handover.checks.case import Case, Undecided
from handover.checks.energy_management import managed_chargers
from handover.checks.service_parts import Item, of_kind, sum_of, va
from handover.record.wiring import Equipment
from handover.units import magnitude

_LEAST_VA = 7200.0  # 220.57 of 2023
_SETTINGS_COUNT = (2020, 2023)
UNMANAGED = "whether a car charger's lowered setting counts, or energy management whose evidence is not complete"


def charger_load(case: Case, items: list[Item]) -> tuple[float, float]:
    """What all car chargers count (VA), in full: by the safe reading, and by the lenient one.

    The nameplate in 2017, 2020 and, as a design journal has it, 2026 (120.57); at least 7200 VA each in 2023 (220.57).
    The two differ only where energy management is recorded without all its evidence, and where a setting is lowered
    under an edition of which it is not confirmed that a setting counts: then the nameplates are the safe reading.
    """
    chargers = of_kind(items, "car charger")
    if not chargers:
        return 0.0, 0.0
    lowered = _settings_can_count(case, sum_of(chargers))
    if case.job.edition != 2023:
        safe, held = managed_chargers(case, sum_of(chargers) + lowered)
        return safe, min(held, sum_of(chargers))
    counted = 0.0
    for item in chargers:
        each, units = max(item.each, _LEAST_VA), item.appliance.units
        told = f"car charger: its rating of {item.each:g} VA, or 7200 VA where that is larger (220.57)"
        taken = each * units
        case.step(told, f"{units} × {each:g}", va(taken))
        counted += taken
    return managed_chargers(case, counted)


def _settings_can_count(case: Case, counted: float) -> float:
    """What the nameplates are above ``counted`` (VA), where an edition leaves it open whether a setting counts.

    By 2020 and 2023 a charger set below its nameplate counts at its setting, with the evidence that 625.42 asks for.
    """
    chargers = [item for item in case.job.record.equipment if item.kind == "car charger"]
    plates = sum(_nameplate_of(case, item) for item in chargers)
    if counted >= plates - 1e-6:
        return 0.0
    if case.job.edition not in _SETTINGS_COUNT:
        told = f"car chargers by nameplate: that a setting counts in {case.job.edition} is not confirmed"
        case.step(told, f"{plates:g} - {counted:g} more", va(plates))
        return plates - counted
    for item in chargers:
        setting_evidence(case, item)
    return 0.0


def _nameplate_of(case: Case, item: Equipment) -> float:
    if item.power.known and not item.current.known:
        return magnitude(case.fact("S", f"nameplate power of {item.code}", item.power), "volt_ampere")
    current = case.fact("I", f"nameplate current of {item.code}", item.current)
    volts = case.fact("V", f"volts of {item.code}", item.volts)
    return magnitude(current, "ampere") * magnitude(volts, "volt")


def setting_evidence(case: Case, item: Equipment) -> None:
    """Note the evidence for a car charger's lowered setting; end the case as undecided where some is missing.

    Source: NEC 625.42 (2020: fixed equipment only; 2023: 625.42(B) with 750.30(C)).  The 2017 text says nothing clear
    about settings (from memory), and that of 2026 was not read: there a setting is left to the authority.
    """
    written(case, "", f"how the setting of {item.code} is kept from being turned up", item.setting_access)
    written(case, "", f"label of {item.code} with the adjusted rating", item.rating_label)
    if case.job.edition not in _SETTINGS_COUNT:
        raise Undecided(
            f"Whether the {case.job.edition} text lets the setting of {item.code} stand for its nameplate is not "
            "confirmed here. Ask the authority having jurisdiction."
        )
    if case.job.edition < 2023 and case.fact("", f"connection of {item.code}", item.connection) != "hardwired":
        raise Undecided(
            f"The 2020 text lets a setting count only for equipment fixed in place; {item.code} has a plug."
        )
