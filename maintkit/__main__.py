"""`python -m maintkit` is the same as the `maintkit` command."""

import sys

from maintkit.cli import main

sys.exit(main())
