"""A range of invented players whose truth is known: coverage and regret of the verdicts."""
