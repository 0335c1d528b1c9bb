"""Run the command line as `python -m softmend.cli`."""
# SPDX-License-Identifier: Apache-2.0

from softmend.cli.main import main

main()
