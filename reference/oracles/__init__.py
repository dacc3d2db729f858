"""Closed forms that tests and the reference report compare the model with; the program itself calls none."""
