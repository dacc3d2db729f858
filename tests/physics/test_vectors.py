"""One name means one place of one vector, and each vector is filled without gaps."""

import ast
from collections import Counter
from pathlib import Path

import pytest

from fitter.physics import vectors as at


def assigned() -> list[str]:
    tree = ast.parse(Path(str(at.__file__)).read_text(encoding="utf-8"))
    targets = [target for node in tree.body if isinstance(node, ast.Assign) for target in node.targets]
    names = [e for target in targets for e in (target.elts if isinstance(target, ast.Tuple) else [target])]
    return [name.id for name in names if isinstance(name, ast.Name)]


def test_no_name_is_given_twice() -> None:
    assert [name for name, count in Counter(assigned()).items() if count > 1] == []


@pytest.mark.parametrize(
    ("first", "size", "last"),
    [
        (at.CLUB_SPEED, at.DELIVERY, at.HIGH),
        (at.CLUB_SPEED, at.CHANGE, at.SCATTER),
        (at.HEAD_MASS, at.HEAD, at.COR_OFFSET),
        (at.COR, at.MODEL, at.GEAR),
        (at.SPEED, at.LAUNCH, at.TILT),
        (at.D0, at.LAW, at.DECAY),
        (at.RHO, at.AIR, at.LONG_STEP),
        (at.TURF_TILT, at.TURF, at.RUN_STEEP),
        (at.END_CARRY, at.LANDING, at.END_RE_LOW),
        (at.CARRY, at.RESULT, at.LANDING_SPIN),
        (0, at.BODIES, at.SLID),
    ],
)
def test_each_vector_ends_with_its_last_place(first: int, size: int, last: int) -> None:
    assert (first, last) == (0, size - 1)
