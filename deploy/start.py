"""The two commands of the README: show Trussline, and check it.

    python3 deploy/start.py demo
    python3 deploy/start.py test

Standard library only. This file keeps to a syntax that Pythons since 2.7 understand, so that it can tell their
owners what is the matter; what it imports from its own folder need not.
"""

import sys

if sys.version_info < (3, 11):
    sys.exit(
        "Trussline needs Python 3.11 or newer and this is {}.{}: start it with a newer one.".format(
            *sys.version_info[:2]
        )
    )

from commands import main

if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
