"""``python -m reference.virtual_range``."""

from reference.virtual_range.run import main

if __name__ == "__main__":
    main()
