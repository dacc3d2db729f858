"""How well the model meets what is published: tables, a report, benchmarks. Nothing in `fitter` imports this."""
