"""Where the program `trussline` starts: Ctrl-C may come while the commands are still being gathered."""

import sys


def start() -> None:
    """Run the command line."""
    try:
        from service.cli.main import main  # noqa: PLC0415 - Ctrl-C while this is loaded is no error either
    except KeyboardInterrupt:
        sys.stderr.write("Stopped.\n")
        raise SystemExit(130) from None
    main()
