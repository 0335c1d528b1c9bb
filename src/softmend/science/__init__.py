"""Pure functions: numbers and arrays in, numbers and arrays out."""
# SPDX-License-Identifier: Apache-2.0
