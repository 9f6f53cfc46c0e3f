"""The whole record of one job, as one frozen model."""

from __future__ import annotations

from handover.record import evidence, people, supply, wiring
from handover.record.facts import Owner, Part, Posted, Text


class Record(Part):
    """Everything one job folder says.  Top-level keys may stand in any of the folder's YAML files."""

    job: Posted[people.Job]
    revisions: Posted[tuple[people.Revision, ...]]
    contractor: Posted[people.Contractor]
    site: Posted[people.Site]
    emergency: Posted[people.Emergency]
    permit: Posted[people.Permit | None] = None
    code: Posted[people.AdoptedCode]
    answers: Posted[tuple[people.Answer, ...]] = ()
    retired_codes: Posted[tuple[people.CodeNote, ...]] = ()
    service: Posted[supply.Service]
    panels: Posted[tuple[supply.Panel, ...]]
    sources: Posted[tuple[supply.Source, ...]] = ()
    transfers: Posted[tuple[supply.Transfer, ...]] = ()
    service_load: Posted[supply.ServiceLoad | None] = None
    feeders: Posted[tuple[wiring.Feeder, ...]] = ()
    circuits: Posted[tuple[wiring.Circuit, ...]] = ()
    runs: Posted[tuple[wiring.Run, ...]] = ()
    boxes: Posted[tuple[wiring.Box, ...]] = ()
    equipment: Posted[tuple[wiring.Equipment, ...]] = ()
    instruments: Posted[tuple[evidence.Instrument, ...]] = ()
    readings: Posted[tuple[evidence.Reading, ...]] = ()
    torques: Posted[tuple[evidence.TorqueRecord, ...]] = ()
    materials: Posted[tuple[evidence.MaterialItem, ...]] = ()
    photos: Posted[tuple[evidence.Photo, ...]] = ()
    markings: Posted[tuple[evidence.Marking, ...]] = ()
    findings: Posted[tuple[evidence.Finding, ...]] = ()
    unknowns: Posted[tuple[evidence.Unknown, ...]] = ()
    not_checked: Posted[tuple[evidence.NotChecked, ...]] = ()
    advice: Posted[tuple[evidence.Advice, ...]] = ()
    reminders: Posted[tuple[evidence.ReminderSetting, ...]] = ()
    confirmed: Posted[tuple[evidence.Confirmed, ...]] = ()
    translations: Owner[tuple[people.Translation, ...]] = ()
    private_notes: Owner[Text | None] = None
