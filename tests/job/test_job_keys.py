"""The keys of a saved job, and how its traces are written."""

import pytest

from outgas.errors import InputError
from outgas.job import job_keys


@pytest.mark.parametrize("text", ["acetone=1%", "acetone 1%", " acetone = 1% ", "acetone  1%"])
def test_a_trace_is_written_with_an_equals_sign_or_a_space(text):
    assert job_keys.read_traces([text]) == {"acetone": "1%"}


@pytest.mark.parametrize("text", ["acetone", "=1%", "acetone=", "", "acetone= "])
def test_a_trace_without_name_or_share_says_how_it_is_written(text):
    with pytest.raises(InputError, match="write it as 'acetone=1%'"):
        job_keys.read_traces([text])


def test_every_key_has_a_title_an_example_and_a_kind():
    for name, key in job_keys.KEYS.items():
        assert key.group in job_keys.TITLES
        assert key.kind in ("text", "several", "flag")
        assert key.what, name


def test_rivals_name_each_other():
    for one, other in job_keys.RIVALS.items():
        assert job_keys.RIVALS[other] == one
        assert one in job_keys.KEYS
