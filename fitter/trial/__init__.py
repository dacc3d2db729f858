"""A fair trial: which clubs deserve balls, in which order, when to stop, and what was learned."""
