"""How deep the tests dig: what is repeated many times is repeated less often for each change than before a release.

`python3 deploy/start.py test --deep` sets the variable; the figures that README.md tells of are those of a deep run.
"""

import os
from typing import Final

DEEP: Final = os.environ.get("TRUSSLINE_TEST_DEEP") == "1"  # noqa: TID251 - set by deploy/start.py, no setting of the service


def times(deep: int, *, each: int) -> int:
    """Return how often something is repeated: `each` time a change is checked, `deep` before a release."""
    return deep if DEEP else each
