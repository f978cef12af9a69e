"""Places in a TOML file, against tomllib's own reading of the same text."""

import tomllib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from headrace.errors import BadInput
from headrace.parts.tomltext import MOST_BYTES, parse_toml, read_toml

TEXT = """# ä comment
format = 1
name = "ü" # after
[coolant]
base = "water"
"odd key".deep = 3
[[part]]
id = "a"
at_mm = [1,
  2, 3]
[[part]]
id = "b"
[part.more]
x = { y = [10, { z = "ä ö", w = 2 }] }
"""


def walk(value, path=()):
    yield path, value
    pairs = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for key, inner in pairs:
        yield from walk(inner, (*path, key))


def test_every_scalar_stands_where_the_place_says():
    toml = parse_toml(TEXT, "t.toml")
    lines = TEXT.split("\n")
    seen = 0
    for path, value in walk(toml.data):
        if path and not isinstance(value, dict | list):
            place = toml.place(path)
            rest = lines[place.line - 1][place.column - 1 :]
            assert rest.startswith(f'"{value}"' if isinstance(value, str) else str(value)), (path, place, rest)
            seen += 1
    assert seen == 12


def test_a_missing_key_gets_the_place_of_its_table():
    toml = parse_toml(TEXT, "t.toml")
    assert str(toml.place(("part", 1, "card"))) == "t.toml:11:1"
    assert str(toml.place(("coolant", "base"), key=True)) == "t.toml:5:1"


@given(
    st.dictionaries(st.text(st.characters(codec="ascii", categories=("L", "N")), min_size=1), st.integers(), max_size=6)
)
def test_flat_tables_place_every_key(table):
    text = "".join(f"{key} = {value}\n" for key, value in table.items())
    toml = parse_toml(text, "t")
    assert toml.data == tomllib.loads(text)
    assert [toml.place((key,), key=True).line for key in table] == list(range(1, len(table) + 1))


@pytest.mark.parametrize(
    ("raw", "words"),
    [
        (b"\x00\x01\x02", "binary"),
        (b"\xff\xfe\x00", "UTF-8"),
        (b"a = \n", "here stands no value"),
        (b"a = 1\na = 2\n", 'f.toml:2:1: "a" is there twice, first at f.toml:1:1'),
        (b"[a]\nb = 1\n[c]\nd = 1\n[a]\n", 'f.toml:5:1: "a" is there twice, first at f.toml:1:1'),
        (b"[[a]]\nb = 1\n[[a]]\nb = 1\nb = [\n2]\n", 'f.toml:5:1: "b" is there twice, first at f.toml:4:1'),
        (b"x = { b = 1, b = 2 }\n", 'f.toml:1:14: "b" is there twice, first at f.toml:1:7'),
        (b"a = 25 mm\n", "f.toml:1:8: the line goes on after its value"),
        (b"a = [1,\n", "the file ends inside a value"),
        (b'a = "x\n', "a text is not closed"),
        (b"a\n", 'a key without "="'),
        (b"[a\n", 'a head without "]"'),
        (b'a = "C:\\q"\n', "single quotes"),
        (b"a = 1" + b"0" * 6000 + b"\n", "thousands of digits"),
        (b".".join([b"a"] * 3000) + b" = 1\n", "nested too deeply"),
        (b"a = " + b"[" * 5000 + b"]" * 5000, "nested too deeply"),
    ],
)
def test_what_is_no_toml_is_said_with_its_place(tmp_path, raw, words):
    (tmp_path / "f.toml").write_bytes(raw)
    with pytest.raises(BadInput, match=words) as caught:
        read_toml(tmp_path / "f.toml", "f.toml")
    assert caught.value.faults[0].place.file == "f.toml"
    assert caught.value.faults[0].fix


def test_a_huge_file_is_refused_before_it_is_read(tmp_path):
    path = tmp_path / "big.toml"
    path.write_bytes(b"#" * 10_000_000)
    assert path.stat().st_size > MOST_BYTES
    with pytest.raises(BadInput, match=r"is 10.0 MB, limit 4 MB"):
        read_toml(path)


def test_a_folder_and_a_missing_file_are_said(tmp_path):
    with pytest.raises(BadInput, match="is a folder"):
        read_toml(tmp_path)
    with pytest.raises(BadInput, match="no such file"):
        read_toml(tmp_path / "none.toml")
