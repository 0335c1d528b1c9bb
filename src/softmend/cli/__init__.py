"""The command line: parse, call one service, print."""
# SPDX-License-Identifier: Apache-2.0
