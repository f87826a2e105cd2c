"""The names of what a job can be made of, for lists and completion."""

from outgas.tables import data


def cores() -> list[str]:
    """Return the names of the shipped core materials, sorted.

    Returns
    -------
    A list of names, no units; each is read in a Layup's core: '15 mm pvc-foam'.

    Examples
    --------
    >>> "pvc-foam" in cores()
    True
    """
    return sorted(data.table("cores.toml"))


def reinforcements() -> list[str]:
    """Return the names of the shipped reinforcements, sorted.

    Returns
    -------
    A list of names, no units; each is read in a Layup's plies: '400 g/m2 woven-glass'.

    Examples
    --------
    >>> "woven-glass" in reinforcements()
    True
    """
    return sorted(data.table("reinforcements.toml"))


def tools() -> list[str]:
    """Return the names of the shipped tools, sorted.

    Returns
    -------
    A list of names, no units; each is read in a Layup's tool: '6 mm glass-plate'.

    Examples
    --------
    >>> "glass-plate" in tools()
    True
    """
    return sorted(data.table("tools.toml"))


def pumps() -> list[str]:
    """Return the names of the shipped kinds of pump, sorted.

    Returns
    -------
    A list of names, no units; each is read as a Rig's pump: 'two-stage'.

    Examples
    --------
    >>> "two-stage" in pumps()
    True
    """
    return sorted(data.table("pumps.toml"))


def bag_sides() -> list[str]:
    """Return the names of the shipped layers between laminate and bag, sorted.

    Returns
    -------
    A list of names, no units; each is read in a Layup's bag_side: 'peel-ply'.

    Examples
    --------
    >>> "peel-ply" in bag_sides()
    True
    """
    return sorted(data.table("consumables.toml"))
