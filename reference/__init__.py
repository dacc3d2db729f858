"""How well the model meets what is published: tables, report, benchmarks; nothing in `fitter` imports it."""
