"""What the model may have wrong of a club beyond its draws: shared by options with its head or its shaft."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from fitter.advice.roots import ROOTS, Roots
from fitter.base import draws
from fitter.kit.club import Club

Floats = NDArray[np.float64]


@dataclass(frozen=True)
class Misfit:
    """Misfit of options, by the parts in which they differ from the present club.

    Parameters
    ----------
    member : dict of str to ndarray of int64, shape (options,)
        By kind, 'head', 'shaft' or 'build': number of each option's part, -1 where it is the present club's.
    names : dict of str to tuple of str
        Codes of the parts, by number.
    roots : Roots
    """

    member: dict[str, NDArray[np.int64]]
    names: dict[str, tuple[str, ...]]
    roots: Roots

    @classmethod
    def of(cls, clubs: Sequence[Club], present: Club, roots: Roots) -> Misfit:
        """Find the parts of clubs."""
        keys = {
            "head": [("" if c.head.code == present.head.code else c.head.code) for c in clubs],
            "shaft": [("" if c.shaft.code == present.shaft.code else c.shaft.code) for c in clubs],
            "build": [("" if c.code == present.code else c.code) for c in clubs],
        }
        names = {kind: tuple(sorted({w for w in words if w})) for kind, words in keys.items()}
        place = {kind: {w: k for k, w in enumerate(found)} for kind, found in names.items()}
        member = {
            kind: np.array([place[kind].get(w, -1) for w in words], dtype=np.int64)
            for kind, words in keys.items()
        }
        return cls(member, names, roots)

    def draws(self, n: int, seed: int) -> Floats:
        """Misfit of every option, units of `SCALE`, shape (n, options, 7); its mean over the draws is 0."""
        size = len(next(iter(self.member.values())))
        out = np.zeros((n, size, len(ROOTS)))
        for kind, member in self.member.items():
            for k, name in enumerate(self.names[kind]):
                z = draws.generator(seed, "misfit", kind, name).standard_normal((n, len(ROOTS)))
                z -= z.mean(axis=0)
                out[:, member == k] += self.roots.draws(kind, z)[:, None]
        return out

    def covariance(self, others: Sequence[int]) -> Floats:
        """Covariance of every option with some of them, shape (options, others, 7, 7)."""
        at = np.asarray(others, dtype=np.int64)
        size = len(next(iter(self.member.values())))
        out = np.zeros((size, len(at), len(ROOTS), len(ROOTS)))
        for kind, member in self.member.items():
            shared = (member[:, None] == member[at]) & (member[:, None] >= 0)
            out += shared[..., None, None] * self.roots.covariance(kind)
        return out
