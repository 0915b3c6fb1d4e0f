"""Run the command line as ``python -m stemwright``."""

import sys

from stemwright.cli import main

sys.exit(main())
