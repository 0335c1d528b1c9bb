"""Places of the house: rooms, cases and loggers, and what an object goes through in them."""
# SPDX-License-Identifier: Apache-2.0
