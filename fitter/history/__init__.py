"""What a shop remembers: players, visits, fittings, trials and outcomes in one SQLite file."""
