import pytest

import outgas
from outgas.job import listed

READ = {
    "cores": lambda name: outgas.Layup(core=f"15 mm {name}").core,
    "reinforcements": lambda name: outgas.Layup(plies=[f"400 g/m2 {name}"]).plies[0].fabric,
    "tools": lambda name: outgas.Layup(tool=f"6 mm {name}").tool,
    "pumps": lambda name: outgas.Rig(pump=name).kind,
    "bag_sides": lambda name: outgas.Layup(bag_side=[name]).bag_side[0],
}


@pytest.mark.parametrize("kind", READ)
def test_every_listed_name_is_read_where_it_goes(kind):
    names = getattr(listed, kind)()
    assert names == sorted(names)
    assert len(names) >= 7
    for name in names:
        assert READ[kind](name).name == name
