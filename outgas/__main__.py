"""The command line: python -m outgas."""

import sys

from outgas.cli.main import main

if __name__ == "__main__":
    sys.exit(main())
