"""The terminal UI: a bench for a fitter and a player."""

from __future__ import annotations

from fitter.tui.saved import begin, demo_work, fresh_work


def open_app(demo_player: str | None = None, demo: bool = False) -> int:
    """Open the app: on the demo, or on the work that was left.

    Parameters
    ----------
    demo_player : str, optional
        Whose turn it is in the demo; the first when silent.
    demo : bool
        Open the demo.

    Returns
    -------
    int
        Exit code.
    """
    from fitter.tui.app import FitterApp

    with begin("demo", demo_work(demo_player)) if demo else begin("work", fresh_work()) as begun:
        app = FitterApp(begun.work, begun.file, restored=begun.restored, told=begun.told)
        app.run()
    return app.return_code or 0
