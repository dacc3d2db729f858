"""Run the virtual range."""

from reference.virtual_range.run import main

main()
