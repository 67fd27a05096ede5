"""What the codes refuse, and why.

CodesError
├── UnknownCode       no code has this id
├── UnknownQuantity   a fact was handed over under a name that no rule may use
└── RulesRefused      a code or a local rule does not hold together; lists every fault at once
"""

from dataclasses import dataclass


class CodesError(ValueError):
    """Base of everything this package raises on purpose."""


class UnknownCode(CodesError):
    """No code has this id. The text lists those there are."""


class UnknownQuantity(CodesError):
    """A fact has a name outside the registry. The text says which name was meant."""


@dataclass(frozen=True)
class Fault:
    """One thing wrong: where it stands, and a sentence on what was found and what would be right."""

    pointer: str
    message: str

    def __str__(self) -> str:
        return f"{self.pointer}: {self.message}"


class RulesRefused(CodesError):
    """Rules that cannot be used, every fault in `faults`."""

    def __init__(self, faults: list[Fault]) -> None:
        self.faults = tuple(faults)
        super().__init__("\n".join(str(fault) for fault in faults))
