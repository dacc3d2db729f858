"""Results as pandas frames, for a notebook."""

from __future__ import annotations

from typing import TYPE_CHECKING

from fitter.display import serialise

if TYPE_CHECKING:
    import pandas as pd

    from fitter.advice.reach import Reach
    from fitter.advice.result import Ranking
    from fitter.shots.session import Session


def options(ranking: Ranking) -> pd.DataFrame:
    """One row an option, the present club first; predicted channels as columns low, mid and high.

    Units stand in the names of the columns: SI, but deg, rpm, g and mm where they say so.

    Examples
    --------
    >>> from fitter import Kit, ask, demo, frames, rank, read
    >>> shots = read(demo.folder() / "P2.csv")
    >>> ranking = rank(ask(shots, Kit.load(demo.folder()), "H1/S1", "carry", draws=64))
    >>> ranking.verdict.action
    'change'
    >>> table = frames.options(ranking)
    >>> table.loc[ranking.verdict.option, "tier"] in ("A", "B", "C", "D", "E")
    True
    >>> bool(table.loc[ranking.verdict.option, "carry_gain_m"] > 0)
    True
    """
    import pandas as pd

    told = serialise.ranking(ranking)
    rows = []
    for option in (told["present"], *told["options"]):
        row = {k: v for k, v in option.items() if not isinstance(v, dict | list)}
        for channel, ends in option["predicted"].items():
            row |= {f"{channel}_{end}": v for end, v in zip(("low", "mid", "high"), ends, strict=True)}
        row["rules"] = "; ".join(option["rules"])
        rows.append(row)
    return pd.DataFrame(rows).set_index("id")


def reasons(ranking: Ranking) -> pd.DataFrame:
    """One row a cause of each explained option: change, unit, value, carry_m."""
    import pandas as pd

    rows = [{"id": o["id"]} | r for o in serialise.ranking(ranking)["options"] for r in o["reasons"]]
    return pd.DataFrame(rows, columns=["id", "cause", "change", "unit", "value", "carry_m"])


def finishes(ranking: Ranking) -> pd.DataFrame:
    """Where each shot should finish with the present club and the explained options, m, side right +."""
    import pandas as pd

    told = serialise.ranking(ranking)
    rows = [{"id": o["id"]} | f for o in (told["present"], *told["options"]) for f in o["finish"]]
    return pd.DataFrame(rows, columns=["id", "shot", "carry_m", "total_m", "side_m", "total_side_m"])


def steps(ranking: Ranking) -> pd.DataFrame:
    """What to measure next, one row a step."""
    import pandas as pd

    columns = ["action", "kind", "minutes", "option", "now", "after", "unit"]
    return pd.DataFrame(serialise.ranking(ranking)["next"], columns=columns)


def budget(reach: Reach) -> pd.DataFrame:
    """Parts of the gap to a distance, m."""
    import pandas as pd

    return pd.DataFrame(
        serialise.reach(reach)["budget"], columns=["part", "value_m", "low_m", "high_m", "words"]
    )


def shots(session: Session) -> pd.DataFrame:
    """One row a shot: its channels in the unit of their names, and whether it is set aside."""
    import pandas as pd

    seen = session.mirrored() if session.hand == "left" else session
    columns = {**seen.values, "set_aside": seen.set_aside}
    return pd.DataFrame(columns, index=pd.Index(seen.shot, name="shot"))
