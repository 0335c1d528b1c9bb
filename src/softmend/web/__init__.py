"""Pages and the programming interface: parse, call one service, render."""
# SPDX-License-Identifier: Apache-2.0
