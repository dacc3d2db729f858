"""What happened in the shop, kept in one file: players, sessions, fittings, trials, outcomes."""
