"""The delivery of every shot and the calibrations of a session, inferred from what was measured."""
