"""The strict reader: what it takes, json.loads takes alike; what is not strict it refuses."""

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st
from workings import strict_json
from workings.errors import WorkingError


def is_character(c):
    return not (0xFDD0 <= ord(c) < 0xFDF0 or ord(c) & 0xFFFE == 0xFFFE)


texts = st.text(st.characters(exclude_categories=["Cs"]).filter(is_character), max_size=12)
whole = st.integers(1 - 2**30, 2**30 - 1)
values = st.recursive(st.none() | st.booleans() | whole | texts,
                      lambda inner: st.lists(inner, max_size=4) | st.dictionaries(texts, inner, max_size=4),
                      max_leaves=20).filter(lambda v: depth(v) <= strict_json.DEPTH)


def depth(value):
    if isinstance(value, (list, dict)):
        return 1 + max([depth(v) for v in (value.values() if isinstance(value, dict) else value)], default=0)
    return 0


@given(values)
def test_what_is_written_is_read_back_and_is_json(value):
    text = strict_json.write(value)
    assert strict_json.read(text, 10**6) == value == json.loads(text)
    assert strict_json.read(text.encode(), 10**6) == value
    assert strict_json.write(strict_json.read(text, 10**6)) == text


@given(values, st.sampled_from([None, 1, "\t"]), st.booleans())
def test_other_spellings_of_the_same_value_are_read(value, indent, ascii_only):
    text = json.dumps(value, indent=indent, ensure_ascii=ascii_only)
    assert strict_json.read(text, 10**6) == value


@given(st.text(max_size=30) | st.binary(max_size=30))
def test_any_text_is_read_as_json_reads_it_or_refused(source):
    try:
        value = strict_json.read(source, 1000)
    except WorkingError as error:
        assert error.input == "entry" and error.message
        return
    assert json.loads(source) == value


@given(st.text('{}[]":,\\ud8e0123456789.-+eEtrufalsn \n\t', max_size=40))
def test_near_json_is_read_as_json_reads_it_or_refused(source):
    try:
        value = strict_json.read(source, 1000)
    except WorkingError:
        return
    assert json.loads(source) == value


@given(st.binary(max_size=6))
def test_only_utf8_is_text(raw):
    source = b'"' + raw + b'"'
    try:
        raw.decode()
    except UnicodeDecodeError:
        with pytest.raises(WorkingError):
            strict_json.read(source, 100)


def test_members_stand_in_the_order_of_code_points():
    text = strict_json.write({"\U0001f600": 1, "\uffee": 2, "b": 3, "B": 4})
    assert text == '{"B":4,"b":3,"\uffee":2,"\U0001f600":1}'


def test_nesting_is_bounded_both_ways():
    deep = None
    for _ in range(strict_json.DEPTH):
        deep = [deep]
    assert strict_json.read(strict_json.write(deep), 100) == deep
    with pytest.raises(WorkingError):
        strict_json.write([deep])
    with pytest.raises(WorkingError):
        strict_json.read("[" * 100000 + "]" * 100000, 10**6)


def test_a_message_names_what_is_read_and_where():
    with pytest.raises(WorkingError) as caught:
        strict_json.read('{"a": 1,\n "b": 1.5}', 100, "procedure")
    assert caught.value.input == "procedure"
    assert "line 2, character 7" in caught.value.message and "whole numbers" in caught.value.accepted


@pytest.mark.parametrize("value", [1.0, 2**30, -(2**30), {1: 2}, {"a": {2}}, b"x", "\ud800", "\ufffe",
                                   {"\udc00": 1}])
def test_what_cannot_be_read_back_is_not_written(value):
    with pytest.raises(WorkingError):
        strict_json.write(value)


def test_a_text_longer_than_its_limit_is_refused_by_its_bytes():
    assert strict_json.read('"é"', 4) == "é"
    with pytest.raises(WorkingError):
        strict_json.read('"é"', 3)
