"""What can be measured on a photograph."""
# SPDX-License-Identifier: Apache-2.0
