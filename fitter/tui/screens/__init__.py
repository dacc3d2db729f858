"""The five screens: each a pane of the one window."""
