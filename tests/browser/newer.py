"""The command line of the next version of the app: `python -m tests.browser.newer serve ...`."""

from __future__ import annotations

import sys

from webapp import cli, shell

if __name__ == "__main__":
    shell.version = lambda: "0123456789ab"
    sys.exit(cli.main(sys.argv[1:]))
