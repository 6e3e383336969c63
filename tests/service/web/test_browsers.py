"""Browsers in plain words."""

import pytest

from service.web.account.browsers import plain_browser

# As these browsers called themselves in 2025 and 2026; from memory.
_ANDROID = "Mozilla/5.0 (Linux; Android 10; K) AppleWebKit/537.36 (KHTML, like Gecko)"
_WEBKIT = "AppleWebKit/605.1.15 (KHTML, like Gecko)"
_WINDOWS = "Mozilla/5.0 (Windows NT 10.0; Win64; x64)"


@pytest.mark.parametrize(
    ("called", "plain"),
    [
        ("Mozilla/5.0 (Android 14; Mobile; rv:140.0) Gecko/140.0 Firefox/140.0", "Firefox on Android"),
        (f"{_ANDROID} Chrome/140.0.0.0 Mobile Safari/537.36", "Chrome on Android"),
        (
            f"{_ANDROID} SamsungBrowser/28.0 Chrome/130.0.0.0 Mobile Safari/537.36",
            "Samsung Internet on Android",
        ),
        (
            f"{_WINDOWS} AppleWebKit/537.36 (KHTML, like Gecko) Chrome/140.0.0.0 Safari/537.36 Edg/140.0.0.0",
            "Edge on Windows",
        ),
        (f"{_WINDOWS[:-1]}; rv:140.0) Gecko/20100101 Firefox/140.0", "Firefox on Windows"),
        (
            f"Mozilla/5.0 (iPhone; CPU iPhone OS 18_6 like Mac OS X) {_WEBKIT} Version/18.6 Mobile/15E148 Safari/604.1",
            "Safari on an iPhone",
        ),
        (
            f"Mozilla/5.0 (Macintosh; Intel Mac OS X 10_15_7) {_WEBKIT} Version/26.0 Safari/605.1.15",
            "Safari on a Mac",
        ),
        ("Mozilla/5.0 (X11; Linux x86_64; rv:140.0) Gecko/20100101 Firefox/140.0", "Firefox on Linux"),
        ("something else", "A browser we do not know"),
        ("", "A browser we do not know"),
    ],
    ids=lambda value: value[-30:],
)
def test_browsers_are_told_in_plain_words(called: str, plain: str) -> None:
    """What a browser calls itself is told as a person would."""
    assert plain == plain_browser(called)
