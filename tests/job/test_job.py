import pytest

import outgas
from outgas.errors import InputError
from outgas.job import job


def test_traces_of_one_volatile_add_up_to_a_tenth_and_no_more():
    (found,) = job.read_contaminants({"acetone": "4 %", "Acetone": "6 %"})
    assert (found[0].name, found[1]) == ("acetone", pytest.approx(0.1))
    with pytest.raises(InputError, match="contaminants are 11% together"):
        job.read_contaminants({"acetone": "4 %", "water": "7 %"})


def test_the_initiator_stays_within_its_sheet():
    resin = outgas.resin("orthophthalic-polyester")
    assert [job.read_initiator(s, resin) for s in ("1 %", "2 %")] == [0.01, 0.02]
    for share in ("0.9 %", "2.1 %"):
        with pytest.raises(outgas.OutOfRangeError, match="never below or above it"):
            job.read_initiator(share, resin)


def test_what_is_read_with_is_a_dial_water_or_a_sensor_with_its_error():
    rig = outgas.Rig(sensor_error="5 mbar")
    assert job.read_reads_with("dial", rig) == ("dial", 0.0)
    assert job.read_reads_with("sensor", rig) == ("sensor", 500.0)
    with pytest.raises(InputError, match="reads_with is 'thumb'"):
        job.read_reads_with("thumb", rig)
