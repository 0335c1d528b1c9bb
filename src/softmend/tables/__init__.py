"""Tables of facts with their sources, one .csv and one .toml each."""
# SPDX-License-Identifier: Apache-2.0
