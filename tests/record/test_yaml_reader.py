"""YAML to marked values: text stays as written, every value knows its line, nothing else gets through."""

from __future__ import annotations

import pytest
import yaml
from hypothesis import example, given, settings
from hypothesis import strategies as st

from handover.problems import JobProblems, Place
from handover.record import yaml_reader
from handover.record.marked import MarkedDict, place_at
from handover.record.yaml_reader import MAX_BYTES, MAX_NODES, merge, read_yaml
from handover.resources import shipped

SHIPPED = [
    path
    for folder in ("demo_property", "tests/small_job", "tests/bad_jobs/_good", "site_templates/starter")
    for path in sorted(shipped(*folder.split("/")).glob("*.yaml"))
]


@pytest.fixture(params=["with libyaml", "without libyaml"])
def either_parser(request, monkeypatch):
    """PyYAML's two parsers: the electrician must not notice which one is installed."""
    loader = yaml.SafeLoader if request.param == "without libyaml" else yaml_reader._Loader
    monkeypatch.setattr(yaml_reader, "_Loader", loader)


def read(text: str) -> MarkedDict:
    return read_yaml("job.yaml", text.encode())


def faults(data: bytes) -> list[tuple[int, str]]:
    with pytest.raises(JobProblems) as found:
        read_yaml("job.yaml", data)
    return [(problem.place.line, problem.what) for problem in found.value.problems]


@pytest.mark.usefixtures("either_parser")
@pytest.mark.parametrize(
    "written",
    [
        "12:30", "no", "yes", "on", "off", "1e3", "0o17", "017", "0x1F", "1_000", "2026-06-12", ".inf", ".nan", "1.10",
        "=", "true", "190:20:30", "+1", "1-1/4 in", '12" pipe',
    ],
)  # fmt: skip
def test_a_scalar_stays_as_written(written):
    """YAML 1.1 (yaml.org/type) reads most of these as numbers, truth values or dates; a record means the text."""
    assert read(f"key: {written}\n")["key"] == written


@pytest.mark.usefixtures("either_parser")
@pytest.mark.parametrize("written", ["", "~", "null", "Null", "NULL"])
def test_nothing_is_none(written):
    assert read(f"key: {written}\nnext: x")["key"] is None


@pytest.mark.usefixtures("either_parser")
def test_nothing_in_quotes_is_text():
    assert read("a: ''\nb: \"null\"\n") == {"a": "", "b": "null"}


@pytest.mark.usefixtures("either_parser")
def test_every_value_knows_its_line():
    made = read(
        "# a note\njob:\n  title: x\n  covers:\n    - one\n    - two\n"
        "panels:\n- code: P1\n  slots: [{a: 1},\n    {a: 2}]\n"
    )
    assert made["job"]["title"].place == Place("job.yaml", 3)
    assert made["job"].place == Place("job.yaml", 3)
    assert made["job"].key_places["covers"] == Place("job.yaml", 4)
    assert made["job"]["covers"].item_places == (Place("job.yaml", 5), Place("job.yaml", 6))
    assert made["panels"][0]["slots"][1]["a"].place == Place("job.yaml", 10)


@pytest.mark.usefixtures("either_parser")
@pytest.mark.parametrize("ending", ["\n", "\r\n", "\r"])
def test_lines_count_whatever_ends_them(ending):
    assert read(ending.join(["a: 1", "b: |", "  x", "  y", "c: 2"]))["c"].place.line == 5


@pytest.mark.usefixtures("either_parser")
def test_a_byte_order_mark_is_no_fault():
    assert read_yaml("job.yaml", b"\xef\xbb\xbfa: 1\n") == {"a": "1"}


@pytest.mark.usefixtures("either_parser")
def test_text_of_several_lines():
    assert read("a: |\n  one\n  two\nb: >\n  one\n  two\n") == {"a": "one\ntwo", "b": "one two"}


@pytest.mark.usefixtures("either_parser")
@pytest.mark.parametrize(
    ("text", "path", "line"),
    [
        ("a:\n  b: 1\n", ("a", "b"), 2),
        ("a:\n  b: 1\n", ("a", "c"), 1),
        ("a:\n  b: 1\n", ("c",), 1),
        ("x: 1\na:\n- b: 1\n- b: 2\n", ("a", 1, "c"), 4),
        ("x: 1\na:\n- 1\n-\n- 3\n", ("a", 1), 4),
        ("x: 1\na:\n  |\n  text\n", ("a",), 2),
        ("x: 1\na:\n- 1\n", ("a", 7), 2),
    ],
)
def test_the_place_of_a_path(text, path, line):
    """Of a missing key, the place is where its mapping begins; of an entry, its own line."""
    assert place_at(read(text), path).line == line


@pytest.mark.usefixtures("either_parser")
def test_all_faults_of_a_file_at_once():
    assert [line for line, _ in faults(b"a: &x 1\nb: *x\nc: !!int 3\nd: 4\nd: 5\n<<: {e: 6}\n")] == [1, 2, 3, 5, 6]


@pytest.mark.usefixtures("either_parser")
def test_a_fault_of_yaml_does_not_hide_those_before_it():
    assert [line for line, _ in faults(b"a: &x 1\nb: c: d\n")] == [1, 2]


@pytest.mark.usefixtures("either_parser")
@pytest.mark.parametrize("text", ["says: bedroom #2", "size: #6 AWG", "a: [x #2\n]", "a:\n- b #3\n"])
def test_text_that_would_be_lost_to_a_comment(text):
    assert "would be lost" in faults(text.encode())[0][1]


@pytest.mark.usefixtures("either_parser")
@pytest.mark.parametrize(
    "text", ["a: b # note", "a: b  # 2 things", "a: 'b' #2", "a: b\n#2\n", "a: b#2", "a: |\n  x #2\n"]
)
def test_a_comment_is_no_fault(text):
    assert list(read(text)) == ["a"]


@pytest.mark.usefixtures("either_parser")
@pytest.mark.parametrize("sign", ["\u200b", "\u202e", "\u2066", "\ufeff", "\u2028", "\U000e0041", "\ufffa"])
def test_invisible_characters_are_refused(sign):
    assert faults(f'\na: "x{sign}y"\n'.encode())[0][1] == f"an invisible or control character (U+{ord(sign):04X})"


@pytest.mark.parametrize("sign", ["\x00", "\x07", "\x1b", "\x7f", "\x9f", "\ufffe"])
def test_characters_that_no_text_holds(sign):
    """YAML 1.2.2, section 5.1: outside c-printable, so not YAML at all, wherever it stands."""
    assert faults(f"a: 1\n# {sign}\n".encode()) == [(2, f"an invisible or control character (U+{ord(sign):04X})")]


@pytest.mark.usefixtures("either_parser")
@pytest.mark.parametrize("escape", [r"\0", r"\x1b", r"\r", r"\L", r"\uFFFF", r"\u200b"])
def test_an_escape_brings_in_no_such_character(escape):
    assert "invisible or control character" in faults(f'a: "x{escape}y"\n'.encode())[0][1]


@pytest.mark.usefixtures("either_parser")
def test_too_much_is_refused_not_read():
    assert faults(b"a: " + b"x" * MAX_BYTES) == [(0, "the file is larger than 2 MB")]
    assert faults(b"a: [" + b"1," * MAX_NODES + b"]") == [(1, f"more than {MAX_NODES} values in one file")]
    assert faults(b"a: " + b"x" * 20_001) == [(1, "a text of 20001 characters")]


@pytest.mark.parametrize(
    "nested", [b"[" * 900 + b"]" * 900, b"[" * 200_000, b"{a: " * 5000, b"- " * 5000, b"? " * 5000]
)
def test_depth_is_refused_not_followed(nested):
    assert "lists within lists" in faults(b"a:\n  " + nested)[0][1]


def test_files_are_joined_by_top_level_key():
    one, two = read_yaml("a.yaml", b"job: 1\n"), read_yaml("b.yaml", b"\nsite: 2\n")
    made = merge([one, two])
    assert made == {"job": "1", "site": "2"}
    assert made.key_places["site"] == Place("b.yaml", 2)


def test_a_key_in_two_files_names_both_places():
    one, two = read_yaml("a.yaml", b"job: 1\n"), read_yaml("b.yaml", b"\njob: 2\n")
    with pytest.raises(JobProblems, match=r'b\.yaml:2: "job" is already written in a\.yaml:1'):
        merge([one, two])


@pytest.mark.parametrize("path", SHIPPED, ids=lambda path: path.name)
def test_our_own_jobs_read_alike_with_either_parser(path, monkeypatch):
    """The two parsers differ in corners, such as a bare ``?`` within braces; no job of ours may stand in one."""
    with_libyaml = read_yaml(path.name, path.read_bytes())
    monkeypatch.setattr(yaml_reader, "_Loader", yaml.SafeLoader)
    assert read_yaml(path.name, path.read_bytes()) == with_libyaml


def reads_or_says_why(data: bytes) -> None:
    try:
        told: object = read_yaml("job.yaml", data)
    except JobProblems as found:
        told = [problem for problem in found.problems if problem.what and problem.remedy]
    assert isinstance(told, MarkedDict) or told


@given(st.binary(max_size=200))
@settings(max_examples=150, deadline=None)
def test_any_bytes_are_read_or_refused(data):
    reads_or_says_why(data)


# Signs that mean something in YAML come often, so that the parser's rarer corners are met.
yaml_like = st.text(st.sampled_from("ab1:-?,[]{}#&*!|>'\"%@` \n\t~<=.\\x0\u00e9\u2028\U0001f50c"), max_size=60)


@given(yaml_like)
@settings(max_examples=300, deadline=None)
@example('a: "\\ud800"')
@example("a: !")
@example("%TAG ! tag:x,2000:\n---\na: !b c")
@example("? [a]\n: b")
@example("a: b\n...\nc: d")
@example("--- a\n--- b")
@example("a: |9\n x")
def test_anything_like_yaml_is_read_or_refused(text):
    reads_or_says_why(text.encode())


@given(yaml_like)
@settings(max_examples=150, deadline=None)
def test_without_libyaml_too(text):
    fast, yaml_reader._Loader = yaml_reader._Loader, yaml.SafeLoader
    try:
        reads_or_says_why(text.encode())
    finally:
        yaml_reader._Loader = fast


@given(
    st.dictionaries(
        st.from_regex(r"[a-z]{1,8}", fullmatch=True),
        st.text(st.characters(codec="ascii", min_codepoint=32, max_codepoint=126), max_size=30),
        max_size=5,
    )
)
@settings(max_examples=100, deadline=None)
def test_quoted_text_comes_through_unchanged(pairs):
    """Whatever the text, quoted as YAML asks (a single quote doubled), it is read back, without blanks at its ends."""
    text = "".join(f"{key}: '{value.replace(chr(39), chr(39) * 2)}'\n" for key, value in pairs.items())
    assert read(text) == {key: value.strip() for key, value in pairs.items()}
