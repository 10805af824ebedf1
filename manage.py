#!/usr/bin/env python3
"""Command line of the project."""

import os
import sys


def main() -> None:
    """Run a management command, with the embedded database up for as long as it runs."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shopfloor.settings")
    from shopfloor.database import start_database

    start_database()
    from django.core.management import execute_from_command_line

    execute_from_command_line(sys.argv)


if __name__ == "__main__":
    main()
