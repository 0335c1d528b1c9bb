"""The command `softmend`: each command is imported only when it is asked for."""
# SPDX-License-Identifier: Apache-2.0

from __future__ import annotations

import sys

from cyclopts import App

from softmend import __version__
from softmend.errors import SoftmendError

app = App(
    name="softmend",
    help="Measure, compute and record the repair of a fractured organic object.",
    version=__version__,
    # The plain help needs no Markdown and no colour library: it answers in half the time.
    help_format="plaintext",
    help_formatter="plain",
    result_action="return_value",
)

COMMANDS = (
    ("softmend.cli.serving:open_folder", "open", "Open the app on a folder of dossiers."),
    ("softmend.cli.serving:demo", "demo", "Open the app on the invented demo."),
    ("softmend.cli.printing:print_report", "print", "Print a dossier's condition report as PDF."),
    ("softmend.cli.compute:compute", "compute", "Run one computation on a JSON file."),
    ("softmend.cli.keeping:verify", "verify", "Check every entry and file of a folder."),
    ("softmend.cli.keeping:backup", "backup", "Copy everything recorded to another folder."),
    ("softmend.cli.keeping:restore", "restore", "Bring a backup back into an empty folder."),
    ("softmend.cli.deposit:pack", "pack", "Pack a dossier for an archive or to share."),
    ("softmend.cli.deposit:unpack", "unpack", "Bring a custodian's package into a folder."),
)

for _target, _name, _help in COMMANDS:
    app.command(_target, name=_name, help=_help)


def main() -> None:
    """Run the command line; a refusal is one sentence on stderr and exit status 2."""
    try:
        status = app()
    except SoftmendError as refused:
        print(refused.sentence(), file=sys.stderr)  # noqa: T201
        sys.exit(2)
    sys.exit(status if isinstance(status, int) else 0)
