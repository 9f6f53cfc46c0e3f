"""Installations made up by number, the same every time: many panels, wide breakers, long runs, long names, unknowns."""

from __future__ import annotations

import json
from functools import cache
from random import Random
from typing import Any

from jobs import job

from handover.record.installation import Installation

NAMES = (
    "Range", "A/C", "Kitchen receptacles along the window wall, left of the sink", 'Shed <"north"> & lean-to',
    "Pneumatischerdruckluftkompressorenraumbeleuchtung", "W" * 40, "Salle à manger · été", "x",
    "配电箱照明回路", "Ωmega-2/3-way",
)  # fmt: skip
STEPS = (
    "box", "conduit body", "equipment", "bend", "offset", "saddle", "expansion fitting", "coupling", "penetration",
    "splice", "straight", "straight", "straight", "bend",
)  # fmt: skip
SURROUNDINGS = ("indoors", "outdoors", "attic", "crawl space", "in a wall", "roof", "underground")
WORK = ("new", "changed", "existing")
KINDS = ("solar", "battery", "generator", "vehicle")


class Made:
    """One record on its way: codes handed out, slots filled."""

    def __init__(self, number: int) -> None:
        self.dice = Random(number)
        self.number = number
        self.record: dict[str, list[dict[str, Any]]] = {
            key: [] for key in ("panels", "feeders", "circuits", "equipment", "sources", "transfers", "runs", "boxes")
        }

    def name(self) -> str:
        return self.dice.choice(NAMES)

    def maybe(self, part: dict[str, Any], **facts: Any) -> dict[str, Any]:
        """``part`` with each of ``facts`` written, unknown, not checked, or left out."""
        for key, value in facts.items():
            chance = self.dice.random()
            if chance < 0.6:
                part[key] = value
            elif chance < 0.8:
                part[key] = self.dice.choice(["unknown", "not checked"])
        return part

    def panels(self, count: int) -> None:
        for at in range(1, count + 1):
            panel = {
                "code": f"P{at}", "name": self.name(), "place": self.name(), "work": self.dice.choice(WORK),
                "spaces": self.dice.choice([4, 12, 20, 42, 84]),
                "fed_at": self.dice.choice(["top", "bottom", "center"]),
                "numbering": self.dice.choice(["odd left, even right"] * 3 + ["down one side"]),
                "main_kind": self.dice.choice(["main breaker", "main lugs"]), "slots": [],
                "separate_building": self.dice.choice(["yes", "no"]),
            }  # fmt: skip
            facts = {"main": "200 A", "bus": "225 A", "neutral_bonded": "yes", "feed_through_lugs": "yes"}
            self.maybe(panel, **facts)
            self.record["panels"].append(panel)
            self.slots(panel)

    def slots(self, panel: dict[str, Any]) -> None:
        taken: set[int] = set()
        step = 1 if panel["numbering"] == "down one side" else 2
        for space in range(1, panel["spaces"] + 1):
            spaces = [space + step * pole for pole in range(self.dice.choice([1, 1, 1, 2, 3]))]
            if taken & set(spaces) or spaces[-1] > panel["spaces"] or self.dice.random() < 0.1:
                continue
            taken |= set(spaces)
            slot: dict[str, Any] = {"spaces": spaces, "work": self.dice.choice(WORK)}
            if self.dice.random() < 0.15:
                slot["blank"] = "yes"
            else:
                breaker = self.maybe({"rating": self.dice.choice(["20 A", "unknown"])}, gfci="yes", afci="yes")
                slot |= {"breaker": breaker}
                self.maybe(slot, traced="no")
                if self.dice.random() < 0.7:
                    slot["says"] = self.name()
            panel["slots"].append(slot)

    def feed(self, panel: dict[str, Any], code: str) -> bool:
        """Let a free slot of ``panel`` feed ``code``; False where none is free."""
        free = [slot for slot in panel["slots"] if "blank" not in slot and "feeds" not in slot]
        if free:
            slot = self.dice.choice(free)
            slot.pop("says", None)
            slot["feeds"] = code
        return bool(free)

    def wiring(self, code: str, **more: Any) -> dict[str, Any]:
        part = {"code": code, "name": self.name(), "work": self.dice.choice(WORK), "volts": "240 V", **more}
        if self.dice.random() < 0.7:
            wire = {"size": self.dice.choice(["6 AWG", "unknown"]), "material": "copper"}
            part["conductors"] = [{"role": "hot", "count": 2, **wire}, {"role": "equipment ground", **wire}]
        if self.record["runs"] and self.dice.random() < 0.8:
            part["runs"] = [self.dice.choice(self.record["runs"])["code"]]
        return part

    def equipment(self, code: str, circuit: str) -> dict[str, Any]:
        part = {"code": code, "kind": "other", "circuit": circuit, "name": self.name(), "place": self.name()}
        return self.maybe({**part, "work": self.dice.choice(WORK)}, set_current="32 A", height="46 in")

    def source(self, code: str, kind: str) -> dict[str, Any]:
        part = {"code": code, "kind": kind, "name": self.name(), "place": self.name(), "work": self.dice.choice(WORK)}
        part["bus_end"] = self.dice.choice(["opposite end from the main", "supply side of the main", "unknown"])
        return self.maybe(part, output_current="16 A", disconnect="outside")

    def runs(self, count: int) -> None:
        for at in range(1, count + 1):
            code = f"B{at}"
            box = {"code": code, "name": self.name(), "place": self.name(), "work": "new", "kind": "pull box"}
            self.record["boxes"].append(self.maybe(box, volume="30 in3", access="ladder"))
            path = [{"step": "panel", "code": "P1"}]
            path += [self.step(code) for _ in range(self.dice.choice([0, 3, 20, 60]))]
            run = {"code": f"R{at}", "name": self.name(), "work": self.dice.choice(WORK), "path": path}
            run["landmarks"] = self.landmarks(self.dice.choice([0, 0, 1, 3, 12]))
            run["method"] = self.dice.choice(["EMT", "PVC schedule 40", "NM-B"])
            self.record["runs"].append(self.maybe(run, trade_size="3/4 in", pull_string="yes"))

    def landmarks(self, count: int) -> list[dict[str, Any]]:
        """Points measured from few features, mostly where the tapes meet; distances and sides in part unknown."""
        features = [f"{corner} {self.name()}" for corner in ("corner", "post", "step")]
        marks = []
        for _ in range(count):
            first, second = self.dice.sample(features[: self.dice.choice([2, 2, 3])], 2)
            x, y = self.dice.choice([(4, 0), (3, 0.5), (0, 0), (60, 1)] + [(self.dice.uniform(-9, 40), 47.0)] * 3)
            lengths = [f"{(x**2 + y**2) ** 0.5:.2f} ft", f"{((x - 42) ** 2 + y**2) ** 0.5:.2f} ft"]
            if self.dice.random() < 0.1:
                lengths = ["1 ft", "2 ft"]
            mark = {"point": self.name(), "from_first": first, "from_second": second}
            mark |= {"distance_first": "unknown", "distance_second": "not checked"}
            distances = {"distance_first": lengths[0], "distance_second": lengths[1]}
            mark |= {key: value for key, value in distances.items() if self.dice.random() < 0.9}
            side = self.dice.choice(["left", "right", "right"])
            marks.append(self.maybe(mark, features_apart="42 ft", side=side, depth="20 in"))
        return marks

    def step(self, box: str) -> dict[str, Any]:
        step: dict[str, Any] = {"step": self.dice.choice(STEPS)}
        if step["step"] == "box":
            step["box"] = box
        if step["step"] == "straight":
            self.maybe(step, length=f"{self.dice.randint(1, 200)} ft", support_spacing="10 ft", cover="20 in")
            self.maybe(step, warning_ribbon="yes")
            step["surroundings"] = self.dice.choice(SURROUNDINGS)
        if step["step"] in ("bend", "offset", "saddle"):
            self.maybe(step, degrees=self.dice.choice(["90°", "45°", "22.5°"]), radius="8 in")
        if self.dice.random() < 0.3:
            step |= {"at": self.name(), "behind": self.name(), "note": f"{self.name()} {self.name()}"}
        return step


@cache
def installation(number: int) -> Installation:
    """The installation of that number."""
    made = Made(number)
    made.runs(made.dice.randint(1, 3))
    made.panels(made.dice.randint(1, 4))
    first, *others = made.record["panels"]
    for at, panel in enumerate(others, 1):
        above = made.record["panels"][at - 1]
        chance = made.dice.random()
        if chance < 0.6 and made.feed(above, f"F{at}"):
            made.record["feeders"].append(made.wiring(f"F{at}", to=panel["code"]))
        elif chance < 0.8 and made.feed(above, f"T{at}"):
            made.record["sources"].append(made.source(f"G{at}", "generator"))
            transfer = {"code": f"T{at}", "name": made.name(), "place": made.name(), "work": "new", "kind": "automatic"}
            made.record["transfers"].append({**transfer, "source": f"G{at}", "feeds": panel["code"]})
    for at in range(1, made.dice.randint(1, 9)):
        made.feed(made.dice.choice(made.record["panels"]), f"C{at}")
        made.record["circuits"].append(made.wiring(f"C{at}"))
        if made.dice.random() < 0.4:
            made.record["equipment"].append(made.equipment(f"E{at}", f"C{at}"))
    for at in range(1, made.dice.randint(1, 4)):
        made.record["sources"].append(made.source(f"S{at}", made.dice.choice(KINDS)))
        if made.dice.random() < 0.6:
            made.feed(first, f"S{at}")
    return Installation(job(json.dumps(made.record, ensure_ascii=False)))


def hidden(number: int) -> Installation:
    """Nothing but runs, with points measured in every way that a record allows."""
    made = Made(number)
    made.runs(made.dice.randint(1, 3))
    return Installation(job(json.dumps({"runs": made.record["runs"], "boxes": made.record["boxes"]})))


def walls(number: int) -> Installation:
    """Panels, sources and boxes on a few walls, with heights and places along them in part unknown."""
    made = Made(number)
    made.runs(made.dice.randint(0, 3) or 1)
    made.panels(made.dice.randint(1, 3))
    for at in range(1, made.dice.randint(1, 8)):
        made.record["sources"].append(
            made.source(f"S{at}" + "W" * made.dice.choice([0, 0, 5]), made.dice.choice(KINDS))
        )
    names = [f"wall of {made.name()}" for _ in range(made.dice.randint(1, 3))]
    for part in (*made.record["panels"], *made.record["sources"], *made.record["boxes"]):
        height = made.dice.choice(["2 in", "0 in", "58 in", "5 ft 9-1/2 in", "400 in", "95 in"])
        facts: dict[str, Any] = {"from_left": f"{made.dice.choice([4, 4, 7, 12])} ft"}
        if "spaces" in part:
            facts |= {"handle_height": height, "working_depth": "36 in", "working_width": "30 in", "headroom": "80 in"}
        else:
            facts["height"] = height
        made.maybe(part, wall=made.dice.choice(names), **facts)
        if part.get("wall") in ("unknown", "not checked"):
            part["wall"] = names[0]
    return Installation(job(json.dumps(made.record, ensure_ascii=False)))
