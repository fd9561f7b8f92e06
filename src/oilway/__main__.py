"""``python -m oilway`` is the command line."""

from oilway.cli import main

main()
