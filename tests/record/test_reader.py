"""A job folder to a record: every fault at once, each with its line, never a traceback."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from test_bad_jobs import GOOD

from handover.problems import JobProblems, Place, nearest
from handover.record.reader import read_job, read_record
from handover.record.record import Record
from handover.record.yaml_reader import read_yaml

GOOD_TEXT = (GOOD / "job.yaml").read_text(encoding="utf-8")


def problems(text: str) -> list[str]:
    with pytest.raises(JobProblems) as found:
        read_record(read_yaml("job.yaml", text.encode()))
    return [str(problem).splitlines()[0] for problem in found.value.problems]


def test_a_record_keeps_its_lines():
    record = read_job(GOOD)
    lines = GOOD_TEXT.splitlines()
    load = record.circuits[0].load
    assert load.place.file == "job.yaml"
    assert lines[load.place.line - 1].strip() == "load: 32 A"
    assert lines[record.panels[1].written_at.line - 1].strip() == "- code: P1"
    assert lines[record.panels[1].place_of("place").line - 1].strip() == "place: Utility room"


def test_lines_are_right_across_files(tmp_path):
    head, tail = GOOD_TEXT.split("panels:\n")
    (tmp_path / "job.yaml").write_text(head, encoding="utf-8")
    (tmp_path / "supply.yml").write_text(f"# panels\npanels:\n{tail.split('photos:')[0]}", encoding="utf-8")
    record = read_job(tmp_path)
    assert record.panels[0].written_at == Place("supply.yml", 3)
    assert record.site.written_at.file == "job.yaml"


def test_only_yaml_at_the_top_of_the_folder_is_read(tmp_path):
    (tmp_path / "job.yaml").write_text(GOOD_TEXT.split("photos:")[0], encoding="utf-8")
    (tmp_path / "notes.txt").write_text("job: {", encoding="utf-8")
    (tmp_path / "pack").mkdir()
    (tmp_path / "pack" / "other.yaml").write_text("job: {", encoding="utf-8")
    assert read_job(tmp_path).photos == ()


def test_faults_of_all_files_come_together(tmp_path):
    (tmp_path / "a.yaml").write_bytes(b"a: b: c")
    (tmp_path / "b.yaml").write_bytes(b"\xff\xfe")
    (tmp_path / "c.YAML").write_bytes(b"d: [")
    with pytest.raises(JobProblems) as found:
        read_job(tmp_path)
    assert [problem.place.file for problem in found.value.problems] == ["a.yaml", "b.yaml", "c.YAML"]


def test_a_key_in_two_files_is_told_of_in_the_other_file(tmp_path):
    (tmp_path / "job.yaml").write_text("site: {}", encoding="utf-8")
    (tmp_path / "aaa.yaml").write_text("site: {}", encoding="utf-8")
    with pytest.raises(JobProblems, match=r'aaa\.yaml:1: "site" is already written in job\.yaml:1'):
        read_job(tmp_path)


def test_the_very_line_of_a_value_below_its_key():
    text = GOOD_TEXT.replace("load: 32 A", "load:\n      value: 32\n      basis: measured")
    line = text.splitlines().index("      value: 32") + 1
    assert problems(text) == [f'job.yaml:{line}: circuits C1 "Car charger", load: "32" has no unit']


def test_the_very_line_of_an_entry():
    text = GOOD_TEXT.replace("runs: [R1]", "runs:\n      - R1\n      - r2")
    line = text.splitlines().index("      - r2") + 1
    assert problems(text) == [f'job.yaml:{line}: circuits C1 "Car charger", runs entry 2: "r2" is not a code']


def test_a_long_value_is_told_of_shortly():
    told = problems(
        GOOD_TEXT.replace("work: existing\n    spaces: 20", f"work: {'x' * 5000}\n    spaces: {'1' * 5000}")
    )
    assert len(told) == 2
    assert max(map(len, told)) < 200


def test_a_text_of_several_lines_is_told_of_on_one():
    told = problems(GOOD_TEXT.replace("kind: car charger\n", "kind: |\n      car\n      charger\n"))
    assert len(told) == 1
    assert told[0].endswith('kind: "car charger" is not one of the choices')


@pytest.mark.parametrize(
    "key", ["function-wrap[x]", "function-after[_one_line(), str]", "a(b)", "[0]", "job.title", "0"]
)
def test_a_strange_key_is_an_unknown_key(key):
    assert f'"{key}" is not a key this record knows' in problems(f'{GOOD_TEXT}"{key}": 1\n')[0]
    told = problems(GOOD_TEXT.replace("  name: The example house", f'  "{key}": 1\n  name: The example house'))
    assert told == [f'job.yaml:21: site: "{key}" is not a key this record knows']


def test_the_nearest_word_whatever_its_capitals():
    assert nearest("c11", ["P1", "C1"]) == "C1"
    assert nearest("Panel.JPG", ["panel.jpg", "trench.jpg"]) == "panel.jpg"
    assert nearest("zebra", ["panel"]) is None


# Any value anywhere: what the models make of it must be a record or problems.
_values = st.recursive(
    st.sampled_from(["unknown", "60 A", "C1", "", "~", "yes", "2026-01-01", "x" * 30, "1", "[1]", "{a: b}", "P1"]),
    lambda inner: st.one_of(
        st.lists(inner, max_size=3).map(lambda items: f"[{', '.join(item or '~' for item in items)}]"),
        st.dictionaries(
            st.sampled_from(["code", "name", "value", "basis", "spaces", "slots", "breaker", "rating", "step", "file"]),
            inner,
            max_size=3,
        ).map(lambda pairs: f"{{{', '.join(f'{key}: {value or chr(126)}' for key, value in pairs.items())}}}"),
    ),
    max_leaves=6,
)


@given(st.sampled_from(sorted(Record.model_fields)), _values)
@settings(max_examples=300, deadline=None)
def test_any_value_under_any_key_is_read_or_refused(key, value):
    others = "\n".join(
        block for block in GOOD_TEXT.replace("\n  ", "\x00").splitlines() if not block.startswith(f"{key}:")
    ).replace("\x00", "\n  ")
    try:
        told: object = read_record(read_yaml("job.yaml", f"{others}\n{key}: {value}\n".encode()))
    except JobProblems as found:
        told = [problem for problem in found.problems if problem.what and problem.remedy and problem.place.line]
    assert told
