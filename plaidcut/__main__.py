"""``python -m plaidcut``."""

from plaidcut.cli.app import main

main()
