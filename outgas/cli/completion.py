"""What a shell completes: the values of options and arguments, and other words for options.

It is set on a command when it is loaded, so that the options themselves need not know of it.
"""

from collections.abc import Callable, Sequence

import click
from click.shell_completion import CompletionItem

from outgas.job.job_keys import BY_OPTION

Names = Callable[[], Sequence[str]]
ABOUT = 60  # letters of what stands beside a value


def _named(kind: str) -> Names:
    def names() -> Sequence[str]:
        import outgas

        found: Sequence[str] = getattr(outgas, kind)()
        return found

    return names


def _dials() -> list[str]:
    from outgas.show.dial import DIALS

    return list(DIALS)


def _finishes() -> tuple[str, ...]:
    from outgas.job.job import FINISHES

    return FINISHES


def _kinds() -> tuple[str, ...]:
    from outgas.cli.commands.listed import KINDS

    return KINDS


def _schemas() -> list[str]:
    from outgas.cli.commands.schema import described

    return described()


def _families() -> list[str]:
    from outgas.job.own_resin import families

    return families()


# By the name of an option or an argument: what may stand there.
VALUES: dict[str, Names] = {
    "process": _named("processes"),
    "bag_side": _named("bag_sides"),
    "dial": _dials,
    "finish": _finishes,
    "reads_with": lambda: ("dial", "water", "sensor 5 mbar"),
    "stage": lambda: ("cure", "debulk"),
    "kind": _kinds,
    "answer": _schemas,
    "family": _families,
    "gel_of": lambda: ("cup", "film"),
}
# What stands at the end of a phrase: '15 mm pvc-foam'.
LAST_WORDS: dict[str, Names] = {
    "core": _named("cores"),
    "ply": _named("reinforcements"),
    "tool": _named("tools"),
    "rig": _named("pumps"),
}
SHARES = ("contaminant", "monomer")  # NAME=SHARE


def _completed(
    of: str, values: Sequence[str], incomplete: str, before: str = "", after: str = ""
) -> list[CompletionItem]:
    """Return what begins as was typed; spaces and hyphens are one."""
    typed = incomplete.lower().replace(" ", "-")
    return [
        CompletionItem(f"{before}{value}{after}", help=of)
        for value in values
        if value.lower().replace(" ", "-").startswith(typed)
    ]


def values_of(name: str, incomplete: str, command: str = "") -> list[CompletionItem]:
    """Return what completes a value of an option or an argument; nothing where it may be anything.

    >>> [item.value for item in values_of("finish", "cl")], values_of("temperature", "2")
    (['clear'], [])
    """
    if name == "resin" or (name, command) == ("name", "resins show"):
        files = [CompletionItem(incomplete, type="file")] if incomplete[:1] in (".", "/") else []
        return _completed("resin", _named("resins")(), incomplete) + files
    if (name, command) == ("name", "volatiles show"):
        return _completed("volatile", _named("volatiles")(), incomplete)
    if name in ("job", "out", "file", "panels"):
        return [CompletionItem(incomplete, type="file")]
    if name in SHARES:
        return _completed(name, _named("volatiles")(), incomplete, after="=")
    if name == "seen":
        return _answers(incomplete)
    if name in LAST_WORDS:
        before, _, last = incomplete.rpartition(" ")
        return _completed(name, LAST_WORDS[name](), last, before=f"{before} " if before else "")
    return _completed(name, VALUES[name](), incomplete) if name in VALUES else []


def _answers(incomplete: str) -> list[CompletionItem]:
    """Return the questions of a diagnosis, or the answers to the one that was typed."""
    import outgas

    questions = outgas.questions()
    asked, mark, said = incomplete.partition("=")
    if not mark:
        return _completed("question", list(questions), asked, after="=")
    known = questions.get(asked.replace("-", " "), {})
    return [
        CompletionItem(f"{asked}={answer}", help=what[:ABOUT])
        for answer, what in known.items()
        if answer.startswith(said)
    ]


def completing(command: click.Command, path: str) -> click.Command:
    """Let a command's own parameters complete their values; a group's commands too."""
    for parameter in command.params:
        setattr(parameter, "shell_complete", _by_name(parameter, path))  # noqa: B010
    for name, inner in getattr(command, "commands", {}).items():
        completing(inner, f"{path} {name}")
    return command


def _by_name(parameter: click.Parameter, path: str) -> Callable[..., list[CompletionItem]]:
    def complete(_: click.Context, incomplete: str) -> list[CompletionItem]:
        return values_of(parameter.name or "", incomplete, path)

    return complete


def in_own_words(arguments: Sequence[str]) -> list[str]:
    """Return a command line with the functions' names for options put into the options' own.

    >>> in_own_words(["advise", "--contaminants", "acetone=1%", "--plies=mat"])
    ['advise', '--contaminant', 'acetone=1%', '--ply=mat']
    """
    flags = {_flag(other): _flag(own) for own, other in BY_OPTION.items()}

    def own(word: str) -> str:
        flag, mark, value = word.partition("=")
        return f"{flags[flag]}{mark}{value}" if flag in flags else word

    return [own(word) for word in arguments]


def _flag(name: str) -> str:
    return f"--{name.replace('_', '-')}"
