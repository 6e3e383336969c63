"""A second factor's secret as an address that an app on the same device opens."""

import base64
from urllib.parse import quote, urlencode


def secret_address(secret: bytes, *, officer: str, programme: str) -> str:
    """Return the secret in the common otpauth form, whose label names programme and officer."""
    label = f"{quote(programme, safe='')}:{quote(officer, safe='')}"
    plain = base64.b32encode(secret).decode().rstrip("=")
    return f"otpauth://totp/{label}?{urlencode({'secret': plain, 'issuer': programme}, quote_via=quote)}"
