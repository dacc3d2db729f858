"""Run the command line as ``python -m fitter``."""

from fitter.cli.main import script

script()
