"""What a place does to an object: its air, its case, its light, its dust and its gases."""
# SPDX-License-Identifier: Apache-2.0
